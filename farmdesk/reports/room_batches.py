"""The batches of a room: from when to when they stood there, and the hours outside their range."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np

from farmdesk.arithmetic.climate_spans import HOUR_S, HoursOutside, Limits, count_outside
from farmdesk.arithmetic.packed_readings import Floats
from farmdesk.domain.bags import Batch
from farmdesk.domain.catalogue import Room, Species, Strain
from farmdesk.domain.stages import FRUITING, RESTING
from farmdesk.quantities.times import to_iso
from farmdesk.store.climate import second_of
from farmdesk.store.lab import things_by_id
from farmdesk.store.room_stays import Stay, bag_stays
from farmdesk.store.transaction import Reading

OPEN = (FRUITING, RESTING)


@dataclass(frozen=True)
class Bout:
    """A part of a batch's time in a room: opened or not, with the most bags at once."""

    start: int
    end: int
    is_open: bool
    bags: int


@dataclass(frozen=True)
class Lane:
    """A batch in a room over a range of time; seconds since 1970.

    `open_hours` are hours in which at least one of its bags was opened and pinned or fruited;
    `outside` says of each figure how many of them lay outside what its species wants.
    """

    batch: int
    name: str
    species: str
    limits: Mapping[str, Limits]
    bouts: tuple[Bout, ...]
    bags: int
    open_hours: int
    outside: Mapping[str, HoursOutside]

    @property
    def start(self) -> int:
        """Its first second here."""
        return min(one.start for one in self.bouts)

    @property
    def end(self) -> int:
        """Its last second here."""
        return max(one.end for one in self.bouts)


def read_lanes(
    reading: Reading,
    room: Room,
    hours: Mapping[str, Floats],
    start: int,
    end: int,
) -> list[Lane]:
    """The batches that stood in a room from a second to another, first come first."""
    stays = bag_stays(reading, _iso(start), _iso(end), room=room.id)
    by_batch: dict[int, list[Stay]] = {}
    for one in stays:
        by_batch.setdefault(one.group, []).append(one)
    batches = things_by_id(reading, Batch, list(by_batch))
    species_of = {one.id: one.species for one in reading.all(Strain)}
    species = {one.id: one for one in reading.all(Species)}
    lanes = [
        _lane(batches[batch], species[species_of[batches[batch].strain]], group, hours, start, end)
        for batch, group in by_batch.items()
    ]
    return sorted(lanes, key=lambda one: (one.start, one.name))


def shared_limits(lanes: Sequence[Lane], figure: str) -> Limits:
    """The range that suits every opened batch of the lanes; none where there is no such range."""
    wanted = [one.limits[figure] for one in lanes if one.open_hours and figure in one.limits]
    low = max((one.low for one in wanted if one.low is not None), default=None)
    high = min((one.high for one in wanted if one.high is not None), default=None)
    if low is not None and high is not None and low > high:
        return Limits()
    return Limits(low, high)


def wanted_of(species: Species) -> dict[str, Limits]:
    """What a species wants while it pins and fruits; figures that nothing is known of are out."""
    limits = {
        "celsius": Limits(_float(species.fruiting_c_low), _float(species.fruiting_c_high)),
        "humidity": Limits(_float(species.humidity_low), _float(species.humidity_high)),
        "co2": Limits(None, _float(species.co2_max)),
    }
    return {key: one for key, one in limits.items() if one.are_set}


def _lane(
    batch: Batch,
    species: Species,
    stays: Sequence[Stay],
    hours: Mapping[str, Floats],
    start: int,
    end: int,
) -> Lane:
    count = (end - start) // HOUR_S
    opened, closed = np.zeros(count + 1, dtype=int), np.zeros(count + 1, dtype=int)
    for one in stays:
        first = max(0, (second_of(one.since) - start) // HOUR_S)
        # Where a bag went in the course of an hour, it stood there in that hour.
        until = end if one.until is None else second_of(one.until)
        last = min(count, max(first + 1, -(-(until - start) // HOUR_S)))
        steps = opened if one.stage in OPEN else closed
        steps[first] += 1
        steps[last] -= 1
    opened, closed = np.cumsum(opened[:count]), np.cumsum(closed[:count])
    limits = wanted_of(species)
    is_open = opened > 0
    return Lane(
        batch=batch.id,
        name=batch.name,
        species=species.name,
        limits=limits,
        bouts=tuple(_bouts(opened, closed, start)),
        bags=int((opened + closed).max(initial=0)),
        open_hours=int(is_open.sum()),
        outside={key: count_outside(hours[key], one, is_open) for key, one in limits.items()},
    )


def _bouts(opened: np.ndarray, closed: np.ndarray, start: int) -> list[Bout]:
    """Runs of hours in which the batch is there, opened or not."""
    state = np.where(opened > 0, 2, np.where(closed > 0, 1, 0))
    edges = np.flatnonzero(np.diff(state, prepend=-1))
    ends = [*edges[1:], len(state)]
    return [
        Bout(
            start + int(first) * HOUR_S,
            start + int(last) * HOUR_S,
            bool(state[first] == 2),
            int((opened + closed)[first:last].max()),
        )
        for first, last in zip(edges, ends, strict=True)
        if state[first]
    ]


def _float(value: object) -> float | None:
    return None if value is None else float(str(value))


def _iso(second: int) -> str:
    return to_iso(datetime.fromtimestamp(second, UTC))
