"""Warm hours in the cold rooms: when, how warm, which lots stood there, and who got them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from farmdesk.arithmetic.climate_spans import Stretch, find_spells
from farmdesk.domain.catalogue import Room
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import local_day
from farmdesk.reports.lot_history import COLD_STORE, clip_standings, iso_of
from farmdesk.reports.shelf_life import FollowedLot, ShelfBook, life_cost, name_of_lot, read_shelf
from farmdesk.store.shelf_lots import Sent, sent_of
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

# A door left open for a delivery warms a store by a degree or two: common practice, no source.
SPARE_C = 2.0


@dataclass(frozen=True)
class TouchedLot:
    """A lot that stood in a room during its warm hours: the life they cost, and who got it."""

    lot: FollowedLot
    lost_days: float | None
    sent: tuple[Sent, ...]


@dataclass(frozen=True)
class WarmSpell:
    """A run of warm hours in a room, with the lots that stood there."""

    room: Room
    stretch: Stretch
    limit_c: float
    touched: tuple[TouchedLot, ...]


def find_warm_spells(reading: Reading, book: ShelfBook) -> list[WarmSpell]:
    """Warm spells of the cold stores while lots were followed, newest first."""
    sent = sent_of(reading, [one.facts.id for one in book.lots])
    found = []
    for room in book.temperatures.rooms.values():
        if room.use != COLD_STORE:
            continue
        limit = limit_of(room, book)
        hours = book.temperatures.means(room.id)
        for stretch in find_spells(hours, limit, start=book.temperatures.start):
            touched = _touched(book, room, stretch, sent)
            found.append(WarmSpell(room, stretch, limit, tuple(touched)))
    return sorted(found, key=lambda one: one.stretch.start, reverse=True)


def limit_of(room: Room, book: ShelfBook) -> float:
    """Above what an hour counts as warm: the room's own limit, else the set figure and two."""
    if room.temperature_c_high is not None:
        return float(room.temperature_c_high)
    return float(book.terms.farm.cold_store_c) + SPARE_C


def spells_table(book: ShelfBook, spells: list[WarmSpell]) -> Table:
    """Each warm spell with how much stood there."""
    formats = book.terms.formats
    unit = f"°{formats.temperature_unit}"
    columns = (
        Column("room", tr("Room")),
        Column("from", tr("From"), "instant"),
        Column("to", tr("To"), "instant"),
        Column("hours", tr("Hours"), "integer"),
        Column(
            f"peak_{formats.temperature_unit.lower()}",
            tr("Warmest hour"),
            "number",
            unit=unit,
            digits=1,
        ),
        Column(
            f"limit_{formats.temperature_unit.lower()}", tr("Limit"), "number", unit=unit, digits=1
        ),
        Column("lots", tr("Lots there"), "integer"),
        Column("lost", tr("Most life lost, days"), "number", digits=1),
        Column("customers", tr("Customers who got some")),
    )
    rows = [
        (
            one.room.name, iso_of(one.stretch.start), iso_of(one.stretch.end),
            round(one.stretch.hours), _shown(one.stretch.value or 0.0, unit),
            _shown(one.limit_c, unit), len(one.touched), _most_lost(one),
            ", ".join(sorted({sent.customer for lot in one.touched for sent in lot.sent})),
        )
        for one in spells
    ]  # fmt: skip
    note = tr(
        "Hours whose mean lies above the room's highest temperature in the catalogue, else {spare}"
        " above the set one. Only hours with readings can be seen."
    )
    spare = f"{SPARE_C * 1.8 if unit == '°F' else SPARE_C:g} {unit}"
    first = [] if rows else [tr("No warm hour was read while these lots stood.")]
    notes = [*first, note.format(spare=spare)]
    return Table("warm_spells", tr("Warm hours"), columns, rows, notes=notes)


def touched_table(book: ShelfBook, spells: list[WarmSpell]) -> Table:
    """Every lot that warm hours touched, with what is left here and who got the rest."""
    columns = (
        Column("lot", tr("Lot")),
        Column("what", tr("What")),
        Column("from", tr("Warm from"), "instant"),
        Column("hours", tr("Hours"), "integer"),
        Column("lost", tr("Life lost, days"), "number", digits=1),
        Column("left", tr("On hand")),
        Column("customer", tr("Customer")),
        Column("delivery", tr("Delivery")),
        Column("delivered_on", tr("Sent on"), "day"),
        Column("sent", tr("Amount")),
    )
    rows = [row for one in spells for lot in one.touched for row in _rows(book, one, lot)]
    note = tr(
        "A customer stands here when the lot went to them on or after the day of the warm hours."
        " Whether to call them is yours to decide: the date that their label says may be too late."
    )
    first = [] if rows else [tr("No lot stood in warm hours.")]
    return Table("warm_lots", tr("Lots and customers touched"), columns, rows, notes=[*first, note])


def warm_lots_table(reading: Reading, *, now: str | None = None) -> Table:
    """Lots and customers touched by warm hours, as a report."""
    book = read_shelf(reading, now=now)
    return touched_table(book, find_warm_spells(reading, book))


def _touched(
    book: ShelfBook, room: Room, stretch: Stretch, sent: dict[int, list[Sent]]
) -> Iterator[TouchedLot]:
    day = local_day(iso_of(stretch.start), book.terms.farm.zone)
    usual = book.temperatures.set_c(room.id)
    for lot in book.lots:
        here = [one for one in lot.standings if one.room == room.id]
        if not list(clip_standings(here, stretch.start, stretch.end)):
            continue
        lost = life_cost(book, lot, stretch.start, stretch.end, usual)
        after = tuple(one for one in sent.get(lot.facts.id, []) if one.delivered_on >= day)
        yield TouchedLot(lot, lost, after)


def _most_lost(one: WarmSpell) -> float | None:
    return max((lot.lost_days for lot in one.touched if lot.lost_days is not None), default=None)


def _rows(book: ShelfBook, spell: WarmSpell, touched: TouchedLot) -> Iterator[tuple[object, ...]]:
    facts, formats = touched.lot.facts, book.terms.formats
    left = _say_amount(book, 0 if facts.is_pack else facts.left, facts.left if facts.is_pack else 0)
    start = max(spell.stretch.start, touched.lot.start)
    head = (
        facts.name, name_of_lot(book, facts), iso_of(start),
        round((min(spell.stretch.end, touched.lot.end) - start) / 3_600),
        touched.lost_days, left if facts.left else formats.number(0),
    )  # fmt: skip
    for one in touched.sent:
        amount = _say_amount(book, one.amount_mg if not one.packs else 0, one.packs)
        yield (*head, one.customer, one.delivery, one.delivered_on, amount)
    if not touched.sent:
        yield (*head, "", "", None, "")


def _say_amount(book: ShelfBook, mg: int, packs: int) -> str:
    if packs:
        return book.terms.formats.count(packs, "pack", "packs")
    return book.terms.formats.mass(mg)


def _shown(celsius: float, unit: str) -> float:
    return celsius * 1.8 + 32 if unit == "°F" else celsius
