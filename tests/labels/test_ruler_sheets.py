"""A ruler sheet has its lines where it says, and measures become a shift the right way round."""

from __future__ import annotations

import pytest

from farmdesk.errors import Refused
from farmdesk.labels.ruler_sheets import find_correction, ruler_of, ruler_page
from farmdesk.labels.sheets import label_corner_mm
from farmdesk.labels.stocks import shipped_stocks
from farmdesk.paper.pages import Line, extent_of

STOCKS = sorted(shipped_stocks())


@pytest.mark.parametrize("name", STOCKS)
def test_every_stock_has_a_ruler_sheet_within_its_page(name: str) -> None:
    stock = shipped_stocks()[name]
    page = ruler_page(stock)
    assert (page.width_mm, page.height_mm) == (
        stock.page_width_um / 1000,
        stock.page_height_um / 1000,
    )
    for mark in page.marks:
        left, top, right, bottom = extent_of(mark)
        assert left >= -0.3
        assert top >= -0.3
        assert right <= page.width_mm + 0.3
        assert bottom <= page.height_mm + 0.3
    x, y = label_corner_mm(stock, stock.labels - 1)
    right, bottom = x + stock.label_width_um / 1000, y + stock.label_height_um / 1000
    assert any(
        isinstance(mark, Line) and (mark.x1_mm, mark.y1_mm) == (right, bottom)
        for mark in page.marks
    )


@pytest.mark.parametrize("name", STOCKS)
def test_the_lines_stand_where_the_person_is_told_to_find_them(name: str) -> None:
    stock = shipped_stocks()[name]
    ruler = ruler_of(stock)
    upright, level = [mark for mark in ruler_page(stock).marks if isinstance(mark, Line)][:2]
    assert upright.x1_mm == upright.x2_mm == ruler.right_um / 1000
    assert level.y1_mm == level.y2_mm == ruler.down_um / 1000


def test_what_came_out_too_far_left_and_low_is_moved_right_and_up() -> None:
    stock = shipped_stocks()["a4-3x8"]
    found = find_correction(stock, right_um=18_500, down_um=20_800)
    assert (found.right_um, found.down_um) == (1_500, -800)


def test_inches_taken_for_millimetres_are_noticed() -> None:
    stock = shipped_stocks()["a4-3x8"]
    with pytest.raises(Refused) as told:
        find_correction(stock, right_um=770, down_um=20_000)
    assert [(one.code, one.facts["field"]) for one in told.value.problems] == [
        ("offset_too_large", "right")
    ]


def test_a_page_fitted_to_the_paper_is_noticed() -> None:
    stock = shipped_stocks()["a4-3x8"]
    with pytest.raises(Refused) as told:
        find_correction(stock, right_um=20_000, down_um=20_000, bar_um=96_000)
    assert told.value.problems[0].code == "print_is_scaled"
    assert find_correction(stock, right_um=20_000, down_um=20_000, bar_um=100_400).right_um == 0
