"""Percents as Decimal, in percent: 62.5 means 62.5 %."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from farmdesk.errors import NotUnderstood, Problem, problem
from farmdesk.quantities.numbers import LONGEST_TYPED, decimal_of, read_number, tidy

_DIGITS = 4


@dataclass(frozen=True)
class PercentReading:
    """A percent, the text as typed, and what looks like a slip."""

    percent: Decimal
    typed: str
    doubts: tuple[Problem, ...] = ()


def read_percent(
    text: str, *, decimal_comma: bool | None = None, highest: int = 100
) -> PercentReading:
    """Read '62 %', '62.5' or '62,5'; raises NotUnderstood, also above `highest`.

    A number between 0 and 1 typed without the sign may be a share such as 0.62: doubt
    'percent_as_share', with both readings.
    """
    typed = text.strip()
    bare = tidy(text) if len(text) <= LONGEST_TYPED else ""
    has_sign = bare.endswith("%")
    amount = bare.removesuffix("%").rstrip()
    number = read_number(amount.lstrip("-+ "), decimal_comma=decimal_comma)
    if number is None:
        raise NotUnderstood(problem("percent_not_understood", text=typed[:40]))
    value = decimal_of(number.value, _DIGITS)
    if amount.startswith("-") and value:
        raise NotUnderstood(problem("percent_negative", text=typed))
    if number.value > highest:
        raise NotUnderstood(problem("percent_too_high", text=typed, highest=highest))
    return PercentReading(value, typed, _doubts(number.value, typed, has_sign=has_sign))


def _doubts(value: Fraction, typed: str, *, has_sign: bool) -> tuple[Problem, ...]:
    if has_sign or not 0 < value < 1:
        return ()
    share = decimal_of(value * 100, _DIGITS).normalize()
    taken = decimal_of(value, _DIGITS).normalize()
    return (problem("percent_as_share", text=typed, taken=f"{taken:f} %", other=f"{share:f} %"),)
