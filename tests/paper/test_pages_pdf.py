import os
import re

import pypdfium2
import pytest

from farmdesk.errors import NotWritten, Refused
from farmdesk.paper import safe_files
from farmdesk.paper.page_pdf import write_pages
from farmdesk.paper.pages import Bars, Box, Line, Page, TextRun, extent_of
from farmdesk.paper.symbols import modules
from farmdesk.wording.sentences import say_error

MARKS = (
    TextRun(10.0, 20.0, "Café שלום Ж", 12.0, True),
    TextRun(10.0, 30.0, "plain (text) \\ ", 9.0),
    Bars(10.0, 40.0, 10.0, 0.25, modules("6000012345")),
    Line(10.0, 60.0, 60.0, 60.0, 0.3),
    Box(10.0, 65.0, 20.0, 10.0),
    Box(40.0, 65.0, 20.0, 10.0, 1.0),
)
PAGE = Page(100.0, 100.0, MARKS)


def render(path, scale=4.0):
    with pypdfium2.PdfDocument(path) as document:
        return [
            (page.get_size(), page.render(scale=scale, grayscale=True).to_pil())
            for page in document
        ]


def ink(image, left, top, right, bottom, scale=4.0):
    """The share of dark pixels in a part of a rendered page, given in mm."""
    box = [round(value * 72 / 25.4 * scale) for value in (left, top, right, bottom)]
    part = image.crop(box)
    return sum(part.histogram()[:128]) / (part.width * part.height)


def test_marks_stand_where_they_say(tmp_path):
    path = tmp_path / "page.pdf"
    assert write_pages([PAGE, PAGE], path) == 2
    pages = render(path)
    assert len(pages) == 2
    size, image = pages[0]
    assert size == pytest.approx((100 * 72 / 25.4, 100 * 72 / 25.4), abs=0.01)
    assert ink(image, 10.2, 65.2, 29.8, 74.8) == 1.0
    assert ink(image, 41.4, 66.4, 58.6, 73.6) == 0.0
    assert ink(image, 40.2, 65.2, 40.8, 74.8) == 1.0
    assert ink(image, 20, 59.5, 40, 60.5) > 0.1
    assert 0.3 < ink(image, 10, 41, 10 + 90 * 0.25, 49) < 0.7
    for mark in MARKS[:3]:
        assert ink(image, *extent_of(mark)) > 0.05


def test_nothing_is_drawn_outside_the_marks(tmp_path):
    path = tmp_path / "page.pdf"
    write_pages([PAGE], path)
    ((_, image),) = render(path)
    for mark in MARKS:
        left, top, right, bottom = extent_of(mark)
        image.paste(
            255,
            [
                round(v * 72 / 25.4 * 4) + d
                for v, d in ((left, -2), (top, -2), (right, 2), (bottom, 2))
            ],
        )
    assert image.getextrema() == (255, 255)


def test_text_can_be_read_back(tmp_path):
    path = tmp_path / "page.pdf"
    write_pages([PAGE], path, title="Labels")
    with pypdfium2.PdfDocument(path) as document:
        text = document[0].get_textpage().get_text_range()
        assert document.get_metadata_dict()["Title"] == "Labels"
    assert "Café" in text
    assert "plain (text) \\" in text


def test_pages_may_differ_in_size_and_many_texts_are_kept_apart(tmp_path):
    path = tmp_path / "many.pdf"
    pages = [
        Page(50.0 + n % 2, 30.0, (TextRun(2.0, 10.0, f"text {n}", 8.0),)) for n in range(5_100)
    ]
    assert write_pages(iter(pages), path) == len(pages)
    with pypdfium2.PdfDocument(path) as document:
        assert len(document) == len(pages)
        for number in (0, 1, 5_099):
            page = document[number]
            assert page.get_width() == pytest.approx((50 + number % 2) * 72 / 25.4, abs=0.01)
            assert page.get_textpage().get_text_range().strip() == f"text {number}"


def test_no_pages_is_refused_and_leaves_nothing(tmp_path):
    with pytest.raises(Refused) as refused:
        write_pages([], tmp_path / "none.pdf")
    assert "nothing to print" in say_error(refused.value)
    assert not list(tmp_path.iterdir())


def test_a_missing_folder_is_told(tmp_path):
    path = tmp_path / "not there" / "labels.pdf"
    with pytest.raises(NotWritten) as trouble:
        write_pages([PAGE], path)
    assert re.search(r"not there", say_error(trouble.value))
    assert not path.parent.exists()


def test_a_full_disk_leaves_the_old_file_and_no_other(tmp_path, monkeypatch):
    path = tmp_path / "labels.pdf"
    path.write_bytes(b"the old one")

    def refuse(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(safe_files.os, "replace", refuse)
    with pytest.raises(NotWritten) as trouble:
        write_pages([PAGE], path)
    assert "No space left" in say_error(trouble.value)
    assert os.listdir(tmp_path) == ["labels.pdf"]
    assert path.read_bytes() == b"the old one"


def test_trouble_while_pages_are_made_leaves_nothing(tmp_path):
    def pages():
        yield PAGE
        raise ValueError("a page went wrong")

    with pytest.raises(ValueError, match="went wrong"):
        write_pages(pages(), tmp_path / "labels.pdf")
    assert not list(tmp_path.iterdir())
