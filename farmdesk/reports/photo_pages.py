"""A thing's page on paper with the photos of its notes at the end."""

from __future__ import annotations

import io

from PIL import Image

from farmdesk.paper.documents import PageSize
from farmdesk.paper.pages import Mark, Page, Photograph
from farmdesk.paper.pictures import SMALL_PT, text_in
from farmdesk.paper.table_pages import EDGE_MM, SIZES_MM
from farmdesk.reports.life_page import LifePage, lay_out_life
from farmdesk.reports.notes import NoteRow, notes_about, photo_data
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_ACROSS, _GAP_MM, _TALL_MM, _WORDS_MM, _HEAD_MM = 2, 6.0, 70.0, 12.0, 10.0


def lay_out_life_with_photos(
    reading: Reading, page: LifePage, formats: Formats, size: PageSize
) -> tuple[Page, ...]:
    """The page of a thing, then its photos, two beside each other, each with its note."""
    notes = [one for one in notes_about(reading, page.trace.id) if one.photo]
    wide, tall = SIZES_MM[size]
    rows = int((tall - 2 * EDGE_MM - _HEAD_MM + _GAP_MM) // (_TALL_MM + _WORDS_MM + _GAP_MM))
    on_page = rows * _ACROSS
    pages = []
    for first in range(0, len(notes), on_page):
        here = notes[first : first + on_page]
        head = (EDGE_MM, EDGE_MM, wide - 2 * EDGE_MM, _HEAD_MM - 2)
        marks = text_in(tr("Photos of {name}").format(name=page.title), head, bold=True, size_pt=13)
        for at, note in enumerate(here):
            marks += _photo(reading, note, formats, at, (wide - 2 * EDGE_MM + _GAP_MM) / _ACROSS)
        pages.append(Page(wide, tall, tuple(marks)))
    return (*lay_out_life(page, formats, size), *pages)


def _photo(
    reading: Reading, note: NoteRow, formats: Formats, at: int, step_mm: float
) -> list[Mark]:
    """One photo in its place, as large as it fits, over its words; a lost one is said."""
    room = step_mm - _GAP_MM
    left = EDGE_MM + at % _ACROSS * step_mm
    top = EDGE_MM + _HEAD_MM + at // _ACROSS * (_TALL_MM + _WORDS_MM + _GAP_MM)
    told = "  ·  ".join(one for one in (formats.instant(note.noted_at), note.who, note.text) if one)
    under = (left, top + _TALL_MM + 1, room, _WORDS_MM - 1)
    marks = text_in(told.replace("\n", " "), under, size_pt=SMALL_PT, lines=3)
    data = photo_data(reading, note.photo)
    if data is None:
        return [*marks, *text_in(tr("⚠ This photo is lost."), (left, top, room, _TALL_MM))]
    with Image.open(io.BytesIO(data)) as picture:
        scale = min(room / picture.width, _TALL_MM / picture.height)
        sides = picture.width * scale, picture.height * scale
    return [Photograph(left, top + _TALL_MM - sides[1], *sides, data), *marks]
