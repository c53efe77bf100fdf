"""Instants, farm days and days as typed."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.errors import NotUnderstood
from farmdesk.quantities.times import (
    age_days,
    day_plus,
    day_start,
    find_zone,
    from_iso,
    local_day,
    local_time,
    now_utc,
    read_day,
    to_iso,
    today_in,
)

NEW_YORK = "America/New_York"
TODAY = "2026-03-01"


@given(st.datetimes(timezones=st.just(UTC)).filter(lambda at: at.year > 1000))
def test_instants_come_back(typed: datetime) -> None:
    instant = typed.replace(microsecond=0)
    assert from_iso(to_iso(instant)) == instant


def test_an_instant_of_another_zone_is_written_in_utc() -> None:
    local = datetime(2026, 7, 1, 20, 30, tzinfo=find_zone(NEW_YORK))
    assert to_iso(local) == "2026-07-02T00:30:00Z"


def test_an_instant_without_zone_is_our_mistake() -> None:
    with pytest.raises(ValueError, match="time zone"):
        to_iso(datetime(2026, 7, 1))  # noqa: DTZ001


@pytest.mark.parametrize(
    "text",
    ["2026-02-05", "2026-02-05T14:30:00", "2026-02-30T14:30:00Z", "2026-02-05T25:00:00Z", "", "x"],
)
def test_other_forms_are_no_instants(text: str) -> None:
    with pytest.raises(NotUnderstood, match="instant_not_understood"):
        from_iso(text)


def test_now_has_whole_seconds_in_utc() -> None:
    now = now_utc()
    assert (now.microsecond, now.utcoffset()) == (0, timedelta(0))
    assert today_in("UTC") in {to_iso(now)[:10], to_iso(now_utc())[:10]}


def test_the_farm_day_is_the_day_on_the_farm_clock() -> None:
    assert local_day("2026-03-09T03:30:00Z", NEW_YORK) == "2026-03-08"
    assert local_day("2026-03-09T04:30:00Z", NEW_YORK) == "2026-03-09"
    assert local_day("2026-03-09", NEW_YORK) == "2026-03-09"
    assert local_time("2026-03-09T03:30:00Z", NEW_YORK).hour == 23


@pytest.mark.parametrize(
    ("since", "today", "days"),
    [
        # United States 2026: clocks forward on 8 March, back on 1 November (IANA time zone data)
        ("2026-03-08T04:30:00Z", "2026-03-08", 1),
        ("2026-03-08T05:30:00Z", "2026-03-09", 1),
        ("2026-03-08T05:30:00Z", "2026-03-09T03:59:59Z", 0),
        ("2026-03-08T05:30:00Z", "2026-03-09T04:00:00Z", 1),
        ("2026-11-01T04:30:00Z", "2026-11-02", 1),
        ("2026-11-01T04:30:00Z", "2026-11-02T04:59:59Z", 0),
        ("2026-11-01T04:30:00Z", "2026-11-02T05:00:00Z", 1),
        ("2026-02-05", "2026-02-05", 0),
        ("2026-02-05", "2027-02-05", 365),
        ("2026-02-06", "2026-02-05", -1),
    ],
)
def test_ages_count_calendar_days(since: str, today: str, days: int) -> None:
    assert age_days(since, today, NEW_YORK) == days


def test_days_start_when_the_farm_clock_says_so() -> None:
    assert day_start("2026-03-08", NEW_YORK) == "2026-03-08T05:00:00Z"
    assert day_start("2026-03-09", NEW_YORK) == "2026-03-09T04:00:00Z"
    # In Chile the clocks go from 24:00 to 01:00: that day has no midnight
    santiago = "America/Santiago"
    assert local_day(day_start("2026-09-06", santiago), santiago) == "2026-09-06"


def test_an_unknown_zone_is_told() -> None:
    for zone in ("Moon/Base", "", "../etc", "x" * 200):
        with pytest.raises(NotUnderstood, match="zone_not_known"):
            find_zone(zone)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-02-05", "2026-02-05"),
        ("2026/2/5", "2026-02-05"),
        ("20260205", "2026-02-05"),
        ("5 Feb 2026", "2026-02-05"),
        ("05 february 2026", "2026-02-05"),
        ("5th Sept 2026", "2026-09-05"),
        ("Feb 5, 2026", "2026-02-05"),
        ("February 5 2026", "2026-02-05"),
        ("25/12/2026", "2026-12-25"),
        ("12/25/2026", "2026-12-25"),
        ("02/02/2026", "2026-02-02"),
        (" Today ", "2026-03-01"),
        ("yesterday", "2026-02-28"),
        ("tomorrow", "2026-03-02"),
    ],
)
def test_days_are_read(text: str, day: str) -> None:
    assert read_day(text, TODAY) == day


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("02/03/04", "day_unclear"),
        ("02/03/2026", "day_unclear"),
        ("25.12.26", "day_unclear"),
        ("2026-02-30", "day_not_in_calendar"),
        ("30 Feb 2026", "day_not_in_calendar"),
        ("32/13/2026", "day_not_in_calendar"),
        ("0001-01-01", "day_not_in_calendar"),
        ("", "day_not_understood"),
        ("5 Feb", "day_not_understood"),
        ("5 Foo 2026", "day_not_understood"),
        ("soon", "day_not_understood"),
        ("7" * 10_000, "day_not_understood"),
    ],
)
def test_unclear_days_are_refused(text: str, code: str) -> None:
    with pytest.raises(NotUnderstood) as refused:
        read_day(text, TODAY)
    assert [one.code for one in refused.value.problems] == [code]


def test_days_are_counted_on() -> None:
    assert day_plus("2028-02-28", 2) == "2028-03-01"
    with pytest.raises(NotUnderstood):
        day_plus("28 Feb", 1)
