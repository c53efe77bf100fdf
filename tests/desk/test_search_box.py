"""Ctrl+F, a few letters, Enter: whatever the farm has is found and shown where it belongs."""

from __future__ import annotations

from functools import partial

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from farmdesk.actions.catalogue import save
from farmdesk.actions.lab import discard_lab, register_spawn
from farmdesk.desk.life_dialog import LifeDialog
from farmdesk.domain.catalogue import Customer, Species, Strain


def _fill(act):
    oyster = act.tx.first(Species, code="OY")
    strain = save(act, Strain(0, oyster.id, "07", "Rio"))
    save(act, Customer(0, "Café Dömchen"))
    return register_spawn(act, strain=strain.id, bags=3, each_mg=3_000_000)


@pytest.fixture
def spawn(farm_window):
    return farm_window.act(_fill)


def find(farm_window, text: str) -> list[str]:
    farm_window.window.command("find").trigger()
    assert farm_window.window.find_line.hasFocus()
    QTest.keyClicks(farm_window.window.find_line, text)
    farm_window.settle()
    results = box(farm_window).results
    return [results.item(at).text().strip() for at in range(results.count())]


def box(farm_window):
    return farm_window.window._search_box


def test_findings_stand_under_their_kind_with_their_place(farm_window, spawn) -> None:
    texts = find(farm_window, "s-oy07")
    assert texts[0] == "Spawn"
    assert texts[1].startswith("S-OY07-0003"), "the newest first"
    assert texts[1].endswith("→  Lab")
    assert box(farm_window).results.currentRow() == 1, "a title is never chosen"
    box(farm_window).close()


def test_enter_opens_the_first_finding(farm_window, spawn) -> None:
    find(farm_window, "domchen")
    QTest.keyClick(farm_window.window.find_line, Qt.Key.Key_Return)
    farm_window.settle()
    assert farm_window.window.place == "catalogue"
    page = farm_window.window.page("catalogue")
    assert page.spec.kind == "customer"
    assert page.view.current_row().name == "Café Dömchen"
    assert not box(farm_window).frame.isVisible()
    assert farm_window.window.find_line.text() == ""


def test_the_arrows_choose_from_the_line(farm_window, spawn) -> None:
    find(farm_window, "s-oy07")
    QTest.keyClick(farm_window.window.find_line, Qt.Key.Key_Down)
    assert box(farm_window).results.currentItem().text().strip().startswith("S-OY07-0002")
    QTest.keyClick(farm_window.window.find_line, Qt.Key.Key_Return)
    farm_window.settle()
    assert farm_window.window.place == "lab"
    assert farm_window.window.page("lab").spawn.current_row().name == "S-OY07-0002"


def test_a_lot_on_no_list_shows_its_life(farm_window, spawn) -> None:
    farm_window.act(partial(discard_lab, thing_id=spawn[0].id))
    find(farm_window, "s-oy07-0001")
    QTest.keyClick(farm_window.window.find_line, Qt.Key.Key_Return)
    dialog = farm_window.dialog()
    assert isinstance(dialog, LifeDialog)
    dialog.reject()


def test_nothing_found_is_said_calmly(farm_window, spawn) -> None:
    assert find(farm_window, "zzzz") == []
    assert box(farm_window).frame.isVisible()
    assert "Nothing has this" in box(farm_window).sentence.text()


def test_escape_closes_and_then_gives_the_page_the_keys(farm_window, spawn) -> None:
    find(farm_window, "oy07")
    line = farm_window.window.find_line
    QTest.keyClick(line, Qt.Key.Key_Escape)
    assert not box(farm_window).frame.isVisible()
    assert line.hasFocus()
    QTest.keyClick(line, Qt.Key.Key_Escape)
    assert not line.hasFocus()
    assert line.text() == ""


def test_an_older_search_never_shows_over_a_newer_one(farm_window, spawn) -> None:
    find(farm_window, "oy")
    searches = box(farm_window)
    searches.search("domchen")
    searches.search("s-oy07")
    farm_window.settle()
    assert searches.results.item(0).text() == "Spawn"
    searches.close()
