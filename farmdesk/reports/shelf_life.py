"""Shelf life as life used up: what each lot on hand went through, and what is left of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from farmdesk.arithmetic.mean_kinetic import find_mean_kinetic
from farmdesk.arithmetic.shelf import SellByRule, ShelfNode, find_shelf_life, use_life
from farmdesk.domain.catalogue import Room
from farmdesk.domain.climate import ShelfSetting
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days, day_plus, from_iso, local_day, to_iso
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.lot_history import (
    COLD_STORE,
    LOOSE,
    History,
    RoomTemperatures,
    Standing,
    StorageLives,
    clip_standings,
    iso_of,
    say_rooms,
    standings_of,
)
from farmdesk.store.climate import second_of
from farmdesk.store.room_stays import lot_stays
from farmdesk.store.shelf_lots import LotFacts, emptied_at, lots_followed, sources_of
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

FOLLOWED_DAYS = 45
"""So long after it was made a lot that is gone is still followed, for who got it."""
TOO_LATE, AS_PRINTED, LONGER, OVER, UNKNOWN = "too_late", "as", "longer", "over", "unknown"


@dataclass(frozen=True)
class FollowedLot:
    """A lot, where it stood from its making until now or until it was gone, and its sources.

    `sources` are, of packs, the picks they were filled from with where each stood until then;
    of a pick there are none. `species` are those whose lives count.
    """

    facts: LotFacts
    start: int
    end: int
    standings: tuple[Standing, ...]
    species: tuple[int, ...]
    sources: tuple[tuple[int, tuple[Standing, ...]], ...] = ()


@dataclass(frozen=True)
class LotLife:
    """What a lot used up of its life, and the dates that follow if it stays where it is.

    `used` is a share, 1 is all; None where no life of its species is known. `state` compares
    with the printed dates: too_late, as, longer, over (all life is used), unknown.
    """

    lot: FollowedLot
    history: History
    used: float | None
    left_days: float | None
    ends_on: str | None
    sell_by: str | None
    mean_kinetic_c: float | None
    is_clamped: bool
    state: str
    days_late: int


@dataclass(frozen=True)
class _Use:
    """The share of life used, of it before the lot was made, and days of a whole life here."""

    used: float
    used_before: float
    life_days: float
    is_clamped: bool


@dataclass(frozen=True)
class ShelfBook:
    """All lots followed, the temperatures of the rooms, and the lives that are known."""

    terms: FarmTerms
    rule: SellByRule
    lives: StorageLives
    temperatures: RoomTemperatures
    lots: tuple[FollowedLot, ...]

    def on_hand(self) -> list[LotLife]:
        """The lives of what is on hand, the earliest end first."""
        found = [judge(self, one) for one in self.lots if one.facts.left > 0]
        return sorted(found, key=lambda one: (one.ends_on or "9999", one.lot.facts.name))


def shelf_rule(reading: Reading) -> SellByRule:
    """What the sell-by share is a share of on this farm."""
    known = reading.first(ShelfSetting)
    return "of_total" if known is not None and known.rule == "of_total" else "of_remaining"


def read_shelf(reading: Reading, *, now: str | None = None) -> ShelfBook:
    """Every lot that is on hand or was made lately, with where it stood."""
    terms = read_terms(reading, now)
    facts = lots_followed(reading, day_plus(terms.today, -FOLLOWED_DAYS))
    sources = sources_of(reading, [one.id for one in facts if one.is_pack])
    picks = {pick for found in sources.values() for pick, _, _ in found}
    stays = lot_stays(reading, sorted({one.id for one in facts} | picks))
    gone = emptied_at(reading, [one.id for one in facts if not one.left])
    instant = second_of(terms.now)
    usual = _only_store(reading)
    lots: list[FollowedLot] = []
    for one in facts:
        own = stays.get(one.id, [])
        start = _start_of(one, own[0].since if own else None)
        end = max(start, instant if one.left else second_of(gone.get(one.id, terms.now)))
        filled = sources.get(one.id, [])
        lots.append(
            FollowedLot(
                one, start, end, tuple(standings_of(own, start, end, usual)),
                tuple({species for _, species, _ in filled}) or _only(one.species),
                tuple(
                    (species, tuple(standings_of(stays.get(pick, []), second_of(at), start, usual)))
                    for pick, species, at in filled
                ),
            )
        )  # fmt: skip
    first = min((_first_second(one) for one in lots), default=instant - 3_600)
    temperatures = RoomTemperatures(
        reading, terms.farm, _rooms_of(reading, lots), start=first, end=instant
    )
    return ShelfBook(terms, shelf_rule(reading), StorageLives(reading), temperatures, tuple(lots))


def judge(book: ShelfBook, lot: FollowedLot) -> LotLife:
    """What a lot used up until now, and its dates if it stays where it is."""
    history = book.temperatures.follow(_all_standings(lot))
    kinetic = find_mean_kinetic(history.stays) if history.hours > 0 else None
    found = [_use(book, lot, species) for species in lot.species]
    known = [one for one in found if one is not None]
    if not known or len(known) < len(found):
        return LotLife(lot, history, None, None, None, None, kinetic, False, UNKNOWN, 0)
    # Of a mix the one that ends first counts.
    worst = min(known, key=lambda one: (1 - one.used) * one.life_days)
    left = max(0.0, 1 - worst.used) * worst.life_days
    # The sell-by day was settled when the lot was made: it is a share used, of life or of the rest.
    share = book.terms.farm.sell_by_percent / 100
    if book.rule == "of_remaining":
        share = worst.used_before + share * max(0.0, 1 - worst.used_before)
    sell = max(0.0, share - worst.used) * worst.life_days
    ends_on, sell_by = (_day_after(book.terms, lot.end, days) for days in (left, sell))
    if sell <= 0:
        # That day lies behind; nobody followed the lot hour by hour to know when.
        sell_by = min(sell_by, lot.facts.sell_by or sell_by)
    state, late = _compare(book, lot.facts, ends_on, sell_by, worst.used)
    return LotLife(
        lot, history, worst.used, left, ends_on, sell_by, kinetic, worst.is_clamped, state, late
    )


def lives_table(book: ShelfBook, lives: Sequence[LotLife] | None = None) -> Table:
    """Lots on hand with their life used, the dates that follow, and the printed ones."""
    formats = book.terms.formats
    unit = f"°{formats.temperature_unit}"
    columns = (
        Column("lot", tr("Lot")),
        Column("what", tr("What")),
        Column("used", tr("Life used"), "percent"),
        Column("left", tr("Days left"), "number", digits=1),
        Column("ends_on", tr("Ends on"), "day"),
        Column("shelf_on", tr("Printed"), "day"),
        Column("state", tr("The printed date")),
        Column("sell_by", tr("Sell by, from life used"), "day"),
        Column("sell_printed", tr("Sell by, printed"), "day"),
        Column(
            f"kinetic_{formats.temperature_unit.lower()}",
            tr("Mean kinetic"),
            "number",
            unit=unit,
            digits=1,
        ),
        Column("read", tr("Hours read"), "number", digits=0),
        Column("set", tr("Hours at the set temperature"), "number", digits=0),
        Column("where", tr("Stood in")),
    )
    found = book.on_hand() if lives is None else lives
    rows = [_row(book, one) for one in found]
    return Table("shelf_lives", tr("Life of lots on hand"), columns, rows,
                 notes=list(_notes(book, found)))  # fmt: skip


def shelf_table(reading: Reading, *, now: str | None = None) -> Table:
    """Lots on hand with their life used, as a report."""
    return lives_table(read_shelf(reading, now=now))


def dates_to_shorten(lives: Sequence[LotLife]) -> dict[int, tuple[str, str | None]]:
    """The earlier dates of lots whose printed date is too late, by lot: (shelf date, sell-by)."""
    return {
        one.lot.facts.id: (min(one.ends_on, one.lot.facts.shelf_on or one.ends_on), one.sell_by)
        for one in lives
        if one.state == TOO_LATE and one.ends_on is not None
    }


def name_of_lot(book: ShelfBook, facts: LotFacts) -> str:
    """What a lot is: its product, or its species."""
    return facts.what or book.terms.species_name(facts.species)


def life_cost(
    book: ShelfBook, lot: FollowedLot, start: int, end: int, usual_c: float
) -> float | None:
    """Days of life (at a usual temperature) that a lot lost between two seconds by warmth alone."""
    history = book.temperatures.follow(clip_standings(lot.standings, start, end))
    costs = []
    for species in lot.species:
        nodes = _nodes(book, lot, species)
        if nodes:
            life = find_shelf_life(nodes, usual_c).days
            used = use_life(nodes, history.stays).used
            costs.append(used * life - history.hours / 24)
    return max(costs, default=None)


def _use(book: ShelfBook, lot: FollowedLot, species: int) -> _Use | None:
    nodes = _nodes(book, lot, species)
    loose = book.lives.nodes(species) or nodes
    if not nodes:
        return None
    before, is_clamped = 0.0, False
    for one, standings in lot.sources:
        if one == species:
            spent = use_life(loose, book.temperatures.follow(standings).stays)
            before, is_clamped = max(before, spent.used), is_clamped or spent.is_clamped
    spent = use_life(nodes, book.temperatures.follow(lot.standings).stays)
    room = lot.standings[-1].room if lot.standings else lot.facts.room
    life = find_shelf_life(nodes, book.temperatures.set_c(room))
    is_clamped = is_clamped or spent.is_clamped or bool(life.clamp)
    return _Use(before + spent.used, before, life.days, is_clamped)


def _nodes(book: ShelfBook, lot: FollowedLot, species: int) -> Sequence[ShelfNode]:
    return book.lives.nodes(species, lot.facts.wrap if lot.facts.is_pack else LOOSE)


def _all_standings(lot: FollowedLot) -> list[Standing]:
    """Where a lot stood, packs together with the longest standing of their sources."""
    before = max((one for _, one in lot.sources), key=_seconds, default=())
    return [*before, *lot.standings]


def _seconds(standings: Sequence[Standing]) -> int:
    return sum(one.end - one.start for one in standings)


def _only_store(reading: Reading) -> int | None:
    """The farm's cold store where there is just one: a lot that nobody placed stands there."""
    stores = [one.id for one in reading.all(Room) if one.use == COLD_STORE and not one.retired]
    return stores[0] if len(stores) == 1 else None


