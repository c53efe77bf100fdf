"""How fast bags colonise while some are contaminated and some still run, and when to expect them.

Contamination is a competing event and a bag still running is right-censored, so the curves are
cumulative incidences (Aalen and Johansen 1978): a mean of the finished bags would be too fast.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.times import day_plus

Outcome = Literal["colonised", "contaminated", "running"]
WindowPlace = Literal["before", "within", "overdue"]
_HALF = 0.5 - 1e-9


@dataclass(frozen=True)
class BagRun:
    """One bag: how it stands, and on which day after inoculation it was found or last seen so."""

    day: int
    outcome: Outcome


@dataclass(frozen=True)
class IncidenceStep:
    """One day on which something happened; shares of all bags from 0 to 1, adding up to 1."""

    day: int
    at_risk: int
    colonised: int
    contaminated: int
    share_colonised: float
    share_contaminated: float
    share_running: float


@dataclass(frozen=True)
class Incidence:
    """The steps in order, and the day by which half of all bags were colonised, if any."""

    steps: tuple[IncidenceStep, ...]
    median_day: int | None


@dataclass(frozen=True)
class ReadyWindow:
    """The first and last day on which a bag is expected ready, 'YYYY-MM-DD'."""

    from_day: str
    to_day: str

    def place(self, today: str) -> WindowPlace:
        """Where a day lies: before the window, within it, or after it."""
        if today < self.from_day:
            return "before"
        return "within" if today <= self.to_day else "overdue"


def estimate_incidence(bags: Iterable[BagRun]) -> Incidence:
    """Cumulative incidence of colonised and contaminated bags, day by day.

    A bag last seen running on a day still counts as at risk on that day. Bags sold or taken
    early count as running up to then.
    """
    return estimate_tally(Counter((bag.day, bag.outcome) for bag in bags))


def estimate_tally(tally: Mapping[tuple[int, Outcome], int]) -> Incidence:
    """The same from bags counted by (day, outcome)."""
    tally = Counter(tally)
    if any(day < 0 for day, _ in tally):
        raise Refused(problem("day_before_inoculation"))
    at_risk = sum(tally.values())
    running, colonised_share, contaminated_share = 1.0, 0.0, 0.0
    steps = []
    median_day = None
    for day in sorted({day for day, _ in tally}):
        colonised, contaminated = tally[day, "colonised"], tally[day, "contaminated"]
        if colonised or contaminated:
            colonised_share += running * colonised / at_risk
            contaminated_share += running * contaminated / at_risk
            running *= (at_risk - colonised - contaminated) / at_risk
            shares = (colonised_share, contaminated_share, running)
            steps.append(IncidenceStep(day, at_risk, colonised, contaminated, *shares))
        if median_day is None and colonised_share >= _HALF:
            median_day = day
        at_risk -= colonised + contaminated + tally[day, "running"]
    return Incidence(tuple(steps), median_day)


def expect_ready(inoculated_on: str, *, low_days: int, high_days: int) -> ReadyWindow:
    """When a batch is expected ready, from its species' incubation days."""
    if found := _check_window(low_days, high_days):
        raise Refused(found)
    return ReadyWindow(day_plus(inoculated_on, low_days), day_plus(inoculated_on, high_days))


def _check_window(low_days: int, high_days: int) -> Problem | None:
    if 0 <= low_days <= high_days:
        return None
    return problem("incubation_days_wrong", low_days=low_days, high_days=high_days)
