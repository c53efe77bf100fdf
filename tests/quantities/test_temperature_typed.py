"""Temperatures as typed and shown."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.errors import NotUnderstood
from farmdesk.quantities.numbers import has_decimal_comma
from farmdesk.quantities.temperature import format_temperature, read_temperature


@pytest.mark.parametrize(
    ("text", "celsius", "unit"),
    [
        ("65 F", "18.33", "F"),
        ("65°F", "18.33", "F"),
        ("65 degrees Fahrenheit", "18.33", "F"),
        ("18.5 °C", "18.50", "C"),
        ("18,5 c", "18.50", "C"),
        ("-2 C", "-2.00", "C"),
        ("−2 C", "-2.00", "C"),
    ],
)
def test_temperatures_are_read(text: str, celsius: str, unit: str) -> None:
    reading = read_temperature(text)
    assert (str(reading.celsius), reading.unit, reading.typed) == (celsius, unit, text)


def test_a_lone_number_takes_the_usual_unit() -> None:
    assert read_temperature("65", usual_unit="F").celsius == Decimal("18.33")
    assert read_temperature("65°", usual_unit="C").celsius == 65
    with pytest.raises(NotUnderstood, match="temperature_without_unit"):
        read_temperature("65")


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "temperature_not_understood"),
        ("warm", "temperature_not_understood"),
        ("65 K", "temperature_not_understood"),
        ("nan C", "temperature_not_understood"),
        ("1" * 10_000, "temperature_not_understood"),
        ("650 F", "temperature_absurd"),
        ("-80 C", "temperature_absurd"),
    ],
)
def test_other_text_is_refused(text: str, code: str) -> None:
    with pytest.raises(NotUnderstood) as refused:
        read_temperature(text)
    assert [one.code for one in refused.value.problems] == [code]


@pytest.mark.parametrize("locale", ["en_US", "de_DE", "es_ES", "fr_FR"])
@pytest.mark.parametrize("unit", ["C", "F"])
@given(hundredths=st.integers(min_value=-4000, max_value=15000))
def test_what_is_shown_is_read_back(locale: str, unit: str, hundredths: int) -> None:
    celsius = Decimal(hundredths) / 100
    shown = format_temperature(celsius, unit, locale)
    read = read_temperature(shown, decimal_comma=has_decimal_comma(locale))
    assert read.unit == unit
    assert abs(read.celsius - celsius) <= Decimal("0.055")


def test_temperatures_are_shown() -> None:
    assert format_temperature(Decimal("18.33"), "F") == "65 °F"
    assert format_temperature(Decimal("18.5"), "C", "de_DE") == "18,5 °C"
    assert format_temperature(Decimal("18.5"), "C", digits=0) == "18 °C"
