"""The sums' page: tabs, choices, answers in sentences, charts by keyboard, print and export."""

from __future__ import annotations

from pathlib import Path

import pytest
from farm_window import FarmWindow, has_charts
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from working_farm import WorkingFarm, days_ago, fill_farm

from farmdesk.actions.picks import record_pick
from farmdesk.desk.chart_view import ChartView
from farmdesk.desk.pages import sums_part
from farmdesk.desk.pages.sums import SumsPage
from farmdesk.paper.charts import Chart, Series
from farmdesk.wording.formats import Formats

KEYS = [key for key, _, _ in SumsPage.parts]


@pytest.fixture
def farm(farm_window: FarmWindow) -> WorkingFarm:
    made = fill_farm(farm_window.act)
    farm_window.act(
        lambda act: record_pick(act, bags=[made.bags[0][0].id], gross_mg=2_000_000),
        happened_at=days_ago(0),
    )
    return made


@pytest.mark.parametrize("key", KEYS)
def test_every_part_counts_and_explains_itself(
    farm_window: FarmWindow, farm: WorkingFarm, key: str
) -> None:
    page: SumsPage = farm_window.show("sums", key)
    part = page.part(key)
    farm_window.settle()
    assert page.part_key == key
    assert len(page.help()) > 60
    if key == "charts":
        assert len(part.views) == 5
        return
    assert part.answer is not None
    assert part.sentence.text()
    assert part.stop.isHidden()
    # Another table and another chart can be chosen where there are several.
    for at in range(part.tables.count()):
        part.tables.setCurrentIndex(at)
        part.tables.activated.emit(at)
        assert part.table is part.answer.tables[at]


@pytest.mark.parametrize("key", KEYS)
def test_an_empty_farm_says_what_to_do(farm_window: FarmWindow, key: str) -> None:
    page: SumsPage = farm_window.show("sums", key)
    farm_window.settle()
    part = page.part(key)
    if key == "charts":
        assert all(view.is_empty() for view in part.views)
        assert all(view.empty_text for view in part.views)
    else:
        assert part.sheet.list.table.rowCount() == 0
        assert part.empty_text.endswith(".")


def test_choices_are_asked_again(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: SumsPage = farm_window.show("sums", "contamination:week")
    farm_window.settle()
    part = page.part("contamination")
    assert part.table.columns[0].title == "Week inoculated"
    part.filters.choose_period("days")
    part.filters.first.line.setText("2001-01-01")
    part.filters.last.line.setText("2001-02-01")
    QTest.keyClick(part.filters.last.line, Qt.Key.Key_Return)
    farm_window.settle()
    assert "There are no bags" in part.sentence.text()
    part.filters.last.line.setText("1999-02-01")
    assert part.filters.question() is None
    assert "before the first day" in part.filters.last.problem_text()
    part.filters.first.line.setText("nonsense")
    assert part.filters.question() is None
    assert part.filters.first.problem_text()


def test_counting_can_be_stopped(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: SumsPage = farm_window.show("sums", "yields")
    farm_window.settle()
    part = page.part("yields")
    before = part.answer
    part.refresh()
    assert not part.stop.isHidden()
    part.stop.click()
    farm_window.settle()
    assert part.answer is before
    assert part.stop.isHidden()


def test_a_sum_is_printed_and_exported(
    farm_window: FarmWindow, farm: WorkingFarm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page: SumsPage = farm_window.show("sums", "yields")
    farm_window.settle()
    part = page.part("yields")
    for show in (page.print_page, part.print_chart):
        show()
        farm_window.settle()
        assert has_charts(farm_window)
    taken: list[str] = []
    monkeypatch.setattr(sums_part, "export_table", lambda _c, _p, table: taken.append(table.name))
    page._export()
    part.export_chart()
    assert taken[0] == "yields"
    assert len(taken) == 2


def test_all_charts_are_printed_together(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: SumsPage = farm_window.show("sums", "charts")
    farm_window.settle()
    assert page.print_page()
    farm_window.settle()
    assert has_charts(farm_window)


def test_a_batch_is_opened_where_it_stands(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: SumsPage = farm_window.show("sums", "yields:batch")
    farm_window.settle()
    part = page.part("yields")
    part.open_row(next(iter(part.table.rows)))
    farm_window.settle()
    assert farm_window.window.place == "incubation"


def chart_view(qtbot, chart: Chart | None) -> ChartView:
    view = ChartView(Formats())
    qtbot.addWidget(view)
    view.resize(500, 300)
    view.show_chart(chart)
    return view


@pytest.mark.parametrize("kind", ["bar", "line", "stacked", "dots"])
def test_every_kind_is_painted_and_told(qtbot, light, kind: str) -> None:
    blank = chart_view(qtbot, None).grab().toImage()
    rate = Series("Rate", [1.0, None, 3.0], low=[0.5, None, 2.0], high=[2.0, None, 4.0])
    view = chart_view(
        qtbot, Chart(kind, "Rates", ["a", "b", "c"], [rate, Series("All", [2.0] * 3)], unit="%")
    )
    assert view.grab().toImage() != blank
    assert "Rate, at least: a 0.5 %, c 2.0 %" in view.describe()
    assert view.accessibleName() == "Rates"


def test_a_chart_is_walked_and_copied_by_keys(qtbot, light) -> None:
    view = chart_view(qtbot, Chart("bar", "Kg", ["W1", "=W2"], [Series("Oyster", [1.5, None])]))
    QTest.keyClick(view, Qt.Key.Key_Right)
    assert view.place == 0
    assert view.accessibleDescription() == "W1: Oyster 1.5"
    for _ in range(3):
        QTest.keyClick(view, Qt.Key.Key_Right)
    assert view.describe_place(view.place) == "=W2: –"
    QTest.keyClick(view, Qt.Key.Key_Home)
    assert view.place == 0
    view._go_to_point(QPointF(480, 150))
    assert view.place == 1
    view.copy_figures()
    assert QGuiApplication.clipboard().text() == "\tOyster\nW1\t1.5\n'=W2\t"
