"""What the day asks for: look at, open, pick, weigh, sell, ship and make, each with its reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from farmdesk.domain.catalogue import Species
from farmdesk.domain.codes import code_of
from farmdesk.domain.harvest import Pick
from farmdesk.domain.lab import Spawn
from farmdesk.domain.put_off import PutOff
from farmdesk.domain.stages import RESTING
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days, day_plus, local_day
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.batches import BatchRow, list_batches
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.noticed import notice
from farmdesk.reports.plan_batches import todo_this_week
from farmdesk.reports.stock_rows import StockRow, stock_row
from farmdesk.reports.today_rows import SECTIONS, DaysWork, TodayRow
from farmdesk.store.lists import Fruiting, bags_to_fruit, lots_on_hand
from farmdesk.store.trade_sums import orders_summed
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

SELL_DAYS = 2
SPAWN_LEFT_PERCENT = 20
USE_BY_DAYS = 3
_EXPECTED, _OVERDUE, _COLONISED = 0, 1, 2


def list_today(reading: Reading, *, now: str | None = None) -> list[TodayRow]:
    """Everything that waits, by section, the longest waiting first; not what was put off."""
    return list(read_days_work(reading, now=now).waiting)


def read_days_work(reading: Reading, *, now: str | None = None) -> DaysWork:
    """Everything that waits, and what was put off, each by section, the longest waiting first."""
    terms = read_terms(reading, now)
    rows = mark_put_off(reading, _all_rows(reading, terms), terms.today)
    return DaysWork(
        tuple(row for row in rows if row.put_off is None),
        tuple(row for row in rows if row.put_off is not None),
    )


def mark_put_off(reading: Reading, rows: Iterable[TodayRow], today: str) -> list[TodayRow]:
    """The rows, with what puts them off on a day."""
    known: dict[tuple[str, str], list[PutOff]] = {}
    for one in reading.all(PutOff):
        known.setdefault((one.section, one.subject), []).append(one)
    found = []
    for row in rows:
        # Undo at two stations can leave a line with two: the one that holds longest counts.
        holding = [
            one for one in known.get(row.id, ()) if one.holds(today, row.due or "", row.grade)
        ]
        away = max(holding, key=lambda one: one.until_on, default=None)
        found.append(replace(row, put_off=away) if away is not None else row)
    return found


def _all_rows(reading: Reading, terms: FarmTerms) -> list[TodayRow]:
    batches = list_batches(reading, now=terms.now)
    monday = IsoWeek.of(terms.today).monday
    rows = [
        *order_rows(reading, terms, day_plus(terms.today, 1)),
        *_weigh(reading, terms),
        *pick_rows(reading, terms, terms.today),
        *_open(batches, terms),
        *_look(batches, terms),
        *_sell(reading, terms),
        *_spawn(reading, terms),
        *(
            TodayRow(
                "Plan", todo.name, todo.name, todo.what, todo.reason, todo.due,
                about=f"{todo.name} {todo.step}", grade=int(todo.due < monday),
            )
            for todo in todo_this_week(reading, terms.today)
        ),
        *notice(reading, terms, batches),
    ]  # fmt: skip
    return sorted(rows, key=lambda row: (SECTIONS.index(row.section), row.due or "9", row.name))


def today_table(reading: Reading, *, now: str | None = None) -> Table:
    """The day's work as a table."""
    columns = (
        Column("section", tr("Do")),
        Column("name", tr("What")),
        Column("what", tr("Which")),
        Column("reason", tr("Why")),
        Column("due", tr("Since or until"), "day"),
        Column("subject", tr("Code"), "code"),
    )
    work = read_days_work(reading, now=now)
    rows = [
        (tr(row.section), row.name, row.what, row.reason, row.due, row.code) for row in work.waiting
    ]
    notes = [say_put_off(len(work.put_off))] if work.put_off else []
    return Table("today", tr("Today"), columns, rows, notes)


def say_put_off(count: int) -> str:
    """How many lines were put off."""
    return tr("{count} put off").format(count=count)


def order_rows(reading: Reading, terms: FarmTerms, last: str) -> Iterator[TodayRow]:
    """Open orders that are due by a day."""
    formats = terms.formats
    for order in orders_summed(reading):
        if order.status != "open" or order.due_on > last:
            continue
        late = age_days(order.due_on, terms.today)
        days = formats.count(late, "day", "days")
        usual = (
            tr("{days} late").format(days=days)
            if late > 0
            else tr("due {day}").format(day=formats.near_day(order.due_on))
        )
        when = {0: tr("due today"), -1: tr("due tomorrow")}.get(late, usual)
        section = "Late" if late > 0 else "Ship"
        lines = formats.count(order.lines, "line", "lines")
        reason = f"{when}, {lines}"
        yield TodayRow(
            section, order.name, order.name, order.customer, reason, order.due_on,
            grade=int(late == 0),
        )  # fmt: skip


