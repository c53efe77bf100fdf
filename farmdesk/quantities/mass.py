"""Mass as an integer number of milligrams: read as typed, doubted where it may be a slip, shown.

Factors are exact fractions: 1 lb = 453.59237 g (international yard and pound agreement of 1959;
NIST Handbook 44, appendix C), 1 oz = 1/16 lb = 28.349523125 g. Neither is a whole number of
milligrams, so each reading is rounded once, half-even, to the milligram.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from babel.numbers import format_decimal

from farmdesk.errors import NotUnderstood, Problem, problem
from farmdesk.quantities.numbers import (
    LONGEST_TYPED,
    NUMBER,
    NumberReading,
    decimal_of,
    read_number,
    tidy,
)

MG_PER_G = 1_000
MG_PER_KG = 1_000_000
MG_PER_LB = Fraction(45_359_237, 100)
MG_PER_OZ = Fraction(MG_PER_LB, 16)
HEAVIEST_MG = 2_000 * MG_PER_KG
"""No single weight on a small farm is above two tonnes."""

UNITS = ("kg", "g", "lb", "oz", "lb_oz")
"""Units that a mass can be shown in; 'lb_oz' is the mixed form '9 lb 6.5 oz'."""

_FACTORS = {
    "kg": Fraction(MG_PER_KG),
    "g": Fraction(MG_PER_G),
    "lb": Fraction(MG_PER_LB),
    "oz": MG_PER_OZ,
}
_WORDS = {
    "kg": "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes kilogramm",
    "g": "g gram grams gramme grammes gramm gramo gramos",
    "lb": "lb lbs pound pounds",
    "oz": "oz ozs ounce ounces",
}
_UNIT_OF = {word: unit for unit, words in _WORDS.items() for word in words.split()}
_UNIT = "|".join(sorted(_UNIT_OF, key=len, reverse=True))
_PART = re.compile(rf"({NUMBER}) ?({_UNIT})(?![a-z])\.?", re.ASCII)
_LOOKS = re.compile(
    rf"[-+]? ?(?:[0-9.,½¼¾⅓⅔⅛][^a-z]{{0,24}})(?:{_UNIT})(?![a-z]).{{0,40}}", re.ASCII
)
_QUARTERS = frozenset({"0", "00", "25", "5", "50", "75"})
_POUNDS_POINT = re.compile(r"([0-9]+)[.,]([0-9]{1,2})", re.ASCII)
_SMALLER = {"lb": "oz", "kg": "g"}
_PATTERNS = {"kg": "#,##0.00#", "g": "#,##0.###", "lb": "#,##0.00", "oz": "#,##0.##"}
_DECIMALS = {"kg": 3, "g": 3, "lb": 2, "oz": 2}


@dataclass(frozen=True)
class MassReading:
    """What was read: milligrams, the text as typed, its unit, and what looks like a slip."""

    mg: int
    typed: str
    unit: str
    doubts: tuple[Problem, ...] = ()


def read_mass(
    text: str, *, decimal_comma: bool | None = None, zero_allowed: bool = True
) -> MassReading:
    """Read a weight with its unit, such as '9 lb 6.5 oz', '4.26 kg', '540 g' or '1/2 lb'.

    Raises NotUnderstood for what cannot be a weight. What can be one but looks like a slip is
    read as it stands, with doubts to read back: 'ounces_over_sixteen', 'grams_over_kilogram',
    'pounds_point_ounces' (decimal pounds that may be pounds and ounces), 'comma_unclear'.
    """
    if len(text) > LONGEST_TYPED:
        raise NotUnderstood(problem("mass_too_long", length=len(text), longest=LONGEST_TYPED))
    bare = tidy(text).casefold()
    if not bare:
        raise NotUnderstood(problem("mass_empty"))
    signed = bare.startswith("-")
    parts = _split(bare.lstrip("+-").lstrip(), typed=text)
    numbers = [_number(amount, decimal_comma, typed=text) for amount, _ in parts]
    if len(parts) > 1 and numbers[0].value.denominator != 1:
        raise NotUnderstood(problem("mass_not_understood", text=text.strip()))
    mg = round(sum(n.value * _FACTORS[unit] for n, (_, unit) in zip(numbers, parts, strict=True)))
    _refuse_impossible(mg, signed=signed, zero_allowed=zero_allowed, typed=text)
    unit = "lb_oz" if [u for _, u in parts] == ["lb", "oz"] else parts[0][1]
    unclear = _unclear_marks(parts, numbers, text.strip(), asks_grams=decimal_comma is None)
    return MassReading(mg, text.strip(), unit, (*unclear, *_doubts(parts, numbers, text.strip())))


def is_mass_text(text: str) -> bool:
    """Whether text on the scan line looks like a weight; a cheap test that reads nothing."""
    return len(text) <= LONGEST_TYPED and _LOOKS.fullmatch(tidy(text).casefold()) is not None


def mg_from(amount: Fraction | int, unit: str) -> int:
    """An amount in kg, g, lb or oz as milligrams, rounded half-even."""
    return round(amount * _FACTORS[unit])


def amount_in(mg: int, unit: str) -> Fraction:
    """Milligrams as an exact amount in kg, g, lb or oz."""
    return Fraction(mg) / _FACTORS[unit]


def format_mass(mg: int, unit: str = "kg", locale: str = "en_US") -> str:
    """A mass with its unit in the locale's form; 'lb_oz' gives '9 lb 6.5 oz'.

    Shown to 0.001 kg, 0.001 g, 0.01 lb or 0.01 oz; the mixed form to 0.1 oz.
    """
    if unit == "lb_oz":
        return _format_mixed(mg, locale)
    return f"{_localized(amount_in(mg, unit), unit, locale)} {unit}"


def _split(bare: str, *, typed: str) -> list[tuple[str, str]]:
    parts: list[tuple[str, str]] = []
    at = 0
    while found := _PART.match(bare, at):
        parts.append((found[1], _UNIT_OF[found[2]]))
        at = found.end()
        while at < len(bare) and bare[at] in " ,&":
            at += 1
    if at < len(bare) or not parts:
        raise NotUnderstood(_why_not(bare, parts, typed))
    units = [unit for _, unit in parts]
    if len(parts) > 1 and (len(parts) > 2 or _SMALLER.get(units[0]) != units[1]):
        raise NotUnderstood(problem("mass_not_understood", text=typed.strip()))
    return parts


def _why_not(bare: str, parts: list[tuple[str, str]], typed: str) -> Problem:
    only_number = not parts and re.fullmatch(r"[0-9.,/' ]+", bare, re.ASCII)
    code = "mass_without_unit" if only_number or _is_number(bare, parts) else "mass_not_understood"
    return problem(code, text=typed.strip())


def _is_number(bare: str, parts: list[tuple[str, str]]) -> bool:
    tail = bare.rsplit(" ", 1)[-1]
    return bool(parts) and re.fullmatch(r"[0-9.,]+", tail, re.ASCII) is not None


def _number(amount: str, decimal_comma: bool | None, *, typed: str) -> NumberReading:
    number = read_number(amount, decimal_comma=decimal_comma)
    if number is None:
        raise NotUnderstood(problem("mass_not_understood", text=typed.strip()))
    return number


def _refuse_impossible(mg: int, *, signed: bool, zero_allowed: bool, typed: str) -> None:
    text = typed.strip()
    if signed and mg:
        raise NotUnderstood(problem("mass_negative", text=text))
    if mg > HEAVIEST_MG:
        raise NotUnderstood(problem("mass_absurd", text=text, limit="2000 kg"))
    if not mg and not zero_allowed:
        raise NotUnderstood(problem("mass_zero", text=text))


def _unclear_marks(
    parts: list[tuple[str, str]], numbers: list[NumberReading], typed: str, *, asks_grams: bool
) -> Iterator[Problem]:
    """Doubt '1,234 kg' always, but '1,234 g' only while nobody knows the person's locale."""
    for (_, unit), number in zip(parts, numbers, strict=True):
        if number.other is not None and (unit != "g" or asks_grams):
            yield problem(
                "comma_unclear",
                text=typed,
                taken=f"{float(number.value):.15g} {unit}",
                other=f"{float(number.other):.15g} {unit}",
                taken_mg=round(number.value * _FACTORS[unit]),
                other_mg=round(number.other * _FACTORS[unit]),
            )


