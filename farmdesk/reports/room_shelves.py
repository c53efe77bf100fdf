"""Each room as shelves with what stands on them, and how full it becomes week by week."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from farmdesk.domain.catalogue import Room, Species
from farmdesk.domain.stages import INCUBATING
from farmdesk.quantities.times import age_days
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.plan_fit import RoomFit, read_fit
from farmdesk.store.room_plan import Standing, bags_by_shelf
from farmdesk.store.transaction import Reading

GROWING = ("incubation", "fruiting")
"""Uses of rooms that are seen when nothing stands there, too."""


@dataclass(frozen=True)
class Group:
    """Bags of a batch that stand together in one stage."""

    batch: int
    name: str
    species: str
    stage: str
    bags: int
    age: int
    """Days since it was inoculated."""
    is_late: bool
    """It incubates for longer than its species usually does."""


@dataclass(frozen=True)
class Shelf:
    """A shelf, the oldest batch first; `name` is '' for bags of which no shelf is told.

    `places` is the room's, shared evenly among its named shelves, or 0 where nothing is told.
    """

    name: str
    groups: tuple[Group, ...]
    places: int = 0

    @property
    def bags(self) -> int:
        """How many bags stand here."""
        return sum(one.bags for one in self.groups)

    @property
    def free(self) -> int:
        """Places left, about."""
        return max(0, self.places - self.bags)


@dataclass(frozen=True)
class Week:
    """The fullest day of a week: bags on it that stand now, and with them those to come."""

    week: str
    day: str
    standing: int
    taken: int


@dataclass(frozen=True)
class RoomShelves:
    """A room as it stands now, and its weeks where it is counted among the rooms of the plan."""

    room: Room
    shelves: tuple[Shelf, ...]
    weeks: tuple[Week, ...] = ()

    @property
    def bags(self) -> int:
        """How many bags stand in it."""
        return sum(one.bags for one in self.shelves)


def read_shelves(reading: Reading, *, now: str | None = None) -> tuple[RoomShelves, ...]:
    """Rooms in which something grows or could: as bags go through them, then by name."""
    fit = read_fit(reading, now=now)
    weeks = {one.room.id: tuple(weeks_of(one)) for one in fit.rooms}
    species = {one.id: one for one in reading.all(Species)}
    standing = bags_by_shelf(reading)
    today = fit.plan.terms.today
    found = []
    for room in sorted(reading.all(Room), key=_way):
        rows = list(shelf_rows(room, standing))
        if not rows:
            continue
        # A shelf that the room does not name any more must not be counted beside the named ones.
        named = room.shelves.split() or ([name for name, _ in rows] if len(rows) == 1 else [])
        shelves = tuple(
            Shelf(
                name,
                tuple(_group(one, species, today) for one in here),
                room.capacity // len(named) if name in named else 0,
            )
            for name, here in rows
        )
        found.append(RoomShelves(room, shelves, weeks.get(room.id, ())))
    return tuple(found)


def _way(room: Room) -> tuple[int, str]:
    at = GROWING.index(room.use) if room.use in GROWING else len(GROWING)
    return at, room.name.casefold()


def shelf_rows(room: Room, standing: Sequence[Standing]) -> Iterator[tuple[str, list[Standing]]]:
    """The shelves of a room in order with what stands on each; '' last, where no shelf is told.

    None for a room in which nothing stands and nothing could grow.
    """
    mine = [one for one in standing if one.room == room.id]
    if not mine and (room.use not in GROWING or room.retired):
        return
    told = room.shelves.split()
    others = sorted({one.shelf for one in mine} - {*told, ""})
    for shelf in (*told, *others, ""):
        here = [one for one in mine if one.shelf == shelf]
        if here or shelf or not (mine or told):
            yield shelf, here


def _group(one: Standing, species: Mapping[int, Species], today: str) -> Group:
    kind = species[one.species]
    age = age_days(one.inoculated_on, today)
    late = one.stage == INCUBATING and age > kind.incubation_days_high
    return Group(one.batch, one.name, kind.name, one.stage, one.bags, age, late)


def weeks_of(fit: RoomFit) -> Iterator[Week]:
    """The days of the plan by ISO week; the first and the last may be short."""
    days = list(zip(fit.use.days, fit.standing.days, strict=True))
    names = [str(IsoWeek.of(day.day)) for day, _ in days]
    for name in dict.fromkeys(names):
        here = [pair for pair, week in zip(days, names, strict=True) if week == name]
        fullest, alone = max(here, key=lambda pair: pair[0].taken)
        yield Week(name, fullest.day, alone.taken, fullest.taken)
