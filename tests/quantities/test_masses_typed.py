"""Weights as people type them."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.errors import NotUnderstood
from farmdesk.quantities.mass import (
    HEAVIEST_MG,
    MG_PER_LB,
    MG_PER_OZ,
    UNITS,
    amount_in,
    format_mass,
    is_mass_text,
    mg_from,
    read_mass,
)
from farmdesk.quantities.numbers import has_decimal_comma

LOCALES = ("en_US", "en_GB", "de_DE", "es_ES", "fr_FR")
STEP_MG = {
    "kg": 1000,
    "g": 1,
    "lb": MG_PER_LB / 100,
    "oz": MG_PER_OZ / 100,
    "lb_oz": MG_PER_OZ / 10,
}


@pytest.mark.parametrize(
    ("text", "mg", "unit"),
    [
        ("9 lb 6.5 oz", 4_266_603, "lb_oz"),
        ("9lb6.5oz", 4_266_603, "lb_oz"),
        ("9 LBS, 6.5 Ounces", 4_266_603, "lb_oz"),
        ("2 lb 5.5 oz", 1_063_107, "lb_oz"),
        ("4.26 kg", 4_260_000, "kg"),
        ("4,26 kg", 4_260_000, "kg"),
        ("0,234 kg", 234_000, "kg"),
        ("540 g", 540_000, "g"),
        ("540 Grams", 540_000, "g"),
        ("1 234 g", 1_234_000, "g"),
        ("1\u202f234\u00a0g", 1_234_000, "g"),
        ("1'234 g", 1_234_000, "g"),
        ("1,234.5 g", 1_234_500, "g"),
        ("1.234,5 g", 1_234_500, "g"),
        ("12,345,678 g", None, "g"),
        ("1/2 lb", 226_796, "lb"),
        ("2½ lb", 1_133_981, "lb"),
        ("2 1/2 pounds", 1_133_981, "lb"),
        (".5 kg", 500_000, "kg"),
        ("+3 oz.", 85_049, "oz"),
        ("1 kg 200 g", 1_200_000, "kg"),
        ("0 g", 0, "g"),
        ("-0 g", 0, "g"),
    ],
)
def test_weights_are_read(text: str, mg: int | None, unit: str) -> None:
    if mg is None:
        with pytest.raises(NotUnderstood, match="mass_absurd"):
            read_mass(text)
        return
    reading = read_mass(text)
    assert (reading.mg, reading.unit, reading.typed) == (mg, unit, text.strip())
    assert reading.doubts == ()
    assert is_mass_text(text)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "mass_empty"),
        (" \u00a0 ", "mass_empty"),
        ("4", "mass_without_unit"),
        ("4.26", "mass_without_unit"),
        ("9 6", "mass_without_unit"),
        ("9 lb 6.5", "mass_without_unit"),
        ("-4 kg", "mass_negative"),
        ("−4 kg", "mass_negative"),
        ("2001 kg", "mass_absurd"),
        ("99999999999999999999999999 oz", "mass_absurd"),
        ("nan kg", "mass_not_understood"),
        ("inf g", "mass_not_understood"),
        ("1e3 g", "mass_not_understood"),
        ("kg", "mass_not_understood"),
        ("four pounds", "mass_not_understood"),
        ("4² kg", "mass_not_understood"),
        ("4..2 kg", "mass_not_understood"),
        ("4.2.6 kg", "mass_not_understood"),
        ("12 34 kg", "mass_not_understood"),
        ("1/0 lb", "mass_not_understood"),
        ("5 oz 1 lb", "mass_not_understood"),
        ("1 lb 2 lb", "mass_not_understood"),
        ("1 lb 200 g", "mass_not_understood"),
        ("9.5 lb 6 oz", "mass_not_understood"),
        ("1 lb 2 oz 3 g", "mass_not_understood"),
        ("4 stone", "mass_not_understood"),
        ("=4 kg", "mass_not_understood"),
        ("\x00\x01\xff", "mass_not_understood"),
        ("9" * 10_000, "mass_too_long"),
        ("1 " * 5_000 + "kg", "mass_too_long"),
    ],
)
def test_what_is_no_weight_is_refused(text: str, code: str) -> None:
    with pytest.raises(NotUnderstood) as refused:
        read_mass(text)
    assert [one.code for one in refused.value.problems] == [code]


def test_zero_is_refused_where_nothing_makes_no_sense() -> None:
    with pytest.raises(NotUnderstood, match="mass_zero"):
        read_mass("0.0 kg", zero_allowed=False)


@pytest.mark.parametrize(
    ("text", "other"),
    [
        ("9.65 lb", "9 lb 6.5 oz"),
        ("9.15 lb", "9 lb 15 oz"),
        ("9.6 lb", "9 lb 6 oz"),
        ("9.08 lb", "9 lb 8 oz"),
        ("9,65 lb", "9 lb 6.5 oz"),
    ],
)
def test_decimal_pounds_that_may_be_ounces_are_doubted(text: str, other: str) -> None:
    reading = read_mass(text)
    (doubt,) = reading.doubts
    assert doubt.code == "pounds_point_ounces"
    assert doubt.facts["other"] == other
    assert doubt.facts["other_mg"] == read_mass(other).mg
    assert doubt.facts["taken_mg"] == reading.mg


@pytest.mark.parametrize("text", ["9.5 lb", "9.25 lb", "9.75 lb", "9.0 lb", "9.37 lb", "9.655 lb"])
def test_plain_decimal_pounds_are_not_doubted(text: str) -> None:
    assert read_mass(text).doubts == ()


def test_sixteen_ounces_beside_pounds_are_doubted() -> None:
    (doubt,) = read_mass("9 lb 18 oz").doubts
    assert (doubt.code, doubt.facts["taken"]) == ("ounces_over_sixteen", "10 lb 2 oz")
    assert read_mass("9 lb 15.9 oz").doubts == ()
    assert read_mass("18 oz").doubts == ()


def test_a_thousand_grams_beside_kilograms_are_doubted() -> None:
    assert [one.code for one in read_mass("1 kg 1200 g").doubts] == ["grams_over_kilogram"]


@pytest.mark.parametrize(
    ("decimal_comma", "text", "mg", "is_doubted"),
    [
        (None, "1,234 kg", 1_234_000, True),
        (True, "1,234 kg", 1_234_000, False),
        (False, "1,234 kg", 1_234_000_000, True),
        (None, "1.234 kg", 1_234_000, False),
        (False, "1.234 kg", 1_234_000, False),
        (True, "1.234 kg", 1_234_000_000, True),
        (True, "4.26 kg", 4_260_000, False),
        (False, "1,234 g", 1_234_000, False),
        (True, "1.234 g", 1_234_000, False),
    ],
)
def test_a_mark_before_three_digits(
    decimal_comma: bool | None, text: str, mg: int, is_doubted: bool
) -> None:
    reading = read_mass(text, decimal_comma=decimal_comma)
    assert reading.mg == mg
    assert [one.code for one in reading.doubts] == ["comma_unclear"] * is_doubted


@pytest.mark.parametrize("locale", LOCALES)
@pytest.mark.parametrize("unit", UNITS)
@given(mg=st.integers(min_value=0, max_value=HEAVIEST_MG - 10_000))
def test_what_is_shown_is_read_back(locale: str, unit: str, mg: int) -> None:
    shown = format_mass(mg, unit, locale)
    read = read_mass(shown, decimal_comma=has_decimal_comma(locale))
    assert abs(read.mg - mg) <= STEP_MG[unit] / 2 + 1
    assert is_mass_text(shown)
    assert format_mass(read.mg, unit, locale) == shown


@given(st.integers(min_value=0, max_value=4000), st.integers(min_value=0, max_value=159))
def test_pounds_and_ounces_carry(pounds: int, tenths: int) -> None:
    reading = read_mass(f"{pounds} lb {tenths / 10} oz", decimal_comma=False)
    assert reading.mg == round(pounds * MG_PER_LB + tenths * MG_PER_OZ / 10)
    assert reading.doubts == ()
    shown = read_mass(format_mass(reading.mg, "lb_oz"), decimal_comma=False)
    assert abs(shown.mg - reading.mg) <= 1


@given(st.text(max_size=120))
def test_any_text_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(NotUnderstood):
        assert 0 <= read_mass(text).mg <= HEAVIEST_MG


@given(st.integers(min_value=0, max_value=HEAVIEST_MG), st.sampled_from(["kg", "g", "lb", "oz"]))
def test_amounts_are_exact_both_ways(mg: int, unit: str) -> None:
    assert mg_from(amount_in(mg, unit), unit) == mg


@pytest.mark.parametrize(
    "text", ["7000123456", "700 0123 4567", "OY02-14", "OY02-260205-B-017", "", "x" * 10_000, "12"]
)
def test_codes_are_no_weights(text: str) -> None:
    assert not is_mass_text(text)


def test_masses_are_shown_in_the_mixed_form() -> None:
    assert format_mass(4_266_603, "lb_oz") == "9 lb 6.5 oz"
    assert format_mass(453_592, "lb_oz") == "1 lb 0 oz"
    assert format_mass(-4_266_603, "lb_oz") == "-9 lb 6.5 oz"
    assert format_mass(100_000, "lb_oz", "de_DE") == "3,5 oz"
    assert format_mass(12_345_678_000, "kg") == "12,345.678 kg"
    assert format_mass(4_200_000, "kg") == "4.20 kg"