def _rooms_of(reading: Reading, lots: Sequence[FollowedLot]) -> set[int]:
    """Every room that a lot stood in, and the cold stores."""
    parts = [part for lot in lots for part in (lot.standings, *(one for _, one in lot.sources))]
    found = {one.room for part in parts for one in part if one.room is not None}
    return found | {one.id for one in reading.all(Room) if one.use == COLD_STORE}


def _start_of(facts: LotFacts, first_entry: str | None) -> int:
    """A pick begins when it was picked, packs when they were entered (their day has no time)."""
    if facts.is_pack:
        return second_of(first_entry or f"{facts.since}T12:00:00Z")
    return second_of(facts.since)


def _first_second(lot: FollowedLot) -> int:
    return min([lot.start, *(part.start for _, parts in lot.sources for part in parts)])


def _only(species: int | None) -> tuple[int, ...]:
    return () if species is None else (species,)


def _day_after(terms: FarmTerms, second: int, days: float) -> str:
    end = from_iso(iso_of(second)) + timedelta(days=days)
    return local_day(to_iso(end), terms.farm.zone)


def _compare(
    book: ShelfBook, facts: LotFacts, ends_on: str, sell_by: str, used: float
) -> tuple[str, int]:
    """How the printed dates stand, and by how many days they are too late."""
    if facts.shelf_on is None:
        return UNKNOWN, 0
    late = age_days(ends_on, facts.shelf_on)
    if facts.sell_by is not None and facts.sell_by >= book.terms.today:
        late = max(late, age_days(sell_by, facts.sell_by))
    if late > 0:
        return TOO_LATE, late
    if used >= 1:
        return OVER, 0
    return (LONGER if late < 0 else AS_PRINTED), late


