"""Lines of the day's work that a person put off, for how long at most, and what ends it early."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.quantities.times import day_plus

LATE = "Late"
SELL_FIRST = "Sell first"
ONE_DAY = frozenset({LATE, SELL_FIRST})
"""Sections of promises that were broken already, and of food near the end of its life."""
MOST_DAYS = 92
"""A quarter of a year: what waits longer is a plan, not the work of a day."""


@dataclass(frozen=True)
class PutOff:
    """A line of the day's work that stays away until the day `until_on`, on which it is back.

    `section` and `subject` know the line from day to day: what is to be done, and to what. The
    subject is a code, an order's name or, for what has neither, a word with an id ('goods 3',
    'B-OY-0007 spawn'): never the words of the line, which change daily. Each line has one of
    these at most; put off again it is changed.

    `due` ('' for none) and `grade` are the line's day and how bad it was when it was put off.
    """

    id: int
    section: str
    subject: str
    until_on: str
    name: str = ""
    due: str = ""
    grade: int = 0

    def holds(self, today: str, due: str, grade: int) -> bool:
        """Whether the line stays away on a day.

        It is back on its day, when it became worse, and when it is about another day than the one
        that was put off: then the work was done in between, and this is the next time.
        """
        return today < self.until_on and grade <= self.grade and due == self.due


def last_day(section: str, today: str) -> str:
    """The last day until which a line of this section may be put off."""
    return day_plus(today, 1 if section in ONE_DAY else MOST_DAYS)
