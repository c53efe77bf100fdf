"""The sheet for the wall: its letters, boxes, page breaks and headings, on both papers."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farmdesk.paper.documents import PageSize
from farmdesk.paper.pages import Box, Page, TextRun, extent_of
from farmdesk.paper.table_pages import SIZES_MM
from farmdesk.paper.wall_pages import (
    EDGE_MM,
    WallLine,
    WallPart,
    WallPlace,
    WallSheet,
    lay_out_wall,
)

PAPERS: tuple[PageSize, ...] = ("A4", "letter")


def sheet_of(*places: WallPlace) -> WallSheet:
    return WallSheet(
        "Friday, November 27, 2026", "Week 48",
        [WallPart("Today", places, "Nothing waits today.")], ["Look and decide."], "Heron Lane",
    )  # fmt: skip


def lines(count: int, why: str = "2 bags") -> list[WallLine]:
    return [WallLine(f"Open: OY01-{at:04d}", "Oyster", why) for at in range(count)]


def runs(page: Page) -> list[TextRun]:
    return [mark for mark in page.marks if isinstance(mark, TextRun)]


def words(pages: tuple[Page, ...]) -> str:
    return " ".join(run.text for page in pages for run in runs(page))


@pytest.mark.parametrize("paper", PAPERS)
def test_a_long_list_goes_on_with_its_heading(paper: PageSize) -> None:
    pages = lay_out_wall(sheet_of(WallPlace("Mist room", lines(40))), page=paper)
    assert len(pages) >= 3
    for at, page in enumerate(pages):
        texts = [run.text for run in runs(page)]
        assert texts[0] == "Week 48"
        assert texts[1] == "Friday, November 27, 2026"
        assert ("Mist room" if at == 0 else "Mist room (continued)") in texts
        assert f"Page {at + 1} of {len(pages)}" in texts
        assert "Heron Lane" in texts
        assert (page.width_mm, page.height_mm) == SIZES_MM[paper]
    boxes = [mark for page in pages for mark in page.marks if isinstance(mark, Box)]
    assert len(boxes) == 40, "a box for each"
    told = [word for word in words(pages).split() if word.startswith("OY01-")]
    assert told == [f"OY01-{at:04d}" for at in range(40)], "each once, in order"


@pytest.mark.parametrize("paper", PAPERS)
def test_headlines_are_large_enough_to_read_from_afar(paper: PageSize) -> None:
    (page,) = lay_out_wall(sheet_of(WallPlace("Mist room", lines(3))), page=paper)
    sizes = {run.text: run.size_pt for run in runs(page)}
    for text in (
        "Friday, November 27, 2026", "Week 48", "Today", "Mist room", "Open: OY01-0001", "Oyster",
    ):  # fmt: skip
        assert sizes[text] >= 18, text


def test_an_empty_day_says_so() -> None:
    (page,) = lay_out_wall(sheet_of())
    assert "Nothing waits today." in words((page,))
    assert not [mark for mark in page.marks if isinstance(mark, Box)]


def test_no_heading_stands_alone_at_the_foot_of_a_page() -> None:
    for count in range(1, 16):
        sheet = sheet_of(WallPlace("Mist room", lines(count)), WallPlace("Cold store", lines(1)))
        for page in lay_out_wall(sheet):
            texts = [run.text for run in runs(page)]
            for heading in ("Mist room", "Cold store"):
                if heading in texts:
                    assert texts[texts.index(heading) + 1].startswith("Open:")


_TEXT = st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=160)
_LINE = st.builds(WallLine, _TEXT, _TEXT, _TEXT)
_PLACE = st.builds(WallPlace, _TEXT, st.lists(_LINE, min_size=1, max_size=8))


@given(places=st.lists(_PLACE, max_size=4), title=_TEXT, paper=st.sampled_from(PAPERS))
@settings(max_examples=40, deadline=None, derandomize=True)
def test_nothing_runs_over_the_paper_or_over_other_text(
    places: list[WallPlace], title: str, paper: PageSize
) -> None:
    sheet = WallSheet(title, "Week 48", [WallPart("Today", places, "")], ["Note"], "Foot")
    for page in lay_out_wall(sheet, page=paper):
        boxes = [extent_of(run) for run in runs(page) if run.text]
        for left, top, right, bottom in boxes:
            assert left >= EDGE_MM - 0.01
            assert right <= page.width_mm - EDGE_MM + 0.01
            assert top >= 0
            assert bottom <= page.height_mm
        for one, other in itertools.combinations(boxes, 2):
            wide = min(one[2], other[2]) - max(one[0], other[0])
            tall = min(one[3], other[3]) - max(one[1], other[1])
            assert min(wide, tall) < 0.1
