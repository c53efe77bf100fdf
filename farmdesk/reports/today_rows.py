"""A line of the day's work, and the sections that it is sorted into."""

from __future__ import annotations

from dataclasses import dataclass

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
    does it at once, none for 0.
    """

    section: str
    subject: str
    name: str
    what: str
    reason: str
    due: str | None
    place: str = ""
    number: int = 0

    @property
    def code(self) -> str:
        """The code on the label of what it is about; '' where the subject is no code."""
        return self.subject if self.subject.isdecimal() else ""
