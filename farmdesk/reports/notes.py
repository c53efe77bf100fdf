"""The notes about a thing, the newest first."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.catalogue import Person
from farmdesk.domain.notes import Note
from farmdesk.store.transaction import Reading


@dataclass(frozen=True)
class NoteRow:
    """One note, when it was written and by whom."""

    id: int
    noted_at: str
    who: str
    text: str


def notes_about(reading: Reading, thing: int) -> list[NoteRow]:
    """What was written down about a thing, the newest first."""
    people = {one.id: one.name for one in reading.all(Person)}
    found = sorted(reading.all(Note, subject=thing), key=lambda one: (one.noted_at, one.id))
    return [
        NoteRow(one.id, one.noted_at, people.get(one.person or 0, ""), one.text)
        for one in reversed(found)
    ]
