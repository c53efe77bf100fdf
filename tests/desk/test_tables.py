"""The one list model, under Qt's own checker, for short lists and for a hundred thousand rows."""

from __future__ import annotations

import random
import threading
from array import array
from collections.abc import Sequence
from dataclasses import dataclass

import pytest
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtTest import QAbstractItemModelTester

from farmdesk.desk.tables import PAGE_ROWS, PAGES_KEPT, Column, LongTable, Order


@dataclass(frozen=True)
class Row:
    id: int
    code: str
    net_mg: int | None


COLUMNS = (
    Column("code", "Bag"),
    Column(
        "net", "Net", value=lambda row: row.net_mg, text=lambda mg: f"{mg / 1e6} kg", right=True
    ),
)
SHORT = [Row(1, "PO-2", 540_000), Row(2, "po-1", None), Row(3, "LM-3", 4_260_000)]


class Shelf:
    """A long list in memory that behaves as the store does."""

    def __init__(self, count: int) -> None:
        mixed = random.Random(7)
        self.all = [Row(n, f"B{n:06d}", mixed.randrange(9_000_000)) for n in range(count)]
        self.threads: set[str] = set()
        self.asked = 0

    def _matching(self, order: Order, words: str) -> list[Row]:
        rows = [row for row in self.all if words in row.code.casefold()]
        if order.column:
            key = {"code": lambda r: r.code, "net": lambda r: r.net_mg}[order.column]
            rows.sort(key=key, reverse=order.descending)
        return rows

    def first_page(self, order: Order, words: str, limit: int) -> Sequence[Row]:
        self.threads.add(threading.current_thread().name)
        return self._matching(order, words)[:limit]

    def ids(self, order: Order, words: str) -> array[int]:
        return array("q", [row.id for row in self._matching(order, words)])

    def rows(self, ids: Sequence[int]) -> Sequence[Row | None]:
        self.asked += 1
        return [self.all[one] for one in ids]


@pytest.fixture
def table(qapp):
    table = LongTable(COLUMNS)
    tester = QAbstractItemModelTester(
        table, QAbstractItemModelTester.FailureReportingMode.Fatal, table
    )
    assert tester.model() is table
    yield table
    table.deleteLater()


def shown(table: LongTable, column: int = 0) -> list[str]:
    return [table.index(row, column).data() for row in range(table.rowCount())]


def test_a_short_list_shows_text_titles_and_alignment(table) -> None:
    table.set_rows(SHORT)
    assert shown(table) == ["PO-2", "po-1", "LM-3"]
    assert shown(table, 1) == ["0.54 kg", "", "4.26 kg"]
    assert table.headerData(1, Qt.Orientation.Horizontal) == "Net"
    align = table.index(0, 1).data(Qt.ItemDataRole.TextAlignmentRole)
    assert align & Qt.AlignmentFlag.AlignRight.value


def test_a_short_list_sorts_by_value_not_by_text(table) -> None:
    table.set_rows(SHORT)
    table.sort(1, Qt.SortOrder.AscendingOrder)
    assert shown(table) == ["po-1", "PO-2", "LM-3"]
    table.sort(1, Qt.SortOrder.DescendingOrder)
    assert shown(table) == ["LM-3", "PO-2", "po-1"]
    table.sort(0, Qt.SortOrder.AscendingOrder)
    assert shown(table) == ["LM-3", "po-1", "PO-2"]
    table.sort(-1)
    assert shown(table) == ["PO-2", "po-1", "LM-3"]


def test_the_filter_wants_every_word_in_any_column(table) -> None:
    counts: list[int] = []
    table.counted.connect(counts.append)
    table.set_rows(SHORT)
    table.filter("PO")
    assert shown(table) == ["PO-2", "po-1"]
    table.filter("po 0.54")
    assert shown(table) == ["PO-2"]
    table.filter("nothing such")
    assert shown(table) == []
    table.filter("")
    assert counts == [3, 2, 1, 0, 3]


def test_a_long_list_shows_its_first_page_then_all(table, workplace, settled) -> None:
    shelf = Shelf(100_000)
    counts: list[int] = []
    table.rowsInserted.connect(lambda _p, first, last: counts.append((first, last)))
    table.set_source(shelf, workplace)
    settled()
    assert table.rowCount() == 100_000
    assert counts == [(PAGE_ROWS, 99_999)]
    assert all(name.startswith("farm-reader") for name in shelf.threads)
    assert table.row_at(0) == shelf.all[0]


def test_any_row_of_a_long_list_comes_by_id_and_few_pages_are_kept(
    table, workplace, settled
) -> None:
    shelf = Shelf(30_000)
    table.set_source(shelf, workplace)
    settled()
    for row in (29_999, 12_345, 256, 255, *range(0, 30_000, PAGE_ROWS)):
        table.row_at(row)
        settled()
        assert table.row_at(row) == shelf.all[row]
    assert len(table.shown_rows()) <= PAGES_KEPT * PAGE_ROWS
    asked = shelf.asked
    assert table.row_at(29_999) == shelf.all[29_999]
    assert shelf.asked == asked


def test_a_row_that_is_not_there_yet_shows_dots_and_then_itself(
    table, workplace, settled, monkeypatch
) -> None:
    shelf = Shelf(2_000)
    table.set_source(shelf, workplace)
    settled()
    gate = threading.Event()
    rows = shelf.rows
    monkeypatch.setattr(shelf, "rows", lambda ids: (gate.wait(), rows(ids))[1])
    index = table.index(1_500, 0)
    assert index.data() == "…"
    changed: list[int] = []
    table.dataChanged.connect(lambda first, last: changed.append(first.row()))
    gate.set()
    settled()
    assert changed == [1_280]
    assert index.data() == "B001500"


def test_a_long_list_sorts_and_filters_in_the_store(table, workplace, settled) -> None:
    shelf = Shelf(3_000)
    table.set_source(shelf, workplace)
    settled()
    table.sort(1, Qt.SortOrder.DescendingOrder)
    settled()
    best = max(shelf.all, key=lambda row: row.net_mg)
    assert table.row_at(0) == best
    table.filter("B0012")
    settled()
    assert table.rowCount() == 100
    assert {row.code[:5] for row in table.shown_rows()} == {"B0012"}


def test_only_the_last_filter_counts_when_typing_is_quick(table, workplace, settled) -> None:
    shelf = Shelf(3_000)
    table.set_source(shelf, workplace)
    for words in ("b", "b0", "b00", "b002", "b0029"):
        table.filter(words)
    settled()
    assert table.rowCount() == 100
    assert table.row_at(0) == shelf.all[2_900]


def test_an_empty_long_list(table, workplace, settled) -> None:
    counts: list[int] = []
    table.counted.connect(counts.append)
    table.set_source(Shelf(0), workplace)
    settled()
    assert table.rowCount() == 0
    assert counts == [0]


def test_the_view_is_sent_to_the_top_before_a_reset(table, workplace, settled) -> None:
    steps: list[str] = []
    table.about_to_reset.connect(lambda: steps.append("top"))
    table.modelAboutToBeReset.connect(lambda: steps.append("reset"))
    table.set_rows(SHORT)
    assert steps == ["top", "reset"]


def test_cells_outside_the_list_are_nothing(table) -> None:
    table.set_rows(SHORT)
    assert table.row_at(-1) is None
    assert table.row_at(3) is None
    assert table.data(QModelIndex()) is None
    assert table.rowCount(table.index(0, 0)) == 0
