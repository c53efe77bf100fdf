"""One amount split in portions that add up to it exactly, to the last milligram."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import lcm

from farmdesk.arithmetic.limits import check_not_negative
from farmdesk.errors import Refused, problem, refuse_any


def split_exactly(total: int, weights: Sequence[int | Decimal]) -> tuple[int, ...]:
    """Split a whole amount in proportion to weights, by largest remainder.

    Each portion differs by less than one from its exact share; equal remainders favour the
    earlier portion. All weights zero means an even split. Refused: no portions, or a minus.
    """
    if not weights:
        raise Refused(problem("nothing_to_split_over", amount=total))
    refuse_any([check_not_negative("amount", total)])
    refuse_any(check_not_negative("weight", weight) for weight in weights)
    whole = _as_whole_numbers(weights)
    divisor = sum(whole)
    if not divisor:
        whole, divisor = [1] * len(whole), len(whole)
    shares = [divmod(total * weight, divisor) for weight in whole]
    portions = [share for share, _ in shares]
    by_remainder = sorted(range(len(shares)), key=lambda place: -shares[place][1])
    for place in by_remainder[: total - sum(portions)]:
        portions[place] += 1
    return tuple(portions)


def split_evenly(total: int, count: int) -> tuple[int, ...]:
    """Split a whole amount in equal portions; what does not divide goes to the first ones."""
    return split_exactly(total, [1] * max(count, 0))


def _as_whole_numbers(weights: Sequence[int | Decimal]) -> list[int]:
    exact = [Fraction(weight) for weight in weights]
    scale = lcm(*(one.denominator for one in exact))
    return [int(one * scale) for one in exact]
