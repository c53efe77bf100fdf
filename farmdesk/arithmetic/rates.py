"""How often something happened, with the interval that so few cases allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from farmdesk.errors import Refused, problem

Z_95 = 1.959963984540054
"""The normal quantile that leaves 2.5 % on each side."""


@dataclass(frozen=True)
class Rate:
    """A count out of a number, its share, and the interval; shares run from 0 to 1.

    With nothing counted there is no share and the interval is everything.
    """

    count: int
    of: int
    share: float | None
    low: float
    high: float
    confidence: float


def estimate_rate(count: int, of: int, *, confidence: float = 0.95) -> Rate:
    """A rate with its Wilson score interval (Wilson 1927), such as 3 of 40 contaminated.

    Bags of one heat run stand or fall together, so the interval is too narrow for them: show
    the runs beside it.
    """
    _check(count, of, confidence)
    if not of:
        return Rate(count, of, None, 0.0, 1.0, confidence)
    from scipy.stats import binomtest  # noqa: PLC0415  (scipy.stats costs most of a second)

    interval = binomtest(count, of).proportion_ci(confidence, method="wilson")
    return Rate(count, of, count / of, float(interval.low), float(interval.high), confidence)


def estimate_rates(counts: Sequence[int], of: Sequence[int]) -> list[Rate]:
    """Many rates at once with their 95 % Wilson score intervals, as `estimate_rate` gives each."""
    import numpy as np  # noqa: PLC0415  (numpy costs start time, and the desk shows one rate first)

    for count, number in zip(counts, of, strict=True):
        _check(count, number, 0.95)
    bad, made = (np.asarray(values, dtype=float) for values in (counts, of))
    whole = np.maximum(made, 1.0)
    share = bad / whole
    centre = (share + Z_95**2 / (2 * whole)) / (1 + Z_95**2 / whole)
    spread = np.sqrt(share * (1 - share) / whole + Z_95**2 / (4 * whole**2))
    half = Z_95 * spread / (1 + Z_95**2 / whole)
    low = np.where(bad == 0, 0.0, np.maximum(0.0, centre - half))
    high = np.where(bad == made, 1.0, np.minimum(1.0, centre + half))
    return [
        Rate(count, number, float(p) if number else None, float(a) if number else 0.0,
             float(b) if number else 1.0, 0.95)
        for count, number, p, a, b in zip(counts, of, share, low, high, strict=True)
    ]  # fmt: skip


def find_upper_limit(count: int, of: int, *, confidence: float = 0.95) -> float:
    """The one-sided exact upper limit (Clopper-Pearson): "0 of 20" may still be 13.9 %."""
    _check(count, of, confidence)
    if not of:
        return 1.0
    from scipy.stats import binomtest  # noqa: PLC0415  (scipy.stats costs most of a second)

    test = binomtest(count, of, alternative="less")
    return float(test.proportion_ci(confidence, method="exact").high)


def _check(count: int, of: int, confidence: float) -> None:
    if not 0 <= count <= of:
        raise Refused(problem("count_out_of_range", count=count, of=of))
    if not 0 < confidence < 1:
        raise Refused(problem("confidence_out_of_range", confidence=confidence))
