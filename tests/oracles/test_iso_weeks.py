"""ISO 8601 week dates against a table of known year ends and the standard library."""

import csv
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.quantities.weeks import IsoWeek, weeks_in_year

DATA = Path(__file__).parent / "data" / "iso_weeks.csv"
with DATA.open(newline="", encoding="utf-8") as stream:
    ROWS = [(row["date"], row["iso_week_date"]) for row in csv.DictReader(stream)]


@pytest.mark.parametrize(("day", "week_date"), ROWS)
def test_week_of_known_days(day: str, week_date: str) -> None:
    week = IsoWeek.of(day)
    assert str(week) == week_date[:-2]
    assert week.days[int(week_date[-1]) - 1] == day


@given(st.dates(min_value=date(1901, 1, 1), max_value=date(2199, 12, 28)))
def test_weeks_agree_with_the_standard_library(day: date) -> None:
    assert str(IsoWeek.of(day)) == day.strftime("%G-W%V")


def test_years_with_53_weeks() -> None:
    # The 53-week years of 2001-2032 as listed for ISO 8601 calendars
    long_years = {2004, 2009, 2015, 2020, 2026, 2032}
    assert {year for year in range(2001, 2033) if weeks_in_year(year) == 53} == long_years
