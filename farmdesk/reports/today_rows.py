"""A line of the day's work, and the sections that it is sorted into."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.put_off import PutOff
from farmdesk.wording.language import later

NOTICED = "Noticed"
SECTIONS: tuple[str, ...] = (
    later("Late"),
    later("Weigh"),
    later("Pick"),
    later("Open"),
    later("Look at"),
    later("Ship"),
    later("Sell first"),
    later("Spawn"),
    later("Plan"),
    later("Noticed"),
)
"""In the order in which a day's work is looked through; translated where they are shown."""


@dataclass(frozen=True)
class TodayRow:
    """One thing to do. `subject` is what to go to: a code, or an order's name; `due` a day.

    `place` is the page where it is done, where the section does not say so; `number` the key that
    does it at once, none for 0. `about` knows the line within its section where several have one
    subject. `grade` is how bad it is, to be compared with itself alone: more is worse. `put_off`
    says until when it was put off.
    """

    section: str
    subject: str
    name: str
    what: str
    reason: str
    due: str | None
    place: str = ""
    number: int = 0
    about: str = ""
    grade: int = 0
    put_off: PutOff | None = None

    @property
    def id(self) -> tuple[str, str]:
        """What knows the line from day to day."""
        return self.section, self.about or self.subject

    @property
    def code(self) -> str:
        """The code on the label of what it is about; '' where the subject is no code."""
        return self.subject if self.subject.isdecimal() else ""


@dataclass(frozen=True)
class DaysWork:
    """What waits, and what was put off and is not back yet."""

    waiting: tuple[TodayRow, ...]
    put_off: tuple[TodayRow, ...]
