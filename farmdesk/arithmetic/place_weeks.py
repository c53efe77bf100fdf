"""Place-days of groups of bags, month by month: what overhead and unshared work are shared by."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

DAYS_OF_WEEK = 7


def months_between(first: str, last: str) -> Iterator[tuple[str, int]]:
    """(month 'YYYY-MM', days) of the days from the first up to, not including, the last."""
    at, end = date.fromisoformat(first), date.fromisoformat(last)
    while at < end:
        following = (at.replace(day=1) + timedelta(days=32)).replace(day=1)
        until = min(following, end)
        yield f"{at.year:04d}-{at.month:02d}", (until - at).days
        at = until


def month_of(day: str) -> str:
    """The month 'YYYY-MM' of a day."""
    return day[:7]
