"""Short cautions for the places where the work can hurt someone, each with whom to ask."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache

from farmdesk.settings.places import resource_path
from farmdesk.wording.language import tr


@dataclass(frozen=True)
class Caution:
    """One caution: what to mind, and whose word counts more than this program's."""

    topic: str
    text: str
    defer_to: str

    @property
    def line(self) -> str:
        """The caution as one line for a page."""
        return tr("{caution} Ask: {whom}.").format(caution=self.text, whom=self.defer_to)


@cache
def find_caution(topic: str) -> Caution:
    """The caution on a topic of `resources/seed/cautions.csv`; KeyError for no such topic."""
    return _all()[topic]


@cache
def _all() -> dict[str, Caution]:
    with resource_path("seed", "cautions.csv").open(encoding="utf-8", newline="") as file:
        return {
            row["topic"]: Caution(row["topic"], tr(row["text"]), tr(row["defer_to"]))
            for row in csv.DictReader(file)
        }
