"""The desk: keys to the painted answer, and a list of every bag, against bare widgets and SQL."""

from __future__ import annotations

import sqlite3
import time
from array import array
from typing import Any

from big_farm import BigFarm
from PySide6.QtCore import QEventLoop, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QTableView
from scan_figures import move_card
from timing import Figure, median

from farmdesk.actions.scanning import Bench
from farmdesk.desk.list_view import ListView
from farmdesk.desk.session import view_of
from farmdesk.desk.strip import ScanStrip
from farmdesk.desk.tables import Column, Order
from farmdesk.desk.theme import Theme, apply_theme
from farmdesk.desk.workplace import Workplace
from farmdesk.domain.codes import code_of
from farmdesk.reports.bags import BagSource
from farmdesk.store.farm_store import open_farm


def _application() -> QApplication:
    app = QApplication.instance()
    if not isinstance(app, QApplication):
        app = QApplication([])
        apply_theme(app, Theme())
    return app


def measure_keys(farm: BigFarm, *, scans: int) -> Figure:
    """Typing a code into the strip until its answer is painted, transaction included."""
    app = _application()
    store = open_farm(farm.path)
    benches = [Bench(store, station=f"keys-{room}") for room in farm.rooms]
    for bench, room in zip(benches, farm.rooms, strict=True):
        bench.scan(code_of(move_card(store, room)))
    strip = ScanStrip(Theme())
    strip.resize(1280, 160)
    strip.show()
    workplace = Workplace()
    bare = QLineEdit()
    bare.show()
    app.processEvents()
    answered: list[Any] = []
    turn = 0

    def show_answer(answer: Any) -> None:
        strip.show_answer(view_of(answer))
        strip.board.repaint()
        answered.append(answer)

    strip.line_entered.connect(
        lambda line: workplace.do(benches[turn % 2].scan, line, then=show_answer)
    )
    mine, floor = [], []
    for turn in range(scans):
        code = code_of(farm.bags[turn // 2])
        began = time.perf_counter()
        QTest.keyClicks(strip.field, code)
        QTest.keyClick(strip.field, Qt.Key.Key_Return)
        while len(answered) <= turn:
            app.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)
        mine.append(time.perf_counter() - began)
        bare.clear()
        began = time.perf_counter()
        QTest.keyClicks(bare, code)
        QTest.keyClick(bare, Qt.Key.Key_Return)
        floor.append(time.perf_counter() - began)
    assert {answer.outcome for answer in answered} <= {"done", "already"}
    workplace.close()
    strip.close()
    bare.close()
    store.close()
    what = "keys to painted answer, transaction included / keys into a bare line edit"
    return Figure(
        "keys_to_paint", what, median(mine) * 1e6, median(floor) * 1e6, "us", scans, 15, 8
    )


def measure_list(farm: BigFarm, *, rounds: int) -> list[Figure]:
    """First paint and jumps of the list of all bags / repaint; sort and filter / the bare SQL."""
    app = _application()
    store = open_farm(farm.path)
    source = BagSource(store)
    raw = sqlite3.connect(farm.path)
    view = _bag_list()
    workplace = Workplace()
    times: dict[str, list[float]] = {"paint": [], "jump": [], "repaint": [], "sort": [], "sql": []}
    for turn in range(rounds):
        began = time.perf_counter()
        view.table.set_source(source, workplace)
        workplace.settled()
        app.processEvents()
        times["paint"].append(_first_paint(view, source, workplace))
        times["repaint"].append(_timed(view.view.viewport().repaint))
        times["jump"].append(_jump(view, workplace, turn))
        began = time.perf_counter()
        assert len(source.ids(Order("stage", False), "")) == len(farm.bags) + 1
        times["sort"].append(time.perf_counter() - began)
        began = time.perf_counter()
        _bare_ids(raw)
        times["sql"].append(time.perf_counter() - began)
    workplace.close()
    view.close()
    store.close()
    raw.close()
    repaint, sql = median(times["repaint"]) * 1e3, median(times["sql"]) * 1e3
    paint, jump = median(times["paint"]) * 1e3, median(times["jump"]) * 1e3
    sort = median(times["sort"]) * 1e3
    return [
        Figure("list", "first rows painted / repaint", paint, repaint, "ms", rounds, 10, 4),
        Figure("list_jump", "jump to any row / repaint", jump, repaint, "ms", rounds, 3, 1.5),
        Figure("list_sort", "ids sorted by stage / bare SQL", sort, sql, "ms", rounds, 2, 1.3),
    ]


def _bag_list() -> ListView:
    columns = [
        Column("name", "Bag"), Column("stage", "Stage"), Column("room", "Room"),
        Column("looked_on", "Looked"), Column("flush", "Flush"),
    ]  # fmt: skip
    view = ListView(columns, name="Bags")
    view.resize(1200, 800)
    view.show()
    return view


def _timed(function: Any) -> float:
    began = time.perf_counter()
    function()
    return time.perf_counter() - began


def _first_paint(view: ListView, source: BagSource, workplace: Workplace) -> float:
    app = _application()
    view.view.scrollToTop()
    began = time.perf_counter()
    view.table.set_source(source, workplace)
    while view.table.row_at(0) is None:
        app.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)
    view.view.viewport().repaint()
    taken = time.perf_counter() - began
    workplace.settled()
    return taken


def _jump(view: ListView, workplace: Workplace, turn: int) -> float:
    rows = view.table.rowCount()
    table: QTableView = view.view
    place = (turn * 7919 * 613) % max(1, rows)
    began = time.perf_counter()
    table.scrollTo(view.table.index(place, 0))
    table.viewport().repaint()
    if view.table.row_at(place) is None:
        workplace.settled()
        table.viewport().repaint()
    taken = time.perf_counter() - began
    workplace.settled()
    return taken


def _bare_ids(raw: sqlite3.Connection) -> array[int]:
    return array("q", [row[0] for row in raw.execute("SELECT id FROM bag ORDER BY stage, id")])