def _row(book: ShelfBook, one: LotLife) -> tuple[object, ...]:
    facts, formats = one.lot.facts, book.terms.formats
    kinetic = None
    if one.mean_kinetic_c is not None:
        celsius = round(one.mean_kinetic_c, 2)
        kinetic = celsius * 1.8 + 32 if formats.temperature_unit == "F" else celsius
    return (
        facts.name,
        name_of_lot(book, facts),
        None if one.used is None else 100 * one.used,
        one.left_days,
        one.ends_on,
        facts.shelf_on,
        _say_state(book, one),
        one.sell_by,
        facts.sell_by,
        kinetic,
        one.history.hours_read,
        one.history.hours_set,
        _say_where(book, one.lot),
    )


def _say_state(book: ShelfBook, one: LotLife) -> str:
    words: Mapping[str, str] = {
        TOO_LATE: tr("⚠ now too late by {days}").format(
            days=book.terms.formats.count(one.days_late, tr("day"), tr("days"))
        ),
        AS_PRINTED: tr("holds"),
        LONGER: tr("holds; it is never extended"),
        OVER: tr("its life is used up"),
        UNKNOWN: tr("no life is known"),
    }
    return words[one.state]


def _say_where(book: ShelfBook, lot: FollowedLot) -> str:
    rooms = say_rooms(_all_standings(lot), book.terms.rooms)
    return " → ".join(one or tr("not noted") for one in rooms)


def _notes(book: ShelfBook, lives: Sequence[LotLife]) -> list[str]:
    formats = book.terms.formats
    late = [one.lot.facts.name for one in lives if one.state == TOO_LATE]
    first = tr("Every printed date holds.")
    if late:
        first = tr(
            "⚠ Printed dates that now come too late: {lots}. Bring them forward, print new labels."
        ).format(lots=", ".join(late))
    read = sum(one.history.hours_read for one in lives)
    hours = sum(one.history.hours for one in lives)
    share = formats.percent(100 * read / hours) if hours else formats.percent(0)
    rule = tr("what remains") if book.rule == "of_remaining" else tr("the whole life")
    return [
        first,
        tr(
            "Life used: hours at each temperature over the life known at it, summed. {share} of the"
            " hours were read by a logger or a person; all others count at the set temperature. A"
            " lot that nobody placed is taken to stand in the cold store, where there is only one."
        ).format(share=share),
        tr(
            "Sell by: {percent} of {rule}. From now on the set temperature counts ({cold} in the"
            " cold store). Air is not the mushroom: estimates, so look before selling."
        ).format(
            percent=formats.percent(book.terms.farm.sell_by_percent, 0), rule=rule,
            cold=formats.temperature(book.terms.farm.cold_store_c),
        ),
    ]  # fmt: skip
