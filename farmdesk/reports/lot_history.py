"""The temperatures that lots went through: those read, else the set one of where they stood."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np

from farmdesk.arithmetic.climate_spans import HOUR_S, hourly_means
from farmdesk.arithmetic.packed_readings import Floats
from farmdesk.arithmetic.shelf import ShelfNode, Stay
from farmdesk.domain.catalogue import Farm, Room, StorageLife
from farmdesk.quantities.times import to_iso
from farmdesk.store.climate import read_room, second_of
from farmdesk.store.room_stays import Stay as RoomStay
from farmdesk.store.transaction import Reading

LOOSE = "loose"
COLD_STORE = "cold store"


@dataclass(frozen=True)
class History:
    """A lot's hours by temperature, and how many of them were read and how many only set."""

    stays: tuple[Stay, ...]
    hours_read: float
    hours_set: float

    @property
    def hours(self) -> float:
        """All hours together."""
        return self.hours_read + self.hours_set


@dataclass(frozen=True)
class Standing:
    """Where a lot stood, from a second to another."""

    room: int | None
    start: int
    end: int


class RoomTemperatures:
    """Hourly mean temperatures of some rooms from a second to another."""

    def __init__(
        self, reading: Reading, farm: Farm, rooms: Iterable[int], *, start: int, end: int
    ) -> None:
        self._farm = farm
        self.start = start - start % HOUR_S
        self.hours = max(1, -(-(end - self.start) // HOUR_S))
        self.rooms = {one.id: one for one in reading.all(Room)}
        edges = [iso_of(at) for at in (self.start, self.start + self.hours * HOUR_S)]
        self._means = {
            room: hourly_means(
                read_room(reading, room, edges[0], edges[1]),
                "celsius",
                start=self.start,
                hours=self.hours,
            )
            for room in rooms
        }

    def means(self, room: int) -> Floats:
        """A room's hourly means, NaN for an hour without a reading."""
        found = self._means.get(room)
        return np.full(self.hours, np.nan) if found is None else found

    def set_c(self, room: int | None) -> float:
        """What a room is set to: the farm's figure for cold stores and where nobody knows."""
        known = self.rooms.get(room or 0)
        if known is None or known.use == COLD_STORE or known.temperature_c_high is None:
            return float(self._farm.cold_store_c)
        return float(known.temperature_c_high)

    def follow(self, standings: Iterable[Standing]) -> History:
        """The history of a lot that stood here and there."""
        by_temperature: dict[float, float] = {}
        read = unread = 0.0
        for one in standings:
            if one.end <= one.start:
                continue
            hours, temperatures, known = self._hours_of(one)
            read += float(hours[known].sum())
            unread += float(hours[~known].sum())
            for celsius, amount in zip(temperatures.tolist(), hours.tolist(), strict=True):
                by_temperature[celsius] = by_temperature.get(celsius, 0.0) + amount
        stays = tuple(Stay(hours, celsius) for celsius, hours in sorted(by_temperature.items()))
        return History(stays, read, unread)

    def _hours_of(self, one: Standing) -> tuple[Floats, Floats, np.ndarray]:
        """The parts of hours of a standing, their temperatures, and which of them were read."""
        first = (one.start - self.start) // HOUR_S
        last = -(-(one.end - self.start) // HOUR_S)
        edges = np.arange(first, last + 1, dtype=np.float64) * HOUR_S + self.start
        inside_it = np.clip(edges, one.start, one.end)
        hours: Floats = (inside_it[1:] - inside_it[:-1]) / HOUR_S
        usual = self.set_c(one.room)
        if one.room is None:
            return hours, np.full(len(hours), usual), np.zeros(len(hours), dtype=bool)
        means = self.means(one.room)
        places = np.arange(first, last)
        inside = (places >= 0) & (places < len(means))
        found = np.full(len(hours), np.nan)
        found[inside] = means[places[inside]]
        known = ~np.isnan(found)
        # A tenth of a degree is finer than any life is known.
        return hours, np.where(known, np.round(found, 1), usual), known


class StorageLives:
    """Days of life by species and wrap; a wrap that is not known counts as loose."""

    def __init__(self, reading: Reading) -> None:
        self._nodes: dict[tuple[int, str], list[ShelfNode]] = {}
        for one in reading.all(StorageLife):
            node = ShelfNode(float(one.temperature_c), float(one.days))
            self._nodes.setdefault((one.species, one.wrap), []).append(node)

    def nodes(self, species: int, wrap: str = LOOSE) -> Sequence[ShelfNode]:
        """The known lives of a species in a wrap; none where nothing is known."""
        for wanted in (wrap, LOOSE, ""):
            if (species, wanted) in self._nodes:
                return self._nodes[species, wanted]
        return ()

    def knows(self, species: int, wrap: str) -> bool:
        """Whether something is known of this very wrap."""
        return (species, wrap) in self._nodes


def standings_of(
    stays: Sequence[RoomStay], start: int, end: int, usual: int | None = None
) -> list[Standing]:
    """Where a lot stood from a second to another; before its first entry it stood there too.

    Where nobody noted a room it stood in the `usual` one, if there is such a one.
    """
    if not stays:
        return [Standing(usual, start, end)]
    found = []
    for at, one in enumerate(stays):
        since = start if at == 0 else max(start, second_of(one.since))
        until = end if one.until is None else min(end, second_of(one.until))
        if until > since:
            found.append(Standing(one.room or usual, since, until))
    return found


def clip_standings(standings: Iterable[Standing], start: int, end: int) -> Iterator[Standing]:
    """The parts of standings that lie between two seconds."""
    for one in standings:
        first, last = max(one.start, start), min(one.end, end)
        if last > first:
            yield Standing(one.room, first, last)


def say_rooms(standings: Sequence[Standing], rooms: Mapping[int, str]) -> list[str]:
    """The rooms that a lot stood in, in order; '' where nobody noted one."""
    named: list[str] = []
    for one in standings:
        name = rooms.get(one.room or 0, "")
        if not named or named[-1] != name:
            named.append(name)
    return named


def iso_of(second: int) -> str:
    """A second since 1970 as an instant."""
    return to_iso(datetime.fromtimestamp(second, UTC))
