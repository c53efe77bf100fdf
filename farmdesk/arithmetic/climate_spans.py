"""A room's readings over time: means by span, gaps, stuck sensors, hours outside a range.

An hour counts by the mean of its readings; an hour without a reading is counted as unknown, never
as good.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from farmdesk.arithmetic.packed_readings import DAY_S, Floats, Readings, Seconds

HOUR_S = 3_600
STEPS = (300, 900, 1_800, HOUR_S, 2 * HOUR_S, 3 * HOUR_S, 6 * HOUR_S, 12 * HOUR_S, DAY_S,
         2 * DAY_S, 7 * DAY_S, 14 * DAY_S, 28 * DAY_S)  # fmt: skip
MOST_SPANS = 200
# Common practice, no source: a sensor in living air moves by its last digit within hours.
STUCK_S = {"celsius": 12 * HOUR_S, "humidity": 6 * HOUR_S, "co2": 6 * HOUR_S}
_LEAST_GAP_S = 1_800
_TIMES_THE_USUAL = 3
_LEAST_STUCK = 6


@dataclass(frozen=True)
class Spans:
    """A figure over equal spans of time: mean, lowest, highest and number of its readings."""

    mean: Floats
    low: Floats
    high: Floats
    count: npt.NDArray[np.int64]


@dataclass(frozen=True)
class Stretch:
    """A stretch of time in seconds since 1970 (UTC), with the value that stood there, if any."""

    start: int
    end: int
    value: float | None = None

    @property
    def hours(self) -> float:
        """How long it is."""
        return (self.end - self.start) / HOUR_S


@dataclass(frozen=True)
class Limits:
    """From where to where a figure is good; None leaves a side open."""

    low: float | None = None
    high: float | None = None

    @property
    def are_set(self) -> bool:
        """Whether there is a limit at all."""
        return self.low is not None or self.high is not None


@dataclass(frozen=True)
class HoursOutside:
    """Hours below and above a range, of how many hours with readings, and hours without."""

    below: int
    above: int
    measured: int
    unknown: int

    @property
    def outside(self) -> int:
        """Below and above together."""
        return self.below + self.above


def choose_step(start: int, end: int) -> int:
    """The shortest usual span, in seconds, with not too many of them from start to end."""
    for step in STEPS:
        if (end - start) / step <= MOST_SPANS:
            return step
    return STEPS[-1]


def sum_spans(seconds: Seconds, values: Floats, *, start: int, step: int, spans: int) -> Spans:
    """Mean, lowest and highest by span, NaN for a span without a reading."""
    known = ~np.isnan(values) & (seconds >= start) & (seconds < start + step * spans)
    places, figures = (seconds[known] - start) // step, values[known]
    count = np.bincount(places, minlength=spans).astype(np.int64)
    mean = np.full(spans, np.nan)
    low, high = mean.copy(), mean.copy()
    if len(places):
        sums = np.bincount(places, weights=figures, minlength=spans)
        filled = count > 0
        mean[filled] = sums[filled] / count[filled]
        low[filled], high[filled] = np.inf, -np.inf
        np.minimum.at(low, places, figures)
        np.maximum.at(high, places, figures)
    return Spans(mean, low, high, count)


def find_gaps(seconds: Seconds, *, start: int, end: int) -> list[Stretch]:
    """Where readings are missing: more than three times the usual step, half an hour at least.

    Before the first and after the last reading nothing is missing that is known of.
    """
    inside = seconds[(seconds >= start) & (seconds < end)]
    if len(inside) < 3:
        return []
    steps = np.diff(inside)
    least = max(_LEAST_GAP_S, _TIMES_THE_USUAL * float(np.median(steps)))
    return [Stretch(int(inside[at]), int(inside[at + 1])) for at in np.flatnonzero(steps > least)]


def find_stuck(seconds: Seconds, values: Floats, *, least_s: int) -> list[Stretch]:
    """Where a sensor gave the very same value for so long, in at least six readings."""
    known = ~np.isnan(values)
    times, figures = seconds[known], values[known]
    if len(figures) < _LEAST_STUCK:
        return []
    breaks = np.flatnonzero(np.diff(figures) != 0) + 1
    firsts = np.concatenate([[0], breaks])
    lasts = np.concatenate([breaks, [len(figures)]]) - 1
    long = (times[lasts] - times[firsts] >= least_s) & (lasts - firsts + 1 >= _LEAST_STUCK)
    return [
        Stretch(int(times[first]), int(times[last]), float(figures[first]))
        for first, last in zip(firsts[long], lasts[long], strict=True)
    ]


def count_outside(
    hours: Floats, limits: Limits, wanted: npt.NDArray[np.bool_] | None = None
) -> HoursOutside:
    """Hours outside limits among hourly means, of those wanted; NaN is an hour without reading."""
    chosen = hours if wanted is None else hours[wanted]
    known = chosen[~np.isnan(chosen)]
    below = int((known < limits.low).sum()) if limits.low is not None else 0
    above = int((known > limits.high).sum()) if limits.high is not None else 0
    return HoursOutside(below, above, len(known), len(chosen) - len(known))


def hourly_means(readings: Readings, figure: str, *, start: int, hours: int) -> Floats:
    """The mean of each hour from a full hour on; NaN where there is no reading."""
    values = readings.figure(figure)
    return sum_spans(readings.seconds, values, start=start, step=HOUR_S, spans=hours).mean


def find_spells(
    hours: Floats, above: float, *, start: int, least_hours: int = 1
) -> Sequence[Stretch]:
    """Runs of hours whose mean lies above a limit; `value` is the highest mean in the run.

    An hour without a reading ends a run.
    """
    is_high = np.nan_to_num(hours, nan=-np.inf) > above
    edges = np.diff(np.concatenate([[0], is_high.astype(np.int8), [0]]))
    found = []
    for first, last in zip(np.flatnonzero(edges == 1), np.flatnonzero(edges == -1), strict=True):
        if last - first >= least_hours:
            peak = float(np.max(hours[first:last]))
            begin, end = start + int(first) * HOUR_S, start + int(last) * HOUR_S
            found.append(Stretch(begin, end, peak))
    return found
