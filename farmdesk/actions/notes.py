"""Notes that people keep about a thing: written, corrected and taken away."""

from __future__ import annotations

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.domain.codes import kind_of
from farmdesk.domain.notes import Note
from farmdesk.domain.things import THINGS
from farmdesk.errors import NotFound, Refused, problem


def write_note(act: Act, subject: int, text: str) -> Note:
    """Write something down about a thing; Refused when nothing is said, NotFound for no thing."""
    try:
        kind = kind_of(subject)
    except KeyError as error:
        raise NotFound(problem("not_found", kind="thing", id=subject)) from error
    act.need(THINGS[kind], subject)
    _check(text)
    return act.make(
        "note_written",
        Note(act.next_id("note"), subject, text.strip(), "", act.happened_at, act.who.person),
    )


def correct_note(act: Act, note_id: int, text: str) -> Note:
    """Write a note anew; the day book keeps what it said."""
    _check(text)
    return act.change("note_corrected", act.need(Note, note_id), text=text.strip())


def remove_note(act: Act, note_id: int) -> None:
    """Take a note away; the day book keeps it."""
    act.take_away("note_removed", act.need(Note, note_id))


def _check(text: str) -> None:
    found = tuple(check_text("text", text, needed=True, long=True))
    if found:
        raise Refused(*found)
