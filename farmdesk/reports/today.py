"""What the day asks for: look at, open, pick, weigh, sell, ship and make, each with its reason."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from farmdesk.domain.catalogue import Species
from farmdesk.domain.codes import code_of
from farmdesk.domain.harvest import Pick
from farmdesk.domain.lab import Spawn
from farmdesk.domain.stages import RESTING
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days, day_plus, local_day
from farmdesk.reports.batches import BatchRow, list_batches
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.plan_batches import todo_this_week
from farmdesk.reports.week import StockRow, stock_row
from farmdesk.store.lists import Fruiting, bags_to_fruit, lots_on_hand
from farmdesk.store.trade_sums import orders_summed
from farmdesk.store.transaction import Reading

UNSEEN_DAYS = 3
SELL_DAYS = 2
SPAWN_LEFT_PERCENT = 20
USE_BY_DAYS = 3
SECTIONS = ("Late", "Weigh", "Pick", "Open", "Look at", "Ship", "Sell first", "Spawn", "Plan")
"""In the order in which a day's work is looked through."""


@dataclass(frozen=True)
class TodayRow:
    """One thing to do. `subject` is what to go to: a code, or an order's name; `due` a day."""

    section: str
    subject: str
    name: str
    what: str
    reason: str
    due: str | None


def list_today(reading: Reading, *, now: str | None = None) -> list[TodayRow]:
    """Everything that waits, by section, the longest waiting first."""
    terms = read_terms(reading, now)
    batches = list_batches(reading, now=terms.now)
    rows = [
        *_orders(reading, terms),
        *_weigh(reading, terms),
        *_pick(reading, terms),
        *_open(batches, terms),
        *_look(batches, terms),
        *_sell(reading, terms),
        *_spawn(reading, terms),
        *(
            TodayRow("Plan", todo.name, todo.name, todo.what, todo.reason, todo.due)
            for todo in todo_this_week(reading, terms.today)
        ),
    ]
    return sorted(rows, key=lambda row: (SECTIONS.index(row.section), row.due or "9", row.name))


def today_table(reading: Reading, *, now: str | None = None) -> Table:
    """The day's work as a table."""
    columns = (
        Column("section", "Do"),
        Column("name", "What"),
        Column("what", "Which"),
        Column("reason", "Why"),
        Column("due", "Since or until", "day"),
        Column("subject", "Code", "code"),
    )
    rows = [
        (row.section, row.name, row.what, row.reason, row.due, row.subject)
        for row in list_today(reading, now=now)
    ]
    return Table("today", "Today", columns, rows)


