"""Notes about things: written, corrected, taken away, found again."""

from __future__ import annotations

import pytest
from harvest_farm import KG

from farmdesk.actions.notes import correct_note, remove_note, write_note, write_photos
from farmdesk.actions.undo import undo_last
from farmdesk.domain.notes import Note, Photo, photo_name
from farmdesk.errors import NotFound
from farmdesk.reports.check import check_farm
from farmdesk.reports.life import life_of
from farmdesk.reports.notes import notes_about
from farmdesk.reports.search import search_farm
from farmdesk.store.photos import all_photos, photo_of
from farmdesk.store.schema import PHOTO


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


def photo(text: bytes) -> Photo:
    return Photo(photo_name(text), text)


GREEN, BLUE = photo(b"a green picture"), photo(b"a blue picture")


def test_the_name_of_a_photo_is_the_sha256_of_what_it_holds():
    # FIPS 180-4, the published digest of the three bytes "abc"
    digest = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert photo_name(b"abc") == f"{digest}.jpg"


def test_photos_are_kept_once_and_told(harvest):
    batch, pick = harvest.batches["OY"], harvest.pick("OY", KG)
    first, _ = harvest.do(lambda act: write_photos(act, batch, "", [GREEN, BLUE]))
    harvest.do(lambda act: write_note(act, pick.id, "the same", GREEN))
    assert first.photo == GREEN.name
    with harvest.store.reading() as reading:
        assert sorted(all_photos(reading), key=lambda one: one.data) == [BLUE, GREEN]
        assert [one.photo for one in notes_about(reading, batch)] == [BLUE.name, GREEN.name]
        told = [line.sentence for line in life_of(reading, batch).lines]
    assert told.count("Photo kept") == 2
    harvest.clean()


def test_a_photo_stays_changes_or_goes_when_its_note_is_corrected(harvest):
    batch = harvest.batches["OY"]
    note = harvest.do(lambda act: write_note(act, batch, "mould?", GREEN))
    harvest.do(lambda act: correct_note(act, note.id, "mould"))
    assert harvest.get(Note, note.id).photo == GREEN.name
    harvest.do(lambda act: correct_note(act, note.id, "mould", BLUE))
    assert harvest.get(Note, note.id).photo == BLUE.name
    assert harvest.refusal(lambda act: correct_note(act, note.id, " ", without=True)) == [
        "field_empty"
    ]
    harvest.do(lambda act: correct_note(act, note.id, "mould", without=True))
    assert harvest.get(Note, note.id).photo == ""
    harvest.do(undo_last)
    harvest.do(undo_last)
    assert harvest.get(Note, note.id).photo == GREEN.name
    with harvest.store.reading() as reading:
        assert photo_of(reading, GREEN.name) == GREEN
    harvest.clean()


def test_a_refused_note_leaves_no_photo(harvest):
    with pytest.raises(NotFound):
        harvest.do(lambda act: write_photos(act, harvest.batches["OY"], "", [GREEN])
                   and write_note(act, 69999999, "hello", BLUE))  # fmt: skip
    with harvest.store.reading() as reading:
        assert list(all_photos(reading)) == []


def test_check_tells_a_photo_that_is_lost_or_another(harvest):
    batch = harvest.batches["OY"]
    note = harvest.do(lambda act: write_note(act, batch, "", GREEN))
    other = harvest.do(lambda act: write_note(act, batch, "", BLUE))
    with harvest.store.writing() as writing:
        writing.connection.execute(PHOTO.delete().where(PHOTO.c.name == GREEN.name))
        writing.connection.execute(
            PHOTO.update().where(PHOTO.c.name == BLUE.name).values(data=b"x")
        )
    found = {one.subject: one.detail for one in check_farm(harvest.store).differences}
    assert found == {
        note.id: f"photo {GREEN.name} is not there",
        other.id: f"photo {BLUE.name} is not the picture that was kept",
    }
