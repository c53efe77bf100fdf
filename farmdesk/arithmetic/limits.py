"""What a figure may be before a sum is made of it: problems found, all said at once."""

from __future__ import annotations

from decimal import Decimal

from farmdesk.errors import Problem, problem

HUNDRED = Decimal(100)


def check_percent(what: str, percent: Decimal, *, whole_allowed: bool = False) -> Problem | None:
    """A percentage must lie from 0 up to, not including, 100 (or including it)."""
    if percent.is_finite() and (0 <= percent < HUNDRED or (whole_allowed and percent == HUNDRED)):
        return None
    return problem("percent_out_of_range", what=what, percent=percent)


def check_positive(what: str, amount: int | Decimal) -> Problem | None:
    """An amount that must be above zero."""
    if amount > 0:
        return None
    return problem("amount_not_positive", what=what, amount=amount)


def check_not_negative(what: str, amount: int | Decimal) -> Problem | None:
    """An amount that may be zero but not below."""
    if amount >= 0:
        return None
    return problem("amount_negative", what=what, amount=amount)


def round_half_up(amount: Decimal) -> int:
    """The nearest whole number, halves away from zero: how a scale is read."""
    return int(amount.to_integral_value(rounding="ROUND_HALF_UP"))
