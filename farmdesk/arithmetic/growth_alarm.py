"""Does a culture still run as fast as its strain used to: growth per day and the alarm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import median

from farmdesk.arithmetic.limits import check_positive
from farmdesk.errors import Refused, problem, refuse_any


@dataclass(frozen=True)
class ColonySize:
    """A colony's radius in mm on a day after it was started."""

    day: float
    radius_mm: float


@dataclass(frozen=True)
class GrowthRate:
    """Growth in mm per day, and its 95 % interval."""

    mm_per_day: float
    low: float
    high: float


@dataclass(frozen=True)
class GrowthJudgement:
    """A rate against the strain's own baseline, both mm per day; the change is in percent."""

    mm_per_day: float
    baseline: float
    cultures: int
    change_percent: float
    alarm: bool


def measure_growth(sizes: Sequence[ColonySize]) -> GrowthRate:
    """The median of all slopes (Theil 1950, Sen 1968), which one slipped ruler cannot tilt."""
    if len({size.day for size in sizes}) < 2:
        raise Refused(problem("growth_points_too_few"))
    from scipy.stats import theilslopes  # noqa: PLC0415  (scipy.stats costs most of a second)

    found = theilslopes([size.radius_mm for size in sizes], [size.day for size in sizes], 0.95)
    return GrowthRate(float(found[0]), float(found[2]), float(found[3]))


def judge_growth(
    mm_per_day: float, earlier: Sequence[float], *, alarm_percent: float = 15.0
) -> GrowthJudgement | None:
    """Compare a rate with the median of the strain's earlier ones, all mm per day.

    None when the strain has no earlier rates. The alarm at 15 % slower is common practice,
    no source.
    """
    refuse_any(check_positive("growth rate", Decimal(str(rate))) for rate in earlier)
    if not earlier:
        return None
    baseline = median(earlier)
    change = 100 * (mm_per_day / baseline - 1)
    slow = change <= -alarm_percent + 1e-9
    return GrowthJudgement(mm_per_day, baseline, len(earlier), change, slow)
