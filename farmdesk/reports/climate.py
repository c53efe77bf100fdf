"""A room's climate over a range of days, from every reading there is of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime

import numpy as np
from babel.dates import format_skeleton, format_time

from farmdesk.arithmetic.air import COLDEST_C, WARMEST_C, describe_air
from farmdesk.arithmetic.climate_spans import (
    HOUR_S,
    STUCK_S,
    Limits,
    Spans,
    Stretch,
    choose_step,
    find_gaps,
    find_stuck,
    hourly_means,
    sum_spans,
)
from farmdesk.arithmetic.mean_kinetic import find_mean_kinetic
from farmdesk.arithmetic.packed_readings import DAY_S, FIGURES, Floats, Readings
from farmdesk.arithmetic.shelf import Stay
from farmdesk.domain.catalogue import Room
from farmdesk.errors import Refused, problem
from farmdesk.quantities.temperature import amount_from_celsius
from farmdesk.quantities.times import day_plus, day_start, local_time, to_iso
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.room_batches import Lane, read_lanes, shared_limits
from farmdesk.store.climate import last_read, read_room, second_of
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

USUAL_DAYS = 7
LONGEST_WITH_BATCHES = 190
"""Days over which the batches of a room are followed; a longer range shows its climate alone."""
CLIMATE_FIGURES: Mapping[str, str] = {
    "celsius": tr("Temperature"),
    "humidity": tr("Humidity"),
    "co2": tr("CO₂"),
    "vapour": tr("Vapour-pressure deficit"),
    "dew_point": tr("Dew point"),
    "water": tr("Humidity ratio"),
}
"""What can be drawn: three figures as read, three worked out from temperature and humidity."""
_IS_TEMPERATURE = ("celsius", "dew_point")


@dataclass(frozen=True)
class ClimateQuestion:
    """A room (None: the first with readings) from a day to another; without days the last week."""

    room: int | None = None
    first: str = ""
    last: str = ""


@dataclass(frozen=True)
class Fault:
    """Something wrong with the readings: a gap, or a sensor that gave the same value for long."""

    what: str
    figure: str
    stretch: Stretch


@dataclass(frozen=True)
class RoomClimate:
    """A room's climate: spans of equal length, the batches that stood there, and what is wrong.

    `start` and `end` are seconds since 1970; `hours` are hourly means by figure, NaN for none.
    """

    terms: FarmTerms
    rooms: tuple[Room, ...]
    room: Room | None
    first: str
    last: str
    start: int
    end: int
    step: int
    readings: int
    spans: Mapping[str, Spans] = field(default_factory=dict)
    hours: Mapping[str, Floats] = field(default_factory=dict)
    lanes: tuple[Lane, ...] = ()
    faults: tuple[Fault, ...] = ()
    mean_kinetic_c: float | None = None
    newest_at: str | None = None

    @property
    def count(self) -> int:
        """How many spans there are."""
        return max(1, -(-(self.end - self.start) // self.step))

    @property
    def follows_batches(self) -> bool:
        """Whether the range is short enough to follow the batches."""
        return self.end - self.start <= LONGEST_WITH_BATCHES * DAY_S

    def limits(self, figure: str) -> Limits:
        """What is wanted of a figure: the room's own range, else what all batches there want."""
        if self.room is None:
            return Limits()
        own = limits_of(self.room, figure)
        return own if own.are_set else shared_limits(self.lanes, figure)


def limits_of(room: Room, figure: str) -> Limits:
    """The range that a room is to keep of a figure."""
    if figure == "celsius":
        return Limits(_float(room.temperature_c_low), _float(room.temperature_c_high))
    if figure == "humidity":
        return Limits(_float(room.humidity_low), _float(room.humidity_high))
    return Limits(None, _float(room.co2_max)) if figure == "co2" else Limits()


