"""Time to colonise when bags are only looked at now and then: the curve, its band, its limits.

A bag found ready on day 16 and last looked at on day 12 became ready in between. The curve is
drawn twice, as early and as late as the looks allow, and the truth lies between the two.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

from farmdesk.arithmetic.incubation import (
    Incidence,
    IncidenceStep,
    Outcome,
    estimate_tally,
)
from farmdesk.errors import Refused, problem

Z_80 = 1.2815515655446004
"""The normal quantile that leaves 10 % on each side."""


@dataclass(frozen=True)
class LookedAt:
    """One bag: days after inoculation of the last look before, and of the finding.

    A bag that still runs was seen so on `found_day`.
    """

    last_look: int
    found_day: int
    outcome: Outcome


@dataclass(frozen=True)
class BandStep:
    """Share colonised by a day, its standard error, and the band; shares from 0 to 1."""

    day: int
    share: float
    error: float
    low: float
    high: float


@dataclass(frozen=True)
class TimeToColonise:
    """The curve at its earliest and latest, and the days by which shares of all bags were ready.

    Each day is (earliest, latest); None where so many bags are not ready yet.
    """

    early: Incidence
    late: Incidence
    bags: int
    running: int
    tenth: tuple[int | None, int | None]
    median: tuple[int | None, int | None]
    nine_tenths: tuple[int | None, int | None]


def measure_time(bags: Iterable[LookedAt]) -> TimeToColonise:
    """Aalen-Johansen curves at both ends of what the looks leave open."""
    return measure_tally(tally_looks(bags))


def tally_looks(bags: Iterable[LookedAt]) -> Counter[LookedAt]:
    """Bags that are alike, counted; such tallies can be added and taken from one another."""
    tally = Counter(bags)
    for bag in tally:
        if not 0 <= bag.last_look <= bag.found_day:
            raise Refused(
                problem("looks_out_of_order", last_look=bag.last_look, found_day=bag.found_day)
            )
    return tally


def measure_tally(tally: Mapping[LookedAt, int]) -> TimeToColonise:
    """`measure_time` of bags that are counted already."""
    first: Counter[tuple[int, Outcome]] = Counter()
    last: Counter[tuple[int, Outcome]] = Counter()
    for bag, count in tally.items():
        first[_earliest(bag), bag.outcome] += count
        last[bag.found_day, bag.outcome] += count
    early, late = estimate_tally(first), estimate_tally(last)
    tenth, median, most = (
        (find_day(early, share), find_day(late, share)) for share in (0.1, 0.5, 0.9)
    )
    running = sum(count for bag, count in tally.items() if bag.outcome == "running")
    return TimeToColonise(early, late, sum(tally.values()), running, tenth, median, most)


def find_day(incidence: Incidence, share: float) -> int | None:
    """The first day by which a share (0 to 1) of all bags had colonised, or None."""
    days = (step.day for step in incidence.steps if step.share_colonised >= share - 1e-9)
    return next(days, None)


def find_band(incidence: Incidence, *, z: float = Z_80) -> tuple[BandStep, ...]:
    """The share colonised with its band, 10 to 90 % unless `z` says otherwise.

    The variance of a cumulative incidence by the delta method (Marubini and Valsecchi 1995);
    without contamination it is Greenwood's. Bags of one batch are alike, so the band is too
    narrow when there are few batches.
    """
    found = []
    for place, step in enumerate(incidence.steps):
        share = min(1.0, step.share_colonised)  # a sum of floats may pass 1 by a rounding
        error = sqrt(max(0.0, _find_variance(incidence.steps[: place + 1], share)))
        low, high = max(0.0, share - z * error), min(1.0, share + z * error)
        found.append(BandStep(step.day, share, error, low, high))
    return tuple(found)


def _find_variance(steps: Sequence[IncidenceStep], share: float) -> float:
    variance, running = 0.0, 1.0
    for step in steps:
        left, gone = step.at_risk, step.colonised + step.contaminated
        rest = share - step.share_colonised
        if gone < left:
            variance += rest**2 * gone / (left * (left - gone))
        variance += running**2 * step.colonised * (left - step.colonised) / left**3
        variance -= 2 * rest * running * step.colonised / left**2
        running = step.share_running
    return variance


def _earliest(bag: LookedAt) -> int:
    if bag.outcome == "running":
        return bag.found_day
    return min(bag.last_look + 1, bag.found_day)
