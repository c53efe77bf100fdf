"""Codes out of pictures: labels as they are printed here, leaning and lying, several at once."""

import sys

import pypdfium2
import pytest
from PIL import Image, ImageFilter

from farmdesk.devices.pictures import GreyFrame, read_frame, read_picture
from farmdesk.domain.codes import code_of, make_id
from farmdesk.errors import DeviceTrouble, NotUnderstood
from farmdesk.labels.fields import LabelItem
from farmdesk.labels.sheets import label_corner_mm, label_pages
from farmdesk.labels.stocks import shipped_stocks
from farmdesk.paper.page_pdf import write_pages
from farmdesk.wording.sentences import say_error

DPI = 200
CODES = [code_of(make_id("bag", serial)) for serial in range(41, 47)]
TEXTS = {"batch": "OY02-0147", "number": "017 of 040", "species": "Blue oyster"}


@pytest.fixture(scope="module")
def labels(tmp_path_factory):
    """Six bag labels of the first stock with several to a page, as pictures."""
    stock = next(one for _, one in sorted(shipped_stocks().items()) if one.labels >= 6)
    path = tmp_path_factory.mktemp("labels") / "labels.pdf"
    write_pages(label_pages([LabelItem("bag", code, TEXTS) for code in CODES], stock), path)
    with pypdfium2.PdfDocument(path) as document:
        sheet = document[0].render(scale=DPI / 72, grayscale=True).to_pil()
    cut = []
    for place in range(len(CODES)):
        left, top = label_corner_mm(stock, place)
        right, bottom = left + stock.label_width_um / 1000, top + stock.label_height_um / 1000
        cut.append(sheet.crop([round(mm / 25.4 * DPI) for mm in (left, top, right, bottom)]))
    return cut


def table_with(labels, leanings):
    """A photo from above of labels that lie on a grey table, each turned by its own angle."""
    side = max(max(one.size) for one in labels) * 3 // 2
    photo = Image.new("L", (side * len(labels), side), 200)
    for place, (label, degrees) in enumerate(zip(labels, leanings, strict=True)):
        turned = label.rotate(degrees, Image.Resampling.BICUBIC, expand=True, fillcolor=200)
        photo.paste(turned, (place * side + 10, 10))
    return photo


def test_six_labels_lying_anyhow_are_all_read(labels, tmp_path):
    path = tmp_path / "table.jpg"
    table_with(labels, (0, 90, 180, 15, -30, 45)).save(path, quality=85)
    found = read_picture(path)
    assert sorted(one.text for one in found) == sorted(CODES)


@pytest.mark.parametrize("degrees", [-75, -20, 7, 38, 135, 270])
def test_one_label_at_any_angle(labels, degrees, tmp_path):
    path = tmp_path / "label.png"
    table_with(labels[:1], (degrees,)).save(path)
    assert [one.text for one in read_picture(path)] == CODES[:1]


def test_a_picture_without_a_code_says_what_to_do(tmp_path):
    path = tmp_path / "mushrooms.png"
    Image.linear_gradient("L").save(path)
    with pytest.raises(NotUnderstood) as caught:
        read_picture(path)
    assert say_error(caught.value).startswith("No code could be read in “mushrooms.png”.")


@pytest.mark.parametrize("content", [b"", b"no picture at all", b"\x89PNG\r\n\x1a\n broken"])
def test_a_file_that_is_no_picture(content, tmp_path):
    path = tmp_path / "note.png"
    path.write_bytes(content)
    with pytest.raises(NotUnderstood) as caught:
        read_picture(path)
    assert caught.value.problems[0].code == "picture_of_no_kind"


def test_a_picture_cut_off_in_the_middle(labels, tmp_path):
    path = tmp_path / "cut.png"
    labels[0].save(path)
    path.write_bytes(path.read_bytes()[:600])
    with pytest.raises(NotUnderstood) as caught:
        read_picture(path)
    assert caught.value.problems[0].code == "picture_of_no_kind"


