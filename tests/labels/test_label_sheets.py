import pytest
from label_samples import code_for, usual_items

from farmdesk.errors import NotWritten, Refused
from farmdesk.labels.cards import card_pages
from farmdesk.labels.fields import LabelItem
from farmdesk.labels.layout_files import shipped_layouts
from farmdesk.labels.sheets import label_corner_mm, label_pages
from farmdesk.labels.stocks import shipped_stocks
from farmdesk.paper import safe_files
from farmdesk.paper.page_pdf import write_pages
from farmdesk.paper.pages import Bars, extent_of
from farmdesk.wording.sentences import say_error

STOCKS = shipped_stocks()
SHEET = STOCKS["letter-3x10"]


def bags(count):
    return [LabelItem("bag", code_for("bag", serial)) for serial in range(count)]


def places_of(page, stock):
    """The places (from 0) on the page whose label has a symbol."""
    found = []
    for mark in page.marks:
        if isinstance(mark, Bars):
            for place in range(stock.labels):
                x, y = label_corner_mm(stock, place)
                left, top, _, _ = extent_of(mark)
                if 0 <= left - x < stock.label_width_um / 1000 and 0 <= top - y < (
                    stock.label_height_um / 1000
                ):
                    found.append(place)
    return found


@pytest.mark.parametrize("start", [1, 2, 17, 30])
def test_labels_start_anywhere_on_a_used_sheet(start):
    pages = list(label_pages(bags(35), SHEET, start=start))
    assert places_of(pages[0], SHEET) == list(range(start - 1, 30))
    assert sum(len(places_of(page, SHEET)) for page in pages) == 35
    assert places_of(pages[1], SHEET)[0] == 0


@pytest.mark.parametrize("start", [0, -1, 31])
def test_a_start_outside_the_sheet_is_refused_at_once(start):
    with pytest.raises(Refused) as refused:
        label_pages(bags(1), SHEET, start=start)
    assert "1 to 30" in say_error(refused.value)


def test_a_full_sheet_is_one_page_and_none_is_none():
    assert len(list(label_pages(bags(30), SHEET))) == 1
    assert len(list(label_pages(bags(31), SHEET))) == 2
    assert list(label_pages([], SHEET)) == []


def test_a_roll_has_one_label_to_a_page():
    stock = STOCKS["roll-57x32"]
    pages = list(label_pages(bags(3), stock))
    assert [(page.width_mm, page.height_mm) for page in pages] == [(57.0, 32.0)] * 3


def test_pages_are_made_one_at_a_time():
    taken = []

    def items():
        for item in bags(90):
            taken.append(item)
            yield item

    next(label_pages(items(), SHEET))
    assert len(taken) == 30


def test_a_kind_without_a_layout_is_refused():
    layouts = {"bag": shipped_layouts()["bag"]}
    with pytest.raises(Refused) as refused:
        list(label_pages(usual_items(), SHEET, layouts=layouts))
    assert "kind spawn" in say_error(refused.value)


def test_cards_fill_pages_and_an_unknown_page_is_refused():
    items = [item for item in usual_items() if item.kind == "card"] * 13
    pages = list(card_pages(items, "letter"))
    assert len(pages) == 3
    assert (pages[0].width_mm, pages[0].height_mm) == (215.9, 279.4)
    with pytest.raises(Refused) as refused:
        card_pages(items, "a5")
    assert "a4, letter" in say_error(refused.value)


def test_a_disk_that_fills_up_leaves_no_file(tmp_path, monkeypatch):
    def refuse(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(safe_files.os, "replace", refuse)
    with pytest.raises(NotWritten):
        write_pages(label_pages(bags(31), SHEET), tmp_path / "labels.pdf")
    assert not list(tmp_path.iterdir())


def test_a_bad_code_among_good_ones_leaves_no_file(tmp_path):
    items = [*bags(40), LabelItem("bag", "12")]
    with pytest.raises(Refused):
        write_pages(label_pages(items, SHEET), tmp_path / "labels.pdf")
    assert not list(tmp_path.iterdir())