def _weigh(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    for pick in reading.all(Pick, status="open"):
        day = local_day(pick.picked_at, terms.farm.zone)
        reason = tr("picked {day} and not weighed yet").format(day=terms.formats.day(day))
        what = terms.species_name(pick.species)
        yield TodayRow("Weigh", code_of(pick.id), pick.name, what, reason, day)


def pick_rows(
    reading: Reading, terms: FarmTerms, last: str, *, after: str = ""
) -> Iterator[TodayRow]:
    """Bags of each batch for which the species' shortest wait is over by a day.

    Those whose wait was over on the day `after` already are left out.
    """
    species = {one.id: one for one in reading.all(Species)}
    found: dict[tuple[int, str, str], list[_Due]] = {}
    for one in bags_to_fruit(reading):
        kind = species[one.species]
        due = _due(one, kind, terms)
        if due is not None and after < due.due <= last:
            found.setdefault((one.batch, one.name, kind.name), []).append(due)
    for (batch, name, what), waiting in found.items():
        ordered = sorted(waiting, key=lambda due: due.due)
        reason = "; ".join(due.reason for due in ordered)
        bags = sum(due.bags for due in ordered)
        yield TodayRow("Pick", code_of(batch), name, what, reason, ordered[0].due, grade=bags)


@dataclass(frozen=True)
class _Due:
    due: str
    reason: str
    bags: int


def _due(one: Fruiting, species: Species, terms: FarmTerms) -> _Due | None:
    bags = terms.formats.count(one.bags, "bag", "bags")
    if one.picked_on is None or one.flush == 0:
        if one.opened_on is None:
            return None
        due = day_plus(one.opened_on, species.open_pick_days_low)
        reason = tr("{bags} opened {day}").format(bags=bags, day=terms.formats.day(one.opened_on))
    else:
        if one.stage != RESTING and one.flush >= species.flushes:
            return None
        due = day_plus(one.picked_on, species.rest_days_low)
        reason = tr("{bags} after flush {flush}, picked {day}").format(
            bags=bags, flush=one.flush, day=terms.formats.day(one.picked_on)
        )
    return _Due(due, reason, one.bags)


def _open(batches: Sequence[BatchRow], terms: FarmTerms) -> Iterator[TodayRow]:
    formats = terms.formats
    for row in batches:
        if row.colonised:
            bags = formats.count(row.colonised, "bag is", "bags are")
            reason = tr("{bags} colonised").format(bags=bags)
            if row.colonised_on:
                reason = tr("{bags} colonised since {day}").format(
                    bags=bags, day=formats.day(row.colonised_on)
                )
            due, grade = row.colonised_on or row.ready_from, _COLONISED
        elif row.window in ("within", "overdue"):
            bags = formats.count(row.incubating, "bag", "bags")
            last = formats.day(row.ready_to)
            words, grade = tr("{bags}, expected ready by {day}"), _EXPECTED
            if row.window == "overdue":
                words, grade = tr("{bags}, overdue: expected ready by {day}"), _OVERDUE
            reason = words.format(bags=bags, day=last)
            due = row.ready_from
        else:
            continue
        yield TodayRow("Open", row.code, row.name, row.species, reason, due, grade=grade)


def _look(batches: Sequence[BatchRow], terms: FarmTerms) -> Iterator[TodayRow]:
    """Batches that incubate and hold a bag that was not looked at for some days."""
    for row in batches:
        unseen = row.days_unseen
        if row.incubating + row.colonised == 0 or unseen is None or unseen < terms.farm.walk_days:
            continue
        days = terms.formats.count(unseen, "day", "days")
        reason = tr("not walked for {days}").format(days=days)
        missed = int(unseen >= 2 * terms.farm.walk_days)
        yield TodayRow(
            "Look at", row.code, row.name, row.species, reason, row.looked_on, grade=missed
        )


def _sell(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    for lot in lots_on_hand(reading):
        row = stock_row(lot, terms)
        why = _why_now(row, terms)
        if why:
            left = terms.formats.mass(row.left_mg)
            is_past = row.days_left is not None and row.days_left < 0
            yield TodayRow(
                "Sell first", row.code, row.lot, row.what, f"{left}, {why}", row.shelf_on,
                grade=int(is_past),
            )  # fmt: skip


def _why_now(row: StockRow, terms: FarmTerms) -> str:
    if row.shelf_on is None or row.days_left is None:
        return ""
    if row.days_left < 0:
        return tr("past its shelf date of {day}: check it").format(
            day=terms.formats.day(row.shelf_on)
        )
    if row.sell_by is not None and row.sell_by < terms.today:
        return tr("past its sell-by day of {day}").format(day=terms.formats.day(row.sell_by))
    if row.days_left <= SELL_DAYS:
        days = terms.formats.count(row.days_left, "day", "days")
        ends = tr("shelf date in {days}").format(days=days)
        return ends if row.days_left else tr("shelf date is today")
    return ""


def _spawn(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    last = day_plus(terms.today, USE_BY_DAYS)
    for one in reading.all(Spawn, status="kept"):
        if one.left_mg <= 0:
            continue
        left = tr("{mass} left").format(mass=terms.formats.mass(one.left_mg))
        if one.use_by is not None and one.use_by <= last:
            is_past = one.use_by < terms.today
            ends, grade = tr("past its day") if is_past else tr("to be used up"), 1 + is_past
            reason = f"{left}, {ends}: {terms.formats.day(one.use_by)}"
        elif one.left_mg * 100 <= one.made_mg * SPAWN_LEFT_PERCENT:
            reason = tr("{left} of {mass}").format(left=left, mass=terms.formats.mass(one.made_mg))
            grade = 0
        else:
            continue
        what = one.grain or tr("spawn")
        yield TodayRow("Spawn", code_of(one.id), one.name, what, reason, one.use_by, grade=grade)
