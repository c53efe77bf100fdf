"""Fruiting at a look: what is open, how long, what is expected when, and what was picked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from farmdesk.domain.catalogue import Species
from farmdesk.domain.codes import bag_name
from farmdesk.domain.stages import COLONISED, FRUITING, INCUBATING, RESTING
from farmdesk.quantities.times import age_days, day_plus, local_day
from farmdesk.reports.catalogue import Catalogue, read_catalogue
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.fruiting import (
    BagShare,
    FruitingBag,
    PickLine,
    bags_to_fruit,
    newest_picks,
    shares_of_pick,
)
from farmdesk.store.transaction import Reading

MOST_PICKS = 500
"""So many of the newest picks are shown; the week's report has all."""
_KINDS = ("species", "room", "crate", "reason", "label_stock")


@dataclass(frozen=True, order=True)
class Expected:
    """What comes next of a bag: 'open', 'pick' or 'spend', between two days; ordered by these.

    `place` is before, within or overdue; the days are '' where nothing is to be waited for.
    """

    first: str
    last: str
    what: str
    flush: int = 0
    place: str = "within"


@dataclass(frozen=True)
class BagRow:
    """A bag that fruits, rests or may be opened; days are None where it has not come to that."""

    id: int
    name: str
    batch: int
    batch_name: str
    species: str
    room: str
    stage: str
    flush: int
    opened_on: str | None
    picked_on: str | None
    days_open: int | None
    days_since_pick: int | None
    expected: Expected
    pinned_on: str | None
    shelf: str = ""


@dataclass(frozen=True)
class BatchRow:
    """The bags of a batch in one room: how many do what, and what is expected first."""

    id: str
    batch: int
    batch_name: str
    species: str
    room: str
    waiting: int
    fruiting: int
    resting: int
    flushes: str
    days_open: int | None
    days_since_pick: int | None
    expected: Expected
    bags: tuple[int, ...]


@dataclass(frozen=True)
class PickRow:
    """A pick as the list shows it."""

    id: int
    name: str
    species: str
    crate: str
    crate_tare_mg: int
    bags: int
    flush: int
    grade: str
    picked_on: str
    picked_at: str
    gross_mg: int | None
    tare_mg: int | None
    net_mg: int | None
    typed: str
    left_mg: int
    shelf_on: str | None
    is_weighed: bool
    note: str


@dataclass(frozen=True)
class ShareRow:
    """What one bag gave to a pick."""

    id: int
    name: str
    flush: int
    amount_mg: int
    how: str


@dataclass(frozen=True)
class FruitingThings:
    """The lists of the page, with what its forms choose from."""

    terms: FarmTerms
    catalogue: Catalogue
    bags: tuple[BagRow, ...]
    batches: tuple[BatchRow, ...]
    picks: tuple[PickRow, ...]

    def pickable(self) -> list[BagRow]:
        """Opened bags first, then the ones that could be opened."""
        return sorted(self.bags, key=lambda bag: (bag.opened_on is None, bag.name))


def load_fruiting(store: FarmStore) -> FruitingThings:
    """The lists as they stand, read in a transaction of their own."""
    with store.reading() as reading:
        return read_fruiting(reading)


def read_fruiting(reading: Reading, *, now: str | None = None) -> FruitingThings:
    """The lists as they stand."""
    terms = read_terms(reading, now)
    catalogue = read_catalogue(reading, _KINDS)
    species = {one.id: one for one in catalogue.all("species")}
    bags = [
        _bag_row(one, species[one.species], terms) for one in bags_to_fruit(reading, terms.today)
    ]
    picks = [_pick_row(one, catalogue, terms) for one in newest_picks(reading, MOST_PICKS)]
    return FruitingThings(terms, catalogue, tuple(bags), tuple(_by_batch(bags)), tuple(picks))


def load_shares(store: FarmStore, pick: int) -> list[ShareRow]:
    """What each bag gave to a pick."""
    with store.reading() as reading:
        return [_share_row(one) for one in shares_of_pick(reading, pick)]


def find_net(gross_mg: int | None, tare_mg: int | None) -> int | None:
    """What is in the crate, for reading back while a weight is typed; None while unknown."""
    return None if gross_mg is None else gross_mg - (tare_mg or 0)


