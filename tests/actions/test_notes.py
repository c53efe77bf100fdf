"""Notes about things: written, corrected, taken away, found again."""

from __future__ import annotations

import pytest
from harvest_farm import KG

from farmdesk.actions.notes import correct_note, remove_note, write_note
from farmdesk.actions.undo import undo_last
from farmdesk.domain.notes import Note
from farmdesk.errors import NotFound
from farmdesk.reports.notes import notes_about
from farmdesk.reports.search import search_farm


def test_a_note_is_kept_corrected_found_and_taken_away(harvest):
    batch = harvest.batches["OY"]
    note = harvest.do(lambda act: write_note(act, batch, " Smells of aniseed\nnear the door "))
    assert note.text == "Smells of aniseed\nnear the door"
    with harvest.store.reading() as reading:
        assert [one.text for one in notes_about(reading, batch)] == [note.text]
    found = [one for one in search_farm(harvest.store, "aniseed") if one.kind == "note"]
    assert [one.name for one in found] == ["OY01-0001"]
    harvest.do(lambda act: correct_note(act, note.id, "Smells sour"))
    assert harvest.get(Note, note.id).text == "Smells sour"
    harvest.do(lambda act: remove_note(act, note.id))
    assert harvest.get(Note, note.id) is None
    harvest.do(undo_last)
    assert harvest.get(Note, note.id).text == "Smells sour"
    harvest.clean()


@pytest.mark.parametrize("text", ["", "  ", "a\x00b"])
def test_a_note_that_says_nothing_is_refused(harvest, text):
    pick = harvest.pick("OY", KG)
    codes = harvest.refusal(lambda act: write_note(act, pick.id, text))
    assert codes in (["field_empty"], ["text_not_printable"])


def test_a_note_about_nothing_is_refused(harvest):
    with pytest.raises(NotFound):
        harvest.do(lambda act: write_note(act, 69999999, "hello"))
