"""Amounts of money as typed."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.errors import NotUnderstood
from farmdesk.quantities.money import format_money, read_money, round_money

LOCALES = ("en_US", "en_GB", "de_DE", "es_ES", "fr_FR")


@pytest.mark.parametrize(
    ("text", "currency", "locale", "amount"),
    [
        ("4.50", "USD", "en_US", "4.50"),
        ("$4.50", "USD", "en_US", "4.50"),
        ("$ 1,234.50", "USD", "en_US", "1234.50"),
        ("1,234", "USD", "en_US", "1234.00"),
        ("USD 12", "USD", "en_US", "12.00"),
        ("$12", "CAD", "en_US", "12.00"),
        ("4,50 €", "EUR", "de_DE", "4.50"),
        ("1.234", "EUR", "de_DE", "1234.00"),
        ("0", "USD", "en_US", "0.00"),
        ("1250", "JPY", "en_US", "1250"),
    ],
)
def test_amounts_are_read(text: str, currency: str, locale: str, amount: str) -> None:
    read = read_money(text, currency, locale)
    assert isinstance(read, Decimal)
    assert str(read) == amount


@pytest.mark.parametrize(
    ("text", "currency", "code"),
    [
        ("", "USD", "money_empty"),
        ("-4.50", "USD", "money_negative"),
        ("$-4.50", "USD", "money_negative"),
        ("4.50-", "USD", "money_negative"),
        ("4.505", "USD", "money_too_many_decimals"),
        ("12.5", "JPY", "money_too_many_decimals"),
        ("€4.50", "USD", "money_other_currency"),
        ("4.50 EUR", "USD", "money_other_currency"),
        ("four", "USD", "money_not_understood"),
        ("nan", "USD", "money_not_understood"),
        ("1/2", "USD", "money_not_understood"),
        ("9" * 10_000, "USD", "money_not_understood"),
        ("9999999999", "USD", "money_absurd"),
    ],
)
def test_other_text_is_refused(text: str, currency: str, code: str) -> None:
    with pytest.raises(NotUnderstood) as refused:
        read_money(text, currency)
    assert [one.code for one in refused.value.problems] == [code]


@pytest.mark.parametrize("locale", LOCALES)
@pytest.mark.parametrize("currency", ["USD", "EUR", "GBP", "CAD", "JPY", "KWD"])
@given(units=st.integers(min_value=0, max_value=10**11))
def test_what_is_shown_is_read_back(locale: str, currency: str, units: int) -> None:
    amount = round_money(Decimal(units) / 1000, currency)
    assert read_money(format_money(amount, currency, locale), currency, locale) == amount


def test_half_a_cent_goes_up() -> None:
    assert str(round_money(Decimal("2.345"))) == "2.35"
    assert str(round_money(Decimal("0.125"), "KWD")) == "0.125"
