"""Every part of every place on a farm just begun: what is empty says what to do, F1 explains."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from demo_window import each_part
from farm_window import FarmWindow
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from farmdesk.desk.chart_view import ChartView
from farmdesk.desk.commands import PLACES
from farmdesk.desk.list_view import ListView

GOOD_NEWS = {
    "Nothing stands out: no cause did worse than all others.",
    "Nothing is slow and nothing is lost.",
}
"""Lists of troubles: that they are empty asks for nothing."""
A_STEP = re.compile(
    r"Ctrl\+[A-Z0-9]|Press|Add|Choose|Enter|Inoculate|Open some|After the first|When bags"
    r"|begin with"
)


def each_place(shown: FarmWindow, place: str) -> Iterator[tuple[str, QWidget]]:
    """Every part of a place, by name."""
    page = shown.show(place)
    for part in each_part(page, shown):
        yield f"{place} {part}".strip(), page


def empty_texts(page: QWidget) -> Iterator[str]:
    """What the empty lists and charts in sight say."""
    for view in page.findChildren(ListView):
        if view.isVisible() and view.table.rowCount() == 0:
            yield view._empty.text()
    for chart in page.findChildren(ChartView):
        if chart.isVisible() and chart.is_empty():
            yield chart.empty_text


@pytest.mark.parametrize("place", [spec.key for spec in PLACES])
def test_what_is_empty_says_what_to_do_first(farm_window: FarmWindow, place: str) -> None:
    faults = [
        f"{part}: {text}"
        for part, page in each_place(farm_window, place)
        for text in empty_texts(page)
        if text not in GOOD_NEWS and not A_STEP.search(text)
    ]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("place", [spec.key for spec in PLACES])
def test_f1_explains_the_page_its_keys_and_the_figures(farm_window: FarmWindow, place: str) -> None:
    """Which denominator biological efficiency has is told on every page, one key away."""
    spec = next(one for one in PLACES if one.key == place)
    for part, page in each_place(farm_window, place):
        QTest.keyClick(farm_window.window, Qt.Key.Key_F1)
        farm_window.settle()
        text = " ".join(farm_window.window._help.view.toPlainText().split())
        assert text.startswith(spec.title), part
        own = " ".join((page.help() or spec.help).split())
        assert own in text, part
        assert len(own) > 80, f"{part} explains little"
        assert "F1" in text, f"{part} names no keys"
        assert "Biological efficiency (BE)" in text
        assert "divided by the dry weight of the substrate" in text
        assert "on opened blocks" in text
        assert "on made blocks" in text
        QTest.keyClick(farm_window.window._help, Qt.Key.Key_Escape)
        assert not farm_window.window._help.isVisible()
