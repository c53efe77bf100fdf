"""Short lengths as people measure them with a ruler, in whole micrometres."""

from __future__ import annotations

import re
from fractions import Fraction

from farmdesk.errors import NotUnderstood, problem
from farmdesk.quantities.numbers import LONGEST_TYPED, NUMBER, read_number, tidy

UM_PER_UNIT = {"mm": 1_000, "cm": 10_000, "in": 25_400}
"""Micrometres in a millimetre, a centimetre and an inch (exact since 1959)."""

_NAMES = {"": "mm", "mm": "mm", "cm": "cm", "in": "in", "inch": "in", "inches": "in", '"': "in"}
_LENGTH = re.compile(rf"({NUMBER}) ?(mm|cm|inches|inch|in|\"|)", re.ASCII)


def read_length(text: str, *, decimal_comma: bool | None = None) -> int:
    """Read '19.5 mm', '1.95 cm', '0.77 in', '13/16"' as micrometres; no unit means mm.

    Raises NotUnderstood.
    """
    bare = tidy(text).casefold().replace("”", '"') if len(text) <= LONGEST_TYPED else ""
    found = _LENGTH.fullmatch(bare)
    number = read_number(found[1], decimal_comma=decimal_comma) if found else None
    if found is None or number is None:
        raise NotUnderstood(problem("length_not_understood", text=text.strip()[:40]))
    return round(number.value * UM_PER_UNIT[_NAMES[found[2]]])


def to_mm(um: int) -> Fraction:
    """A length in millimetres."""
    return Fraction(um, UM_PER_UNIT["mm"])
