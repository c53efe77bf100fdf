"""Numbers as people type them: decimal point or comma, grouped thousands, simple fractions."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from babel import Locale
from babel.numbers import get_decimal_symbol

LONGEST_TYPED = 80
"""More characters than this are no quantity, whatever they say."""

_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8"}
_MINUSES = "−‒–—﹣-"
_APOSTROPHES = "’ʼ"

_PLAIN = re.compile(r"[0-9]+", re.ASCII)
_FRACTION = re.compile(r"(?:([0-9]{1,6}) )?([0-9]{1,3})/([0-9]{1,3})", re.ASCII)
_ONE_MARK = re.compile(r"([0-9]*)([.,])([0-9]+)", re.ASCII)
_GROUPED = re.compile(
    r"([0-9]{1,3}(?:(?P<mark>[ ,.'])[0-9]{3})(?:(?P=mark)[0-9]{3})*)(?:([.,])([0-9]+))?", re.ASCII
)

NUMBER = (
    r"(?:[0-9]{1,6} )?[0-9]{1,3}/[0-9]{1,3}"
    r"|[0-9][0-9.,']*(?: [0-9]{3}(?![0-9]))*(?:[.,][0-9]+)?"
    r"|[.,][0-9]+"
)
"""Pattern of the text that `read_number` may understand (for `re.ASCII` use)."""


@dataclass(frozen=True)
class NumberReading:
    """A number without sign; `other` is the second way to read it, when there is one."""

    value: Fraction
    other: Fraction | None = None


def tidy(text: str) -> str:
    """Typed text with one kind of space, minus and apostrophe, and '½' written as '1/2'."""
    out: list[str] = []
    for sign in text:
        if sign in _VULGAR:
            out.append(f" {_VULGAR[sign]} ")
        elif sign.isspace() or unicodedata.category(sign) == "Zs":
            out.append(" ")
        elif sign in _MINUSES:
            out.append("-")
        else:
            out.append("'" if sign in _APOSTROPHES else sign)
    return " ".join("".join(out).split())


def read_number(text: str, *, decimal_comma: bool | None = None) -> NumberReading | None:
    """Read a tidied number without sign; None when it is no number.

    `decimal_comma` says what the person's locale writes; None when nobody knows. A lone comma
    before three digits (or a lone point, where the comma is the decimal sign) can be read in two
    ways: both are given.
    """
    if _PLAIN.fullmatch(text):
        return NumberReading(Fraction(int(text)))
    if found := _FRACTION.fullmatch(text):
        return _read_fraction(found)
    if (found := _ONE_MARK.fullmatch(text)) and not _may_group(found):
        return NumberReading(_decimal(found[1], found[3]))
    if found := _GROUPED.fullmatch(text):
        return _read_grouped(found, decimal_comma)
    return None


@lru_cache(maxsize=32)
def has_decimal_comma(locale: str) -> bool:
    """Whether the locale writes 4,26 for four and twenty-six hundredths."""
    return get_decimal_symbol(Locale.parse(locale)) == ","


def decimal_of(value: Fraction, digits: int) -> Decimal:
    """The value rounded half-even to so many decimals, exactly."""
    return Decimal(round(value * 10**digits)).scaleb(-digits)


def _read_fraction(found: re.Match[str]) -> NumberReading | None:
    whole, over, under = int(found[1] or 0), int(found[2]), int(found[3])
    return NumberReading(whole + Fraction(over, under)) if 0 < over < under else None


def _may_group(found: re.Match[str]) -> bool:
    whole, after = found[1], found[3]
    return len(after) == 3 and 1 <= len(whole) <= 3 and not whole.startswith("0")


def _read_grouped(found: re.Match[str], decimal_comma: bool | None) -> NumberReading | None:
    digits, mark, point, after = found[1], found["mark"], found[3], found[4]
    if digits.startswith("0") or point == mark:
        return None
    parts = digits.split(mark)
    grouped = _decimal("".join(parts), after or "")
    if point or mark in " '" or len(parts) > 2:
        return NumberReading(grouped)
    pointed = _decimal(parts[0], parts[1])
    if mark == ".":
        return NumberReading(grouped, pointed) if decimal_comma else NumberReading(pointed)
    if decimal_comma:
        return NumberReading(pointed)
    return (
        NumberReading(pointed, grouped)
        if decimal_comma is None
        else NumberReading(grouped, pointed)
    )


def _decimal(whole: str, after: str) -> Fraction:
    return Fraction(int((whole or "0") + after), 10 ** len(after))