def expect(bag: FruitingBag, species: Species, today: str) -> Expected:
    """What comes next of a bag by its species' days; common practice, no source.

    A bag that has given all flushes of its species is to be spent once it has rested.
    """
    if bag.opened_on is None:
        return _within("open", 0, bag.ready_from, bag.ready_to, today)
    if bag.picked_on is None:
        first = day_plus(bag.opened_on, species.open_pick_days_low)
        last = day_plus(bag.opened_on, species.open_pick_days_high)
        return _within("pick", 1, first, last, today)
    first = day_plus(bag.picked_on, species.rest_days_low)
    last = day_plus(bag.picked_on, species.rest_days_high)
    what = "pick" if bag.flush < species.flushes else "spend"
    return _within(what, bag.flush + 1, first, last, today)


def _within(what: str, flush: int, first: str, last: str, today: str) -> Expected:
    place = "before" if today < first else "overdue" if today > last else "within"
    return Expected(first, last, what, flush, place)


def _bag_row(bag: FruitingBag, species: Species, terms: FarmTerms) -> BagRow:
    return BagRow(
        id=bag.id,
        name=bag_name(bag.batch_name, bag.number),
        batch=bag.batch,
        batch_name=bag.batch_name,
        species=species.name,
        room=terms.room_name(bag.room),
        stage=bag.stage,
        flush=bag.flush,
        opened_on=bag.opened_on,
        picked_on=bag.picked_on,
        days_open=_days(bag.opened_on, terms.today),
        days_since_pick=_days(bag.picked_on, terms.today),
        expected=expect(bag, species, terms.today),
        pinned_on=bag.pinned_on,
        shelf=bag.shelf,
    )


def _days(day: str | None, today: str) -> int | None:
    return None if day is None else age_days(day, today)


def _by_batch(bags: Sequence[BagRow]) -> list[BatchRow]:
    groups: dict[tuple[int, str], list[BagRow]] = {}
    for bag in bags:
        groups.setdefault((bag.batch, bag.room), []).append(bag)
    return [_batch_row(room, some) for (_, room), some in groups.items()]


def _batch_row(room: str, bags: Sequence[BagRow]) -> BatchRow:
    first = bags[0]
    stages = [bag.stage for bag in bags]
    numbers = [bag.flush for bag in bags if bag.flush]
    ends = dict.fromkeys([min(numbers), max(numbers)] if numbers else [])
    flushes = "–".join(str(one) for one in ends)
    opened = [bag.days_open for bag in bags if bag.days_open is not None]
    picked = [bag.days_since_pick for bag in bags if bag.days_since_pick is not None]
    soonest = min(bags, key=lambda bag: (bag.expected.first or "9999", bag.expected.last))
    return BatchRow(
        id=f"{first.batch} {room}",
        batch=first.batch,
        batch_name=first.batch_name,
        species=first.species,
        room=room,
        waiting=stages.count(INCUBATING) + stages.count(COLONISED),
        fruiting=stages.count(FRUITING),
        resting=stages.count(RESTING),
        flushes=flushes,
        days_open=max(opened, default=None),
        days_since_pick=min(picked, default=None),
        expected=soonest.expected,
        bags=tuple(bag.id for bag in bags),
    )


def _pick_row(one: PickLine, catalogue: Catalogue, terms: FarmTerms) -> PickRow:
    return PickRow(
        id=one.id,
        name=one.name,
        species=terms.species_name(one.species),
        crate=catalogue.name("crate", one.crate),
        crate_tare_mg=getattr(catalogue.get("crate", one.crate), "tare_mg", 0),
        bags=one.bags,
        flush=one.flush,
        grade=one.grade,
        picked_on=local_day(one.picked_at, terms.farm.zone),
        picked_at=one.picked_at,
        gross_mg=one.gross_mg,
        tare_mg=one.tare_mg,
        net_mg=one.net_mg,
        typed=one.typed,
        left_mg=one.left_mg,
        shelf_on=one.shelf_on,
        is_weighed=one.status == "weighed",
        note=one.note,
    )


def _share_row(one: BagShare) -> ShareRow:
    name = bag_name(one.batch_name, one.number)
    return ShareRow(one.bag, name, one.flush, one.amount_mg, one.how)