def room_climate(
    reading: Reading, question: ClimateQuestion, *, now: str | None = None
) -> RoomClimate:
    """The climate that was asked for; Refused when its days stand in the wrong order."""
    terms = read_terms(reading, now)
    rooms = tuple(one for one in reading.all(Room) if not one.retired)
    room = _choose_room(reading, rooms, question.room)
    newest = last_read(reading, room.id) if room is not None else None
    last = question.last or _usual_last(terms, newest)
    first = question.first or day_plus(last, 1 - USUAL_DAYS)
    if first > last:
        raise Refused(problem("days_out_of_order", field="last", first=first, last=last))
    start = second_of(day_start(first, terms.farm.zone))
    until = second_of(day_start(day_plus(last, 1), terms.farm.zone))
    end = max(start + HOUR_S, min(until, -(-second_of(terms.now) // HOUR_S) * HOUR_S))
    found = RoomClimate(
        terms, rooms, room, first, last, start, end, choose_step(start, end), 0, newest_at=newest
    )
    if room is None:
        return found
    instants = (to_iso(datetime.fromtimestamp(at, UTC)) for at in (start, end))
    return _fill(reading, found, read_room(reading, room.id, *instants))


def _fill(reading: Reading, asked: RoomClimate, readings: Readings) -> RoomClimate:
    assert asked.room is not None
    hours_long = (asked.end - asked.start) // HOUR_S
    hours = {
        name: hourly_means(readings, name, start=asked.start, hours=hours_long) for name in FIGURES
    }
    spans = {
        name: sum_spans(
            readings.seconds, readings.figure(name),
            start=asked.start, step=asked.step, spans=asked.count,
        )
        for name in FIGURES
    }  # fmt: skip
    lanes: Sequence[Lane] = ()
    if asked.follows_batches:
        lanes = read_lanes(reading, asked.room, hours, asked.start, asked.end)
    return RoomClimate(
        asked.terms, asked.rooms, asked.room, asked.first, asked.last, asked.start, asked.end,
        asked.step, len(readings), {**spans, **work_out_air(spans)}, hours, tuple(lanes),
        tuple(_find_faults(readings, asked)), find_room_kinetic(hours["celsius"]),
        asked.newest_at,
    )  # fmt: skip


def work_out_air(spans: Mapping[str, Spans]) -> dict[str, Spans]:
    """Dew point, vapour-pressure deficit and humidity ratio from the means of each span."""
    warm, damp = spans["celsius"].mean, spans["humidity"].mean
    found = {key: np.full(len(warm), np.nan) for key in ("dew_point", "vapour", "water")}
    for at, (celsius, percent) in enumerate(zip(warm, damp, strict=True)):
        if COLDEST_C <= celsius <= WARMEST_C and 0 < percent <= 100:
            air = describe_air(float(celsius), float(percent))
            found["dew_point"][at] = air.dew_point_c
            found["vapour"][at] = air.vapour_deficit_kpa
            found["water"][at] = air.water_g_per_kg
    count = np.minimum(spans["celsius"].count, spans["humidity"].count)
    return {key: Spans(one, one, one, count) for key, one in found.items()}


def find_room_kinetic(hours: Floats) -> float | None:
    """The mean kinetic temperature of hourly means, Celsius; None without any."""
    known = hours[~np.isnan(hours)]
    if not len(known):
        return None
    values, counts = np.unique(np.round(known, 2), return_counts=True)
    history = [Stay(float(n), float(c)) for c, n in zip(values, counts, strict=True)]
    return find_mean_kinetic(history)


def _find_faults(readings: Readings, asked: RoomClimate) -> list[Fault]:
    faults = [
        Fault("gap", "", one)
        for one in find_gaps(readings.seconds, start=asked.start, end=asked.end)
    ]
    for name in FIGURES:
        stuck = find_stuck(readings.seconds, readings.figure(name), least_s=STUCK_S[name])
        faults += [Fault("stuck", name, one) for one in stuck]
    return sorted(faults, key=lambda one: one.stretch.start)


def _choose_room(reading: Reading, rooms: Sequence[Room], wanted: int | None) -> Room | None:
    for one in rooms:
        if one.id == wanted:
            return one
    if wanted is not None:
        return reading.get(Room, wanted)
    order = {"fruiting": 0, "cold store": 1, "incubation": 2}
    ranked = sorted(rooms, key=lambda one: order.get(one.use, 3))
    for one in ranked:
        if last_read(reading, one.id):
            return one
    return ranked[0] if ranked else None


def _usual_last(terms: FarmTerms, newest: str | None) -> str:
    """Today, or the day of the newest reading where that is longer ago than a week."""
    if newest is None:
        return terms.today
    day = local_time(newest, terms.farm.zone).date().isoformat()
    return day if day < day_plus(terms.today, -USUAL_DAYS) else terms.today


def shown_figure(figure: str, value: float | None, formats: Formats) -> float | None:
    """A value in the unit that is shown: temperatures in the farm's own."""
    if value is None or np.isnan(value):
        return None
    if figure in _IS_TEMPERATURE:
        exact = amount_from_celsius(round(value * 1000), "C") / 1000
        return float(amount_from_celsius(exact, formats.temperature_unit))
    return float(value)


def unit_of(figure: str, formats: Formats) -> str:
    """The unit that a figure is shown in."""
    if figure in _IS_TEMPERATURE:
        return f"°{formats.temperature_unit}"
    return {"humidity": "%", "co2": "ppm", "vapour": "kPa", "water": "g/kg"}[figure]


def label_of(second: int, step: int, formats: Formats) -> str:
    """A span's name on an axis: its day, and its clock time where spans are shorter."""
    local = local_time(to_iso(datetime.fromtimestamp(second, UTC)), formats.zone)
    day = format_skeleton("MMMd", local, locale=formats.locale)
    if step >= DAY_S:
        return day
    return f"{day} {format_time(local.time(), 'short', locale=formats.locale)}"


def instant_of(second: int) -> str:
    """A second since 1970 as an instant."""
    return to_iso(datetime.fromtimestamp(second, UTC))


def _float(value: object) -> float | None:
    return None if value is None else float(str(value))
