"""Instants in UTC, days of the farm's calendar, and days as people type them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from babel import Locale
from babel.dates import get_month_names

from farmdesk.errors import NotUnderstood, problem

_INSTANT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z", re.ASCII)
_YEAR_FIRST = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})", re.ASCII)
_COMPACT = re.compile(r"([0-9]{4})([0-9]{2})([0-9]{2})", re.ASCII)
_YEAR_LAST = re.compile(r"([0-9]{1,2})[-/.]([0-9]{1,2})[-/.]([0-9]{4}|[0-9]{2})", re.ASCII)
_DAY_MONTH = re.compile(
    r"([0-9]{1,2})(?:st|nd|rd|th|\.)?(?: de(?= ))? ?([^\W\d_]+)\.?,?(?: de(?= ))? ([0-9]{4})"
)
_MONTH_DAY = re.compile(r"([^\W\d_]+)\.? ?([0-9]{1,2})(?:st|nd|rd|th)?,? ([0-9]{4})")
_SPOKEN = {"today": 0, "yesterday": -1, "tomorrow": 1}
_FIRST_YEAR, _LAST_YEAR = 1950, 2199


def now_utc() -> datetime:
    """The instant now, in UTC, to the second."""
    return datetime.now(UTC).replace(microsecond=0)


def to_iso(instant: datetime) -> str:
    """An aware instant as 'YYYY-MM-DDTHH:MM:SSZ'; parts of a second are cut off."""
    if instant.tzinfo is None:
        raise ValueError("an instant without a time zone has no place in UTC")
    return instant.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def from_iso(text: str) -> datetime:
    """The instant of 'YYYY-MM-DDTHH:MM:SSZ'; NotUnderstood for any other form."""
    if _INSTANT.fullmatch(text):
        try:
            return datetime.fromisoformat(text)
        except ValueError:
            pass
    raise NotUnderstood(problem("instant_not_understood", text=text[:40]))


def find_zone(zone: str) -> ZoneInfo:
    """The time zone of an IANA name such as 'America/New_York'; NotUnderstood if there is none."""
    try:
        return ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise NotUnderstood(problem("zone_not_known", zone=zone[:60])) from None


def local_day(iso: str, zone: str) -> str:
    """The farm's calendar day ('YYYY-MM-DD') at an instant; a plain day stays as it is."""
    return _day_of(iso, zone).isoformat()


def local_time(iso: str, zone: str) -> datetime:
    """The instant on the farm's clock."""
    return from_iso(iso).astimezone(find_zone(zone))


def today_in(zone: str) -> str:
    """The farm's calendar day now."""
    return now_utc().astimezone(find_zone(zone)).date().isoformat()


def age_days(since: str, today: str, zone: str = "UTC") -> int:
    """Calendar days in the farm's zone from an instant or day to another; never 23-hour days."""
    return (_day_of(today, zone) - _day_of(since, zone)).days


def day_plus(day: str, days: int) -> str:
    """The day so many calendar days later (earlier when negative)."""
    return (_as_date(day) + timedelta(days=days)).isoformat()


def day_start(day: str, zone: str) -> str:
    """The first instant of a farm day, in UTC (a clock set forward at midnight is allowed for)."""
    plain = _as_date(day)
    local = datetime(plain.year, plain.month, plain.day, tzinfo=find_zone(zone))
    return to_iso(local)


def read_day(text: str, today: str, *, locale: str = "en_US") -> str:
    """Read a day as typed: '2026-02-05', '5 Feb 2026', 'Feb 5, 2026', 'today', 'yesterday'.

    A form such as 02/03/2026, which means two days in two countries, is refused, and so is a
    year of two digits; month names are English or the locale's.
    """
    bare = " ".join(text.split()).casefold() if len(text) <= 60 else ""
    if bare in _SPOKEN:
        return day_plus(today, _SPOKEN[bare])
    if found := _YEAR_LAST.fullmatch(bare):
        return _read_year_last(found, text)
    if numbers := _numbers_of(bare, locale):
        day = _make_day(*numbers)
        if day is not None:
            return day
        raise NotUnderstood(problem("day_not_in_calendar", text=text.strip()[:60]))
    raise NotUnderstood(problem("day_not_understood", text=text.strip()[:60]))


def _numbers_of(bare: str, locale: str) -> tuple[int, int, int] | None:
    if found := _YEAR_FIRST.fullmatch(bare):
        return int(found[1]), int(found[3]), int(found[4])
    if found := _COMPACT.fullmatch(bare):
        return int(found[1]), int(found[2]), int(found[3])
    if (found := _DAY_MONTH.fullmatch(bare)) and (month := _month_names(locale).get(found[2])):
        return int(found[3]), month, int(found[1])
    if (found := _MONTH_DAY.fullmatch(bare)) and (month := _month_names(locale).get(found[1])):
        return int(found[3]), month, int(found[2])
    return None


def _read_year_last(found: re.Match[str], text: str) -> str:
    first, second, year = int(found[1]), int(found[2]), found[3]
    typed = text.strip()
    if len(year) == 2:
        raise NotUnderstood(problem("day_unclear", text=typed))
    day_first = _make_day(int(year), second, first)
    month_first = _make_day(int(year), first, second)
    possible = {day for day in (day_first, month_first) if day is not None}
    if len(possible) == 1:
        return possible.pop()
    code = "day_unclear" if possible else "day_not_in_calendar"
    raise NotUnderstood(problem(code, text=typed))


def _make_day(year: int, month: int, day: int) -> str | None:
    if not _FIRST_YEAR <= year <= _LAST_YEAR:
        return None
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        return None


@lru_cache(maxsize=16)
def _month_names(locale: str) -> dict[str, int]:
    names = {"sept": 9}
    for width in ("wide", "abbreviated"):
        for place in (Locale.parse(locale), Locale.parse("en")):
            for context in ("format", "stand-alone"):
                names.update(_names_in(width, context, place))
    return names


def _names_in(width: str, context: str, place: Locale) -> Iterator[tuple[str, int]]:
    for month, name in get_month_names(width, context, place).items():  # type: ignore[arg-type]
        yield name.casefold().rstrip("."), month


def _day_of(iso_or_day: str, zone: str) -> date:
    if len(iso_or_day) == 10:
        return _as_date(iso_or_day)
    return from_iso(iso_or_day).astimezone(find_zone(zone)).date()


def _as_date(day: str) -> date:
    try:
        return date.fromisoformat(day)
    except ValueError:
        raise NotUnderstood(problem("day_not_understood", text=day[:40])) from None