def _doubts(
    parts: list[tuple[str, str]], numbers: list[NumberReading], typed: str
) -> Iterator[Problem]:
    if len(parts) == 2:
        yield from _smaller_too_big(parts, numbers, typed)
    elif parts[0][1] == "lb" and (found := _POUNDS_POINT.fullmatch(parts[0][0])):
        yield from _pounds_point_ounces(found, numbers[0].value, typed)


def _smaller_too_big(
    parts: list[tuple[str, str]], numbers: list[NumberReading], typed: str
) -> Iterator[Problem]:
    ounces = parts[1][1] == "oz"
    if numbers[1].value >= (16 if ounces else 1000):
        mg = round(sum(n.value * _FACTORS[u] for n, (_, u) in zip(numbers, parts, strict=True)))
        code = "ounces_over_sixteen" if ounces else "grams_over_kilogram"
        taken = format_mass(mg, "lb_oz" if ounces else "kg")
        yield problem(code, text=typed, taken=taken, taken_mg=mg)


def _pounds_point_ounces(found: re.Match[str], value: Fraction, typed: str) -> Iterator[Problem]:
    """Digits after the point that read as ounces: '.6', '.15' or (6.5 oz typed) '.65'."""
    after = found[2]
    if after in _QUARTERS:
        return
    if int(after) < 16:
        ounces = Fraction(int(after))
    elif after[1] in "05":
        ounces = Fraction(int(after), 10)
    else:
        return
    taken_mg = round(value * MG_PER_LB)
    other_mg = round(int(found[1]) * MG_PER_LB + ounces * MG_PER_OZ)
    yield problem(
        "pounds_point_ounces",
        text=typed,
        taken=format_mass(taken_mg, "lb_oz"),
        other=format_mass(other_mg, "lb_oz"),
        taken_mg=taken_mg,
        other_mg=other_mg,
    )


def _format_mixed(mg: int, locale: str) -> str:
    tenths = round(Fraction(abs(mg)) * 10 / MG_PER_OZ)
    pounds, rest = divmod(tenths, 160)
    ounces = format_decimal(decimal_of(Fraction(rest, 10), 1), "0.#", locale=locale)
    sign = "-" if mg < 0 and tenths else ""
    whole = format_decimal(pounds, "#,##0", locale=locale)
    return f"{sign}{whole} lb {ounces} oz" if pounds else f"{sign}{ounces} oz"


def _localized(amount: Fraction, unit: str, locale: str) -> str:
    return format_decimal(decimal_of(amount, _DECIMALS[unit]), _PATTERNS[unit], locale=locale)
