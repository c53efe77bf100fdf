"""ISO 8601 weeks, the weeks that a farm plans by."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import MAXYEAR, date, timedelta

from farmdesk.errors import NotUnderstood, problem

_WITH_YEAR = re.compile(r"([0-9]{4})-?W([0-9]{2})", re.ASCII | re.IGNORECASE)
_ALONE = re.compile(r"W?([0-9]{1,2})", re.ASCII | re.IGNORECASE)


@dataclass(frozen=True, order=True)
class IsoWeek:
    """One week, Monday to Sunday; `year` is the ISO year, which may differ from the calendar's.

    A week that its year does not have (W53 of a 52-week year) is refused with NotUnderstood.
    """

    year: int
    week: int

    def __post_init__(self) -> None:
        if not 1 <= self.year < MAXYEAR:
            raise NotUnderstood(problem("week_not_understood", text=str(self.year)))
        if not 1 <= self.week <= weeks_in_year(self.year):
            raise NotUnderstood(
                problem(
                    "week_not_in_year",
                    week=self.week,
                    year=self.year,
                    last=weeks_in_year(self.year),
                )
            )

    def __str__(self) -> str:
        return f"{self.year:04d}-W{self.week:02d}"

    @classmethod
    def of(cls, day: date | str) -> IsoWeek:
        """The week that a day ('YYYY-MM-DD' or a date) falls in."""
        calendar = _as_date(day).isocalendar()
        return cls(calendar.year, calendar.week)

    @classmethod
    def parse(cls, text: str, *, year: int | None = None) -> IsoWeek:
        """Read '2026-W47' or '2026W47'; '47' and 'W47' too when the year is given."""
        bare = text.strip()
        if found := _WITH_YEAR.fullmatch(bare):
            return cls(int(found[1]), int(found[2]))
        if year is not None and (found := _ALONE.fullmatch(bare)):
            return cls(year, int(found[1]))
        raise NotUnderstood(problem("week_not_understood", text=text[:40]))

    @property
    def monday(self) -> str:
        """The first day, 'YYYY-MM-DD'."""
        return self._first().isoformat()

    @property
    def sunday(self) -> str:
        """The last day, 'YYYY-MM-DD'."""
        return (self._first() + timedelta(days=6)).isoformat()

    @property
    def days(self) -> tuple[str, ...]:
        """The seven days from Monday, 'YYYY-MM-DD' each."""
        first = self._first()
        return tuple((first + timedelta(days=n)).isoformat() for n in range(7))

    def plus(self, weeks: int) -> IsoWeek:
        """The week so many weeks later (earlier when negative)."""
        return IsoWeek.of(self._first() + timedelta(weeks=weeks))

    def next(self) -> IsoWeek:
        """The week after this one."""
        return self.plus(1)

    def previous(self) -> IsoWeek:
        """The week before this one."""
        return self.plus(-1)

    def weeks_until(self, later: IsoWeek) -> int:
        """How many weeks from this one to another; negative when the other is earlier."""
        return (later._first() - self._first()).days // 7

    def _first(self) -> date:
        return date.fromisocalendar(self.year, self.week, 1)


def weeks_in_year(year: int) -> int:
    """52 or 53: the last week of an ISO year is the one with 28 December (ISO 8601)."""
    return date(year, 12, 28).isocalendar().week


def _as_date(day: date | str) -> date:
    if isinstance(day, date):
        return day
    try:
        return date.fromisoformat(day)
    except ValueError:
        raise NotUnderstood(problem("day_not_understood", text=day[:40])) from None