def _orders(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    formats = terms.formats
    for order in orders_summed(reading):
        if order.status != "open" or order.due_on > day_plus(terms.today, 1):
            continue
        late = age_days(order.due_on, terms.today)
        when = {0: "due today", -1: "due tomorrow"}.get(
            late, f"{formats.count(late, 'day', 'days')} late"
        )
        section = "Late" if late > 0 else "Ship"
        lines = formats.count(order.lines, "line", "lines")
        reason = f"{when}, {lines}"
        yield TodayRow(section, order.name, order.name, order.customer, reason, order.due_on)


def _weigh(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    for pick in reading.all(Pick, status="open"):
        day = local_day(pick.picked_at, terms.farm.zone)
        reason = f"picked {terms.formats.day(day)} and not weighed yet"
        what = terms.species_name(pick.species)
        yield TodayRow("Weigh", code_of(pick.id), pick.name, what, reason, day)


def _pick(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    """Bags of each batch for which the species' shortest wait is over."""
    species = {one.id: one for one in reading.all(Species)}
    found: dict[tuple[int, str, str], list[_Due]] = {}
    for one in bags_to_fruit(reading):
        kind = species[one.species]
        due = _due(one, kind, terms)
        if due is not None:
            found.setdefault((one.batch, one.name, kind.name), []).append(due)
    for (batch, name, what), waiting in found.items():
        ordered = sorted(waiting, key=lambda due: due.due)
        reason = "; ".join(due.reason for due in ordered)
        yield TodayRow("Pick", code_of(batch), name, what, reason, ordered[0].due)


@dataclass(frozen=True)
class _Due:
    due: str
    reason: str


def _due(one: Fruiting, species: Species, terms: FarmTerms) -> _Due | None:
    bags = terms.formats.count(one.bags, "bag", "bags")
    if one.picked_on is None or one.flush == 0:
        if one.opened_on is None:
            return None
        due = day_plus(one.opened_on, species.open_pick_days_low)
        reason = f"{bags} opened {terms.formats.day(one.opened_on)}"
    else:
        if one.stage != RESTING and one.flush >= species.flushes:
            return None
        due = day_plus(one.picked_on, species.rest_days_low)
        reason = f"{bags} after flush {one.flush}, picked {terms.formats.day(one.picked_on)}"
    return _Due(due, reason) if due <= terms.today else None


def _open(batches: Sequence[BatchRow], terms: FarmTerms) -> Iterator[TodayRow]:
    formats = terms.formats
    for row in batches:
        if row.colonised:
            since = f" since {formats.day(row.colonised_on)}" if row.colonised_on else ""
            reason = f"{formats.count(row.colonised, 'bag is', 'bags are')} colonised{since}"
            due = row.colonised_on or row.ready_from
        elif row.window in ("within", "overdue"):
            bags = formats.count(row.incubating, "bag", "bags")
            last = formats.day(row.ready_to)
            until = f"expected ready by {last}"
            reason = f"{bags}, {until}" if row.window == "within" else f"{bags}, overdue: {until}"
            due = row.ready_from
        else:
            continue
        yield TodayRow("Open", row.code, row.name, row.species, reason, due)


def _look(batches: Sequence[BatchRow], terms: FarmTerms) -> Iterator[TodayRow]:
    """Batches that incubate and hold a bag that was not looked at for some days."""
    for row in batches:
        unseen = row.days_unseen
        if row.incubating + row.colonised == 0 or unseen is None or unseen <= UNSEEN_DAYS:
            continue
        reason = f"not walked for {terms.formats.count(unseen, 'day', 'days')}"
        yield TodayRow("Look at", row.code, row.name, row.species, reason, row.looked_on)


def _sell(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    for lot in lots_on_hand(reading):
        row = stock_row(lot, terms)
        why = _why_now(row, terms)
        if why:
            left = terms.formats.mass(row.left_mg)
            yield TodayRow(
                "Sell first", row.code, row.lot, row.what, f"{left}, {why}", row.shelf_on
            )


def _why_now(row: StockRow, terms: FarmTerms) -> str:
    if row.shelf_on is None or row.days_left is None:
        return ""
    if row.days_left < 0:
        return f"past its shelf date of {terms.formats.day(row.shelf_on)}: check it"
    if row.sell_by is not None and row.sell_by < terms.today:
        return f"past its sell-by day of {terms.formats.day(row.sell_by)}"
    if row.days_left <= SELL_DAYS:
        days = terms.formats.count(row.days_left, "day", "days")
        return f"shelf date in {days}" if row.days_left else "shelf date is today"
    return ""


def _spawn(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    last = day_plus(terms.today, USE_BY_DAYS)
    for one in reading.all(Spawn, status="kept"):
        if one.left_mg <= 0:
            continue
        left = f"{terms.formats.mass(one.left_mg)} left"
        if one.use_by is not None and one.use_by <= last:
            ends = "past its day" if one.use_by < terms.today else "to be used up"
            reason = f"{left}, {ends}: {terms.formats.day(one.use_by)}"
        elif one.left_mg * 100 <= one.made_mg * SPAWN_LEFT_PERCENT:
            reason = f"{left} of {terms.formats.mass(one.made_mg)}"
        else:
            continue
        yield TodayRow("Spawn", code_of(one.id), one.name, one.grain or "spawn", reason, one.use_by)
