"""A thing's photos on paper: in the file as pictures, whole, beside their words; lost ones said."""

from __future__ import annotations

import io

import pytest
from PIL import Image
from pypdfium2 import PdfDocument
from pypdfium2.raw import FPDF_PAGEOBJ_IMAGE
from small_farm import begin_small

from farmdesk.actions.base import perform
from farmdesk.actions.notes import write_note
from farmdesk.domain.notes import Photo, photo_name
from farmdesk.paper.page_pdf import write_pages
from farmdesk.paper.pages import Photograph, TextRun, extent_of
from farmdesk.reports.life_page import lay_out_life, read_life_page
from farmdesk.reports.photo_pages import lay_out_life_with_photos
from farmdesk.store.schema import PHOTO
from farmdesk.wording.formats import Formats

FORMATS = Formats(locale="en_GB", mass_unit="kg", temperature_unit="C", paper="a4")


def photo(colour: str, size: tuple[int, int]) -> Photo:
    kept = io.BytesIO()
    Image.new("RGB", size, colour).save(kept, "JPEG")
    return Photo(photo_name(kept.getvalue()), kept.getvalue())


@pytest.fixture
def bag(store) -> int:
    farm = begin_small(store)
    shots = [photo("#c02020", (400, 300)), photo("#2020c0", (300, 400))]
    shots += [photo(f"#20{at:02x}20", (200, 150)) for at in range(90, 95)]
    for at, one in enumerate(shots):
        perform(store, lambda act, at=at, one=one: write_note(act, farm.bags[0], f"No {at}", one))
    perform(store, lambda act: write_note(act, farm.bags[0], "words only"))
    return farm.bags[0]


def lay_out(store, bag: int, size: str = "A4"):
    with store.reading() as reading:
        page = read_life_page(reading, bag)
        plain = lay_out_life(page, FORMATS, "A4")
        return len(plain), lay_out_life_with_photos(reading, page, FORMATS, size)


@pytest.mark.parametrize("size", ["A4", "letter"])
def test_photos_stand_whole_and_unbent_on_pages_of_their_own(store, bag, size):
    before, pages = lay_out(store, bag, size)
    shots = [mark for page in pages[before:] for mark in page.marks if type(mark) is Photograph]
    assert len(shots) == 7
    for one in shots:
        with Image.open(io.BytesIO(one.data)) as picture:
            assert one.width_mm / one.height_mm == pytest.approx(picture.width / picture.height)
    for page in pages[before:]:
        for mark in page.marks:
            left, top, right, bottom = extent_of(mark)
            assert 0 < left < right < page.width_mm
            assert 0 < top < bottom < page.height_mm
    words = " ".join(m.text for page in pages[before:] for m in page.marks if type(m) is TextRun)
    assert all(f"No {at}" in words for at in range(7))
    assert "words only" not in words


def test_they_are_pictures_in_the_pdf(store, bag, tmp_path):
    before, pages = lay_out(store, bag)
    write_pages(pages, tmp_path / "life.pdf")
    document = PdfDocument(tmp_path / "life.pdf")
    images = [
        one for at in range(before, len(document))
        for one in document[at].get_objects(filter=[FPDF_PAGEOBJ_IMAGE])
    ]  # fmt: skip
    assert len(images) == 7
    # The newest note stands first: the last that was written.
    red, green, blue = images[0].get_bitmap().to_pil().convert("RGB").getpixel((50, 50))
    assert abs(green - 94) < 8
    assert max(red, blue) < 50
    document.close()


def test_a_lost_photo_is_said_in_its_place(store, bag):
    with store.writing() as writing:
        writing.connection.execute(PHOTO.delete())
    before, pages = lay_out(store, bag)
    words = [m.text for page in pages[before:] for m in page.marks if type(m) is TextRun]
    assert sum("This photo is lost" in one for one in words) == 7


def test_a_thing_without_photos_has_no_page_of_them(store):
    farm = begin_small(store)
    before, pages = lay_out(store, farm.bags[1])
    assert len(pages) == before