def test_a_missing_file_and_a_folder(tmp_path):
    for path in (tmp_path / "gone.png", tmp_path):
        with pytest.raises(NotUnderstood):
            read_picture(path)


def test_a_picture_too_large_is_refused_unread(tmp_path):
    path = tmp_path / "huge.png"
    Image.new("1", (20_000, 20_000)).save(path)
    with pytest.raises(NotUnderstood) as caught:
        read_picture(path)
    assert caught.value.problems[0].code == "picture_too_large"


def test_more_pixels_than_a_photo_of_labels_has(monkeypatch, tmp_path):
    path = tmp_path / "wide.png"
    Image.new("L", (400, 300)).save(path)
    monkeypatch.setattr("farmdesk.devices.pictures.MOST_PIXELS", 119_999)
    with pytest.raises(NotUnderstood) as caught:
        read_picture(path)
    assert caught.value.problems[0].code == "picture_too_large"


def test_without_the_decoder_a_sentence_says_what_to_install(monkeypatch, tmp_path):
    monkeypatch.setitem(sys.modules, "zxingcpp", None)
    with pytest.raises(DeviceTrouble) as caught:
        read_picture(tmp_path / "any.png")
    assert "zxing-cpp" in say_error(caught.value)


@pytest.mark.parametrize("leanings", [(0,) * 6, (30,) * 6, (15, -15, 20, 0, -30, 10)])
def test_codes_come_in_the_order_of_reading_with_their_places(labels, leanings, tmp_path):
    path = tmp_path / "table.png"
    photo = table_with(labels, leanings)
    photo.save(path)
    found = read_picture(path)
    assert [one.text for one in found] == CODES
    for place, one in enumerate(found):
        middle = sum(x for x, _ in one.corners) / 4 * len(CODES)
        assert place < middle < place + 1
        assert all(0 < y < 1 for _, y in one.corners)


def test_rows_are_read_from_above(labels, tmp_path):
    path = tmp_path / "rows.png"
    row = table_with(labels[:3], (0, 2, -2))
    photo = Image.new("L", (row.width, row.height * 2), 200)
    photo.paste(row, (0, row.height))
    photo.paste(table_with(labels[3:], (1, 0, -1)), (0, 0))
    photo.save(path)
    assert [one.text for one in read_picture(path)] == [*CODES[3:], *CODES[:3]]


def frame_of(image, spare=0):
    """A frame whose rows are `spare` bytes longer than the picture, as Qt's are."""
    rows = [image.crop((0, y, image.width, y + 1)).tobytes() for y in range(image.height)]
    pixels = b"".join(row + bytes(spare) for row in rows)
    return GreyFrame(pixels, image.width, image.height, image.width + spare)


@pytest.mark.parametrize("degrees", range(0, 360, 15))
def test_a_label_in_a_frame_is_read_at_any_angle(labels, degrees):
    found = read_frame(frame_of(table_with(labels[:1], (degrees,)), spare=3))
    assert [one.text for one in found] == CODES[:1]


def test_two_labels_in_a_frame_come_in_the_order_of_reading(labels):
    found = read_frame(frame_of(table_with(labels[:2], (0, 20))))
    assert [one.text for one in found] == CODES[:2]


def test_a_frame_without_a_code_and_a_blurred_one_hold_none(labels):
    assert read_frame(frame_of(Image.linear_gradient("L"))) == ()
    blurred = labels[0].filter(ImageFilter.GaussianBlur(12))
    assert read_frame(frame_of(blurred)) == ()


@pytest.mark.parametrize("module", ["zxingcpp", "PIL.Image"])
def test_a_frame_without_the_libraries_says_what_to_install(monkeypatch, module):
    monkeypatch.setitem(sys.modules, module, None)
    with pytest.raises(DeviceTrouble) as caught:
        read_frame(GreyFrame(bytes(4), 2, 2, 2))
    assert "extra “devices”" in say_error(caught.value)
