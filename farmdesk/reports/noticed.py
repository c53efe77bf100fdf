"""What the program noticed by itself: batches that lag, bags unseen, goods low, rooms too full,
bills unpaid, clocks and counts left open.

Only what is cheap to read with every look at the day.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from farmdesk.domain.catalogue import Customer, Room
from farmdesk.domain.stocktake import Stocktake
from farmdesk.domain.trade import Invoice
from farmdesk.quantities.times import age_days, day_plus, local_day
from farmdesk.reports.batches import BatchRow
from farmdesk.reports.cost_words import TASK_WORDS
from farmdesk.reports.farm_terms import FarmTerms
from farmdesk.reports.lab_growth import list_growth
from farmdesk.reports.today_rows import NOTICED, TodayRow
from farmdesk.store.bag_lives import bags_unseen
from farmdesk.store.noticed import forgotten_clocks, goods_used, overdue_invoices
from farmdesk.store.transaction import Reading
from farmdesk.store.week import bags_standing
from farmdesk.wording.language import tr

LAG_DAYS = 3
"""So long after its days a batch is told; a walk may be due first."""
GOODS_WEEKS = 4
"""Less than went in so many weeks is low: common practice, no source."""
MOST_UNSEEN = 200
MOST_LAGGING = 8


def notice(
    reading: Reading, terms: FarmTerms, batches: Sequence[BatchRow] = ()
) -> Iterator[TodayRow]:
    """Lines for what was noticed; each is gone when what it tells of was put right."""
    yield from _lagging(batches, terms)
    yield from _unseen(reading, terms)
    yield from _goods_low(reading, terms)
    yield from _full_rooms(reading, terms)
    yield from _unpaid(reading, terms)
    yield from _slow_cultures(reading, terms)
    for one in reading.all(Stocktake, status="open"):
        day = local_day(one.started_at, terms.farm.zone)
        if day < terms.today:
            reason = tr("a count of the cold store was begun and not finished")
            yield TodayRow(NOTICED, one.name, one.name, tr("Stocktake"), reason, day, "cold_store")
    for work in forgotten_clocks(reading, terms.today):
        reason = tr("a clock of work runs since that day: stop it, or correct it")
        yield TodayRow(
            NOTICED, "labour", tr("Clock"), TASK_WORDS[work.task], reason, work.day, "costs",
            about=f"labour {work.id}",
        )  # fmt: skip


def _lagging(batches: Sequence[BatchRow], terms: FarmTerms) -> Iterator[TodayRow]:
    """Batches that still grow in after the days in which they were to be ready, the latest first.

    Where very many lag one line tells of the rest: no day has room for hundreds.
    """
    last = day_plus(terms.today, -LAG_DAYS)
    late = [row for row in batches if row.incubating and row.ready_to and row.ready_to <= last]
    late.sort(key=lambda row: (row.ready_to, row.id))
    for row in late[:MOST_LAGGING]:
        reason = tr("{bags} not colonised, {days} after the last day expected").format(
            bags=terms.formats.count(row.incubating, "bag", "bags"),
            days=terms.formats.count(age_days(row.ready_to, terms.today), "day", "days"),
        )
        yield TodayRow(NOTICED, row.code, row.name, row.species, reason, row.ready_to, "incubation")
    if len(late) > MOST_LAGGING:
        more = terms.formats.count(len(late) - MOST_LAGGING, "batch", "batches")
        reason = tr("{batches} more not colonised in their days").format(batches=more)
        yield TodayRow(
            NOTICED, "slow", tr("Batches"), "", reason, None, "sums",
            about="batches lagging", grade=len(late),
        )  # fmt: skip


def _unseen(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    """Bags that nobody saw for two walks and more: lost, or forgotten on a shelf."""
    days = 2 * terms.farm.walk_days
    found = bags_unseen(reading, day_plus(terms.today, -days), most=MOST_UNSEEN)
    if not found:
        return
    reason = tr("{bags} not seen for more than {days}: look for them, or say that they are lost")
    bags = terms.formats.count(len(found), "bag", "bags")
    if len(found) == MOST_UNSEEN:
        bags = tr("{bags} or more").format(bags=bags)
    told = reason.format(bags=bags, days=terms.formats.count(days, "day", "days"))
    yield TodayRow(
        NOTICED, "slow", tr("Bags"), "", told, found[0].seen_on, "sums",
        about="bags unseen", grade=len(found),
    )  # fmt: skip


def _goods_low(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    """Ingredients of which less is left than went in the last weeks."""
    for one in goods_used(reading, day_plus(terms.today, -7 * GOODS_WEEKS)):
        left = max(0, one.bought_mg - one.used_mg)
        if not one.lately_mg or left >= one.lately_mg:
            continue
        reason = tr("{left} left by the books, {used} went in {weeks} weeks").format(
            left=terms.formats.mass(left), used=terms.formats.mass(one.lately_mg),
            weeks=GOODS_WEEKS,
        )  # fmt: skip
        yield TodayRow(
            NOTICED, "goods", one.name, tr("Goods"), reason, None, "costs",
            about=f"goods {one.ingredient}", grade=int(left == 0),
        )  # fmt: skip


def _full_rooms(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    bags: Counter[int] = Counter()
    for one in bags_standing(reading):
        if one.room is not None:
            bags[one.room] += one.bags
    for room in reading.all(Room):
        if room.use in ("incubation", "fruiting") and bags[room.id] > room.capacity > 0:
            reason = tr("{bags} stand in a room for {capacity}").format(
                bags=terms.formats.count(bags[room.id], "bag", "bags"), capacity=room.capacity
            )
            yield TodayRow(
                NOTICED, f"climate:{room.name}", room.name, tr("Room"), reason, None, "rooms",
                about=f"room {room.id}", grade=bags[room.id],
            )  # fmt: skip


def _unpaid(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    """Customers with bills that are overdue, the oldest day told."""
    late: dict[int, list[Invoice]] = {}
    for bill in overdue_invoices(reading, terms.today):
        late.setdefault(bill.customer, []).append(bill)
    for customer, bills in late.items():
        buyer = reading.get(Customer, customer)
        first = bills[0]
        reason = tr("{count} unpaid, {money}, the oldest due {days} ago").format(
            count=terms.formats.count(len(bills), "invoice", "invoices"),
            money=terms.formats.money(sum((one.total for one in bills), start=first.total * 0)),
            days=terms.formats.count(age_days(first.due_on, terms.today), "day", "days"),
        )
        name = buyer.name if buyer is not None else first.name
        yield TodayRow(
            NOTICED, first.name, name, tr("Customer"), reason, first.due_on, "sales",
            about=f"customer {customer}", grade=len(bills),
        )  # fmt: skip


def _slow_cultures(reading: Reading, terms: FarmTerms) -> Iterator[TodayRow]:
    """Cultures still kept that grow slower than their strain did."""
    for row in list_growth(reading):
        alarm = row.judgement
        if alarm is None or not row.is_alarm or row.culture.status != "kept":
            continue
        reason = tr("grows {now} mm a day, its strain did {before}").format(
            now=terms.formats.number(alarm.mm_per_day, 1),
            before=terms.formats.number(alarm.baseline, 1),
        )
        name = row.culture.name
        yield TodayRow(NOTICED, name, name, tr("Culture"), reason, row.last.looked_on, "lab")
