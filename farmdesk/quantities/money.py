"""Money as Decimal: read as typed, rounded to the currency, shown in the locale's form."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from babel.numbers import format_currency, get_currency_precision, get_currency_symbol

from farmdesk.errors import NotUnderstood, problem
from farmdesk.quantities.numbers import (
    LONGEST_TYPED,
    decimal_of,
    has_decimal_comma,
    read_number,
    tidy,
)

_LARGEST = 1_000_000_000
_SIGNS = "$€£¥₹₽₩₺₴₫₦฿"
_CODE = re.compile(r"[A-Z]{3}", re.ASCII)


def read_money(text: str, currency: str = "USD", locale: str = "en_US") -> Decimal:
    """Read an amount such as '4.50', '$1,234.50' or '4,50 €' to the currency's precision.

    Raises NotUnderstood for a negative amount, another currency's sign, or more decimals than
    the currency has. Never goes through a float.
    """
    if len(text) > LONGEST_TYPED:
        raise NotUnderstood(problem("money_not_understood", text=text[:40] + "…"))
    typed = text.strip()
    bare = tidy(text)
    if not bare:
        raise NotUnderstood(problem("money_empty"))
    is_negative = bare.startswith("-") or bare.endswith("-")
    amount = _strip_currency(bare.strip("-+ "), currency, locale, typed).strip("-+ ")
    value = _read_amount(amount, currency, locale, typed)
    if (is_negative or "-" in bare) and value:
        raise NotUnderstood(problem("money_negative", text=typed))
    if value > _LARGEST:
        raise NotUnderstood(problem("money_absurd", text=typed))
    return value


def round_money(amount: Decimal, currency: str = "USD") -> Decimal:
    """An amount to the currency's smallest unit, halves away from zero (common practice)."""
    return amount.quantize(_smallest(currency), rounding=ROUND_HALF_UP)


def format_money(amount: Decimal, currency: str = "USD", locale: str = "en_US") -> str:
    """An amount with its currency sign in the locale's form, rounded to the currency."""
    return format_currency(round_money(amount, currency), currency, locale=locale)


def _read_amount(amount: str, currency: str, locale: str, typed: str) -> Decimal:
    number = read_number(amount, decimal_comma=has_decimal_comma(locale))
    if number is None or "/" in amount:
        raise NotUnderstood(problem("money_not_understood", text=typed))
    digits = get_currency_precision(currency)
    value = decimal_of(number.value, digits)
    if Fraction(value) != number.value:
        raise NotUnderstood(problem("money_too_many_decimals", text=typed, digits=digits))
    return value


def _strip_currency(bare: str, currency: str, locale: str, typed: str) -> str:
    symbols = (currency, get_currency_symbol(currency, locale), _narrow_symbol(currency))
    for symbol in sorted({tidy(one) for one in symbols}, key=len, reverse=True):
        for trimmed in (bare.removeprefix(symbol), bare.removesuffix(symbol)):
            if trimmed != bare:
                return trimmed.strip()
    if any(sign in bare for sign in _SIGNS) or _CODE.search(bare):
        raise NotUnderstood(problem("money_other_currency", text=typed, currency=currency))
    return bare


def _narrow_symbol(currency: str) -> str:
    return get_currency_symbol(currency, "en").lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ") or currency


def _smallest(currency: str) -> Decimal:
    return Decimal(1).scaleb(-get_currency_precision(currency))
