"""The notes about a thing, the newest first."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.catalogue import Person
from farmdesk.domain.notes import Note
from farmdesk.store.photos import photo_of
from farmdesk.store.transaction import Reading


@dataclass(frozen=True)
class NoteRow:
    """One note, when it was written and by whom; `photo` is the name of its picture, or ''."""

    id: int
    noted_at: str
    who: str
    text: str
    photo: str = ""


def notes_about(reading: Reading, thing: int) -> list[NoteRow]:
    """What was written down about a thing, the newest first."""
    people = {one.id: one.name for one in reading.all(Person)}
    found = sorted(reading.all(Note, subject=thing), key=lambda one: (one.noted_at, one.id))
    return [
        NoteRow(one.id, one.noted_at, people.get(one.person or 0, ""), one.text, one.photo)
        for one in reversed(found)
    ]


def photo_data(reading: Reading, name: str) -> bytes | None:
    """The bytes of a note's photo, a JPEG file; None when it is lost."""
    found = photo_of(reading, name)
    return None if found is None else found.data
