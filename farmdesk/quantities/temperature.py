"""Temperatures in Celsius inside; read and shown in Celsius or Fahrenheit.

C = (F - 32) / 1.8 exactly (NIST Special Publication 811, appendix B).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from babel.numbers import format_decimal

from farmdesk.errors import NotUnderstood, problem
from farmdesk.quantities.numbers import LONGEST_TYPED, decimal_of, read_number, tidy

COLDEST_C, HOTTEST_C = -60, 200
"""Outside these no room, block or steriliser is meant."""

_TYPED = re.compile(
    r"([-+]?) ?([0-9.,]+) ?(?:°|º|degrees?|deg\.?)? ?(c|f|celsius|fahrenheit|centigrade)?",
    re.ASCII,
)


@dataclass(frozen=True)
class TemperatureReading:
    """A temperature in Celsius (to 0.01), the text as typed and its unit, 'C' or 'F'."""

    celsius: Decimal
    typed: str
    unit: str


def read_temperature(
    text: str, *, usual_unit: str | None = None, decimal_comma: bool | None = None
) -> TemperatureReading:
    """Read '65 F', '18.5 °C' or, with a usual unit given, '65'; raises NotUnderstood."""
    typed = text.strip()
    bare = tidy(text).casefold() if len(text) <= LONGEST_TYPED else ""
    found = _TYPED.fullmatch(bare)
    number = read_number(found[2], decimal_comma=decimal_comma) if found else None
    if found is None or number is None:
        raise NotUnderstood(problem("temperature_not_understood", text=typed[:40]))
    unit = "F" if (found[3] or "").startswith("f") else "C" if found[3] else usual_unit
    if unit is None:
        raise NotUnderstood(problem("temperature_without_unit", text=typed))
    amount = -number.value if found[1] == "-" else number.value
    celsius = celsius_from(amount, unit)
    if not COLDEST_C <= celsius <= HOTTEST_C:
        raise NotUnderstood(problem("temperature_absurd", text=typed))
    return TemperatureReading(decimal_of(celsius, 2), typed, unit)


def celsius_from(amount: Fraction | Decimal | int, unit: str) -> Fraction:
    """An exact amount in 'C' or 'F' as Celsius."""
    exact = Fraction(amount)
    return (exact - 32) * Fraction(5, 9) if unit == "F" else exact


def amount_from_celsius(celsius: Fraction | Decimal | int, unit: str) -> Fraction:
    """Celsius as an exact amount in 'C' or 'F'."""
    exact = Fraction(celsius)
    return exact * Fraction(9, 5) + 32 if unit == "F" else exact


def format_temperature(
    celsius: Decimal | Fraction | int, unit: str = "C", locale: str = "en_US", *, digits: int = 1
) -> str:
    """A Celsius temperature shown in 'C' or 'F', such as '64.9 °F'; a trailing zero is left out."""
    amount = decimal_of(amount_from_celsius(celsius, unit), digits)
    pattern = "#,##0." + "#" * digits if digits else "#,##0"
    return f"{format_decimal(amount, pattern, locale=locale)} °{unit}"
