"""Notes that people keep about a thing: written, corrected and taken away."""

from __future__ import annotations

from collections.abc import Sequence

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.domain.codes import kind_of
from farmdesk.domain.notes import Note, Photo
from farmdesk.domain.things import THINGS
from farmdesk.errors import NotFound, Refused, problem
from farmdesk.store.photos import keep_photos


def write_note(act: Act, subject: int, text: str, photo: Photo | None = None) -> Note:
    """Write something down about a thing, with a photo or without.

    Raises Refused when nothing is said and nothing shown, NotFound for no thing.
    """
    try:
        kind = kind_of(subject)
    except KeyError as error:
        raise NotFound(problem("not_found", kind="thing", id=subject)) from error
    act.need(THINGS[kind], subject)
    _check(text, photo=photo)
    if photo is not None:
        keep_photos(act.tx, [photo])
    name = photo.name if photo is not None else ""
    return act.make(
        "photo_kept" if name else "note_written",
        Note(act.next_id("note"), subject, text.strip(), name, act.happened_at, act.who.person),
    )


def write_photos(act: Act, subject: int, text: str, photos: Sequence[Photo]) -> list[Note]:
    """Write one note for each photo of a thing, all with the same text."""
    return [write_note(act, subject, text, one) for one in photos]


def correct_note(
    act: Act, note_id: int, text: str, photo: Photo | None = None, *, without: bool = False
) -> Note:
    """Write a note anew; the day book keeps what it said.

    Its photo stays unless another is given, or it is to be `without`.
    """
    note = act.need(Note, note_id)
    name = photo.name if photo is not None else "" if without else note.photo
    _check(text, photo=name)
    if photo is not None:
        keep_photos(act.tx, [photo])
    return act.change("note_corrected", note, text=text.strip(), photo=name)


def remove_note(act: Act, note_id: int) -> None:
    """Take a note away; the day book keeps it."""
    act.take_away("note_removed", act.need(Note, note_id))


def _check(text: str, *, photo: object) -> None:
    found = tuple(check_text("text", text, needed=not photo, long=True))
    if found:
        raise Refused(*found)
