"""How full a room, a steriliser and the working week get, day by day: peaks, not averages."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from farmdesk.arithmetic.limits import check_not_negative, check_positive
from farmdesk.errors import Problem, problem, refuse_any
from farmdesk.quantities.times import day_plus


@dataclass(frozen=True)
class Stay:
    """So many places taken from a day up to, not including, the day they are free again."""

    from_day: str
    to_day: str
    places: int


@dataclass(frozen=True)
class RoomDay:
    """One day of a room: places taken, and how many of them are more than it has."""

    day: str
    taken: int
    over: int


@dataclass(frozen=True)
class RoomUse:
    """A room over a span of days; `average` is for comparison only, the peak decides."""

    days: tuple[RoomDay, ...]
    capacity: int
    peak: int
    peak_day: str
    average: float

    @property
    def full_days(self) -> tuple[RoomDay, ...]:
        """The days on which more is asked than there is room."""
        return tuple(one for one in self.days if one.over)

    @property
    def fits(self) -> bool:
        """Whether there is room on every day."""
        return self.peak <= self.capacity

    @property
    def spare(self) -> int:
        """Places that stay free on every day of the span: what would still fit."""
        return max(0, self.capacity - self.peak)


@dataclass(frozen=True)
class HeatDay:
    """The blocks to heat on one day, the loads that takes, and loads beyond what a day allows."""

    day: str
    blocks: int
    loads: int
    over: int


@dataclass(frozen=True)
class Task:
    """Work on one day: how many times, and minutes each time."""

    day: str
    kind: str
    times: int
    minutes_each: Decimal


@dataclass(frozen=True)
class WorkDay:
    """Hours of work on one day, and how many are more than there are hands for."""

    day: str
    hours: Decimal
    over: Decimal


def measure_room(stays: Iterable[Stay], *, from_day: str, days: int, capacity: int = 0) -> RoomUse:
    """Places taken on each of so many days from a day on."""
    stays = tuple(stays)
    refuse_any([check_positive("days", days), check_not_negative("capacity", capacity)])
    refuse_any(found for stay in stays for found in _check_stay(stay))
    first = date.fromisoformat(from_day).toordinal()
    changes = [0] * (days + 1)
    for stay in stays:
        begin = min(max(date.fromisoformat(stay.from_day).toordinal() - first, 0), days)
        end = min(max(date.fromisoformat(stay.to_day).toordinal() - first, 0), days)
        changes[begin] += stay.places
        changes[end] -= stay.places
    taken, found_days = 0, []
    for place in range(days):
        taken += changes[place]
        found_days.append(RoomDay(day_plus(from_day, place), taken, max(0, taken - capacity)))
    peak = max(found_days, key=lambda one: one.taken)
    average = sum(one.taken for one in found_days) / days
    return RoomUse(tuple(found_days), capacity, peak.taken, peak.day, average)


def find_average(arrivals_per_week: float, *, stay_days: float) -> float:
    """Places taken on average (Little 1961): arrivals per day times days of stay."""
    return arrivals_per_week * stay_days / 7


def measure_heat(
    blocks: Iterable[tuple[str, int]], *, blocks_per_load: int, loads_per_day: int
) -> tuple[HeatDay, ...]:
    """Steriliser loads for blocks wanted by day; a load begun counts whole."""
    refuse_any([check_positive("blocks of a load", blocks_per_load)])
    refuse_any([check_not_negative("loads of a day", loads_per_day)])
    wanted: Counter[str] = Counter()
    for day, number in blocks:
        refuse_any([check_not_negative("blocks", number)])
        wanted[day] += number
    found = []
    for day, number in sorted(wanted.items()):
        loads = -(-number // blocks_per_load)
        found.append(HeatDay(day, number, loads, max(0, loads - loads_per_day)))
    return tuple(found)


def measure_work(tasks: Iterable[Task], *, hours_per_day: Decimal) -> tuple[WorkDay, ...]:
    """Hours of work by day, exactly to 0.01 h, against the hours there are."""
    minutes: dict[str, Decimal] = {}
    for task in tasks:
        refuse_any([check_not_negative("times", task.times)])
        refuse_any([check_not_negative("minutes", task.minutes_each)])
        minutes[task.day] = minutes.get(task.day, Decimal(0)) + task.times * task.minutes_each
    found = []
    for day, number in sorted(minutes.items()):
        hours = (number / 60).quantize(Decimal("0.01"), rounding="ROUND_HALF_UP")
        found.append(WorkDay(day, hours, max(Decimal(0), hours - hours_per_day)))
    return tuple(found)


def _check_stay(stay: Stay) -> Iterable[Problem | None]:
    yield check_not_negative("places", stay.places)
    if stay.to_day < stay.from_day:
        yield problem("stay_ends_before_it_begins", from_day=stay.from_day, to_day=stay.to_day)
