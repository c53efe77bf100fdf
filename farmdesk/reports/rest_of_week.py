"""What waits from tomorrow to Sunday, as far as it is known today."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from farmdesk.quantities.times import day_plus
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.batches import BatchRow, list_batches
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.stock_rows import stock_row
from farmdesk.reports.today import mark_put_off, order_rows, pick_rows, read_days_work
from farmdesk.reports.today_rows import TodayRow
from farmdesk.store.lists import lots_on_hand
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr


def list_rest_of_week(reading: Reading, *, now: str | None = None) -> list[TodayRow]:
    """What becomes due later in this ISO week, by its day; not what waits today or is put off.

    Bags to be picked later are told even where others of their batch wait today. Steps of planned
    batches are on today's list for their whole week, and so not here.
    """
    terms = read_terms(reading, now)
    sunday = IsoWeek.of(terms.today).sunday
    work = read_days_work(reading, now=terms.now)
    known = {row.id for row in (*work.waiting, *work.put_off)}
    batches = list_batches(reading, now=terms.now)
    rows = [
        *order_rows(reading, terms, sunday),
        *_open(batches, terms, sunday),
        *_look(batches, terms, sunday),
        *_sell(reading, terms, sunday),
    ]
    new = [
        *(row for row in rows if row.id not in known and (row.due or "") > terms.today),
        *pick_rows(reading, terms, sunday, after=terms.today),
    ]
    waiting = [row for row in mark_put_off(reading, new, terms.today) if row.put_off is None]
    told = [_with_day(row, terms) for row in waiting]
    return sorted(told, key=lambda row: (row.due or "", row.section, row.name))


def _with_day(row: TodayRow, terms: FarmTerms) -> TodayRow:
    """Orders say their day themselves."""
    if row.section == "Ship" or row.due is None:
        return row
    reason = tr("{day}: {reason}").format(day=terms.formats.near_day(row.due), reason=row.reason)
    return replace(row, reason=reason)


def _open(batches: Sequence[BatchRow], terms: FarmTerms, sunday: str) -> Iterator[TodayRow]:
    for row in batches:
        if row.window == "before" and row.ready_from <= sunday:
            bags = terms.formats.count(row.incubating, "bag", "bags")
            reason = tr("{bags}, may be ready from then on").format(bags=bags)
            yield TodayRow("Open", row.code, row.name, row.species, reason, row.ready_from)


def _look(batches: Sequence[BatchRow], terms: FarmTerms, sunday: str) -> Iterator[TodayRow]:
    for row in batches:
        if row.days_unseen is None:
            continue
        due = day_plus(row.looked_on or row.inoculated_on, terms.farm.walk_days)
        if due <= sunday:
            yield TodayRow("Look at", row.code, row.name, row.species, tr("walk it"), due)


def _sell(reading: Reading, terms: FarmTerms, sunday: str) -> Iterator[TodayRow]:
    for lot in lots_on_hand(reading):
        row = stock_row(lot, terms)
        if row.shelf_on is not None and row.shelf_on <= sunday:
            left = terms.formats.mass(row.left_mg)
            reason = tr("{left}, shelf date").format(left=left)
            yield TodayRow("Sell first", row.code, row.lot, row.what, reason, row.shelf_on)
