"""Quantities as the person reads them."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.quantities.times import read_day
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.wording.formats import Formats

# The expected forms are those of the Unicode CLDR as babel carries it.
NARROW = "\u202f"


@pytest.mark.parametrize(
    ("locale", "number", "percent", "day"),
    [
        ("en_US", "1,234,567.89", "62.5%", "Feb 5, 2026"),
        ("en_GB", "1,234,567.89", "62.5%", "5 Feb 2026"),
        ("de_DE", "1.234.567,89", "62,5\u00a0%", "5. Feb. 2026"),
        ("es_ES", "1.234.567,89", "62,5\u00a0%", "5 feb 2026"),
        ("fr_FR", f"1{NARROW}234{NARROW}567,89", "62,5\u00a0%", "5 févr. 2026"),
    ],
)
def test_numbers_and_days_of_five_locales(locale: str, number: str, percent: str, day: str) -> None:
    formats = Formats(locale=locale)
    assert formats.number(Decimal("1234567.891"), 2) == number
    assert formats.percent(62.5) == percent
    assert formats.day("2026-02-05") == day


@pytest.mark.parametrize("locale", ["en_US", "en_GB", "de_DE", "es_ES", "fr_FR"])
@given(day=st.dates(min_value=date(1950, 1, 1), max_value=date(2199, 12, 31)))
def test_a_shown_day_is_read_back(locale: str, day: date) -> None:
    shown = Formats(locale=locale).day(day.isoformat())
    assert read_day(shown, "2026-01-01", locale=locale) == day.isoformat()


def test_masses_are_shown_in_the_farm_unit() -> None:
    assert Formats().mass(4_266_603) == "4.267 kg"
    assert Formats(mass_unit="lb_oz").mass(4_266_603) == "9 lb 6.5 oz"
    assert Formats(locale="de_DE").mass_in(4_266_603, "lb") == "9,41 lb"


def test_money_is_shown_to_the_cent() -> None:
    assert Formats().money(Decimal("1234.5")) == "$1,234.50"
    assert Formats(locale="de_DE", currency="EUR").money(Decimal("1234.5")) == "1.234,50\u00a0€"


def test_instants_are_shown_on_the_farm_clock() -> None:
    farm = Formats(locale="en_GB", zone="America/New_York")
    # Clocks go forward on 8 March 2026 in New York (IANA time zone data)
    assert farm.instant("2026-03-08T06:59:00Z") == "8 Mar 2026, 01:59"
    assert farm.instant("2026-03-08T07:00:00Z") == "8 Mar 2026, 03:00"
    assert farm.day("2026-03-08T04:30:00Z") == "7 Mar 2026"


def test_weeks_are_shown_with_their_days() -> None:
    week = IsoWeek(2026, 53)
    assert Formats().week(week) == "2026-W53"
    shown = Formats(locale="en_GB").week_with_days(week)
    assert shown == "2026-W53 (28 Dec 2026 – 3 Jan 2027)"


def test_temperatures_are_shown_in_the_farm_unit() -> None:
    assert Formats().temperature(Decimal("18.33")) == "65 °F"
    assert Formats(locale="de_DE", temperature_unit="C").temperature(Fraction(37, 2)) == "18,5 °C"


def test_things_are_counted() -> None:
    formats = Formats()
    assert formats.count(1, "bag", "bags") == "1 bag"
    assert formats.count(0, "bag", "bags") == "0 bags"
    assert formats.count(1000, "bag", "bags") == "1,000 bags"


def test_the_decimal_sign_is_known() -> None:
    assert [Formats(locale=one).decimal_comma for one in ("en_US", "de_DE")] == [False, True]


def test_a_day_with_its_weekday() -> None:
    american, spanish = Formats(locale="en_US"), Formats(locale="es_ES")
    assert american.long_day("2026-11-27") == "Friday, November 27, 2026"
    assert spanish.long_day("2026-11-27") == "viernes, 27 de noviembre de 2026"
    assert american.near_day("2026-11-27") == "Fri, Nov 27"
    assert spanish.near_day("2026-11-27") == "vie, 27 nov"
