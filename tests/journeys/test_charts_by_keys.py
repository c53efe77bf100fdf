"""Charts by keys: walked, printed as they are seen, and in the exported files."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hands import Hands
from heron_lane import at_the_desk, things
from openpyxl import load_workbook
from PySide6.QtWidgets import QFileDialog

from farmdesk.desk.chart_view import ChartView
from farmdesk.desk.preview import PreviewDialog
from farmdesk.domain import cards
from farmdesk.domain.codes import code_of
from farmdesk.paper.pages import Shape, TextRun


@pytest.fixture
def hands(qtbot, tmp_path: Path) -> Iterator[Hands]:
    """A farm with a pick of 1.24 kg, made by scans."""
    with at_the_desk(qtbot.waitUntil, tmp_path) as made:
        made.scan(code_of(things(made, "card", act=cards.PICK)[0].id))
        made.scan(code_of(things(made, "bag")[0].id))
        made.press("F2")
        made.write("1.24 kg")
        made.press("Return")
        assert things(made, "pick")[0].net_mg == 1_240_000
        yield made


def charts(hands: Hands) -> list[ChartView]:
    """The charts in sight, from the top."""
    found = hands.desk.window.findChildren(ChartView)
    return [one for one in found if one.isVisible()]


WANTED = (
    "Picked by week",
    "Shares of the flushes",
    "Time to colonise",
    "Contaminated by week",
    "Cold store by days left",
)


def test_the_five_charts_are_walked_exported_and_printed(
    hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The system's own dialog for a file's name is not the desk's: its answer is given here."""
    out = tmp_path / "charts.xlsx"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(out), ""))
    hands.press("Alt+2")
    hands.choose_tab("Charts")
    hands.wait_for(lambda: len(charts(hands)) == len(WANTED))
    names = [one.accessibleName() for one in charts(hands)]
    assert all(name.startswith(one) for name, one in zip(names, WANTED, strict=True)), names
    hands.go(names[0])
    hands.press("End")
    assert charts(hands)[0].accessibleDescription().endswith("Oyster 1.2 kg")
    hands.press("Ctrl+S")
    hands.wait_for(out.exists)
    book = load_workbook(out)
    assert len(book.worksheets[0]._charts) == len(WANTED)
    cells = [cell.value for row in book.worksheets[0].iter_rows() for cell in row]
    assert 1.24 in cells
    hands.press("Ctrl+B")
    hands.wait_for(lambda: isinstance(hands.top, PreviewDialog))
    marks = [mark for page in hands.top.preview.pages for mark in page.marks]
    texts = [mark.text for mark in marks if isinstance(mark, TextRun)]
    assert all(any(text.startswith(one) for text in texts) for one in WANTED)
    assert any(isinstance(mark, Shape) for mark in marks)
    hands.press("Esc")
