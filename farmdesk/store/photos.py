"""The farm's photos: kept once each, under a name that is made of what they hold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sqlalchemy import insert, select

from farmdesk.domain.notes import Photo, photo_name
from farmdesk.store.schema import PHOTO, TABLES
from farmdesk.store.transaction import Reading, Writing


def keep_photos(writing: Writing, photos: Iterable[Photo]) -> None:
    """Keep pictures that are not kept yet, in this transaction."""
    for one in photos:
        known = select(PHOTO.c.name).where(PHOTO.c.name == one.name)
        if writing.connection.execute(known).first() is None:
            writing.connection.execute(insert(PHOTO).values(name=one.name, data=one.data))


def photo_of(reading: Reading, name: str) -> Photo | None:
    """The picture that is kept under a name, or None."""
    found = reading.run(select(PHOTO.c.data).where(PHOTO.c.name == name))
    return Photo(name, bytes(found[0][0])) if found else None


def all_photos(reading: Reading) -> Iterator[Photo]:
    """Every picture of the farm, one at a time, in the order of their names."""
    for (name,) in reading.run(select(PHOTO.c.name).order_by(PHOTO.c.name)):
        photo = photo_of(reading, name)
        if photo is not None:
            yield photo


def lost_photos(reading: Reading) -> Iterator[tuple[int, str, str]]:
    """Notes whose picture is not what it was: the note's id, the picture's name, what is wrong."""
    note = TABLES["note"].c
    for number, name in reading.run(select(note.id, note.photo).where(note.photo != "")):
        photo = photo_of(reading, name)
        if photo is None:
            yield number, name, "is not there"
        elif photo_name(photo.data) != name:
            yield number, name, "is not the picture that was kept"
