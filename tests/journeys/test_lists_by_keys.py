"""A list by keys alone: sorted, filtered, grouped, copied, exported, printed, and remembered."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hands import Hands
from heron_lane import at_the_desk
from openpyxl import load_workbook
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog

from farmdesk.desk.list_view import ListView
from farmdesk.desk.preview import PreviewDialog
from farmdesk.paper.pages import TextRun

NAME = "Species"
MENU = f"What can be done with {NAME}"


@pytest.fixture
def hands(qtbot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_desk(qtbot.waitUntil, tmp_path) as made:
        open_species(made)
        yield made


def open_species(hands: Hands) -> None:
    """The list of species in the catalogue."""
    hands.press("Ctrl+9")
    hands.go("Kinds of thing")
    hands.press("Home")


def shown(hands: Hands) -> ListView:
    """The list of species in sight."""
    found = hands.desk.window.findChildren(ListView)
    return next(one for one in found if one.isVisible() and one.view.accessibleName() == NAME)


def column(hands: Hands, key: str) -> list[Any]:
    """What the rows in sight have in a column, from the top."""
    return [getattr(row, key) for row in shown(hands).table.shown_rows()]


def test_a_list_is_sorted_both_ways_and_back(hands: Hands) -> None:
    first = column(hands, "code")
    assert first != sorted(first)
    hands.choose_in_menu(MENU, "Sort by", "Code")
    assert column(hands, "code") == sorted(first)
    hands.choose_in_menu(MENU, "Sort by", "The other way round")
    assert column(hands, "code") == sorted(first, reverse=True)
    hands.choose_in_menu(MENU, "Sort by", "As it was at first")
    assert column(hands, "code") == first


def test_what_is_filtered_and_grouped_is_what_is_copied(hands: Hands) -> None:
    hands.fill({f"Filter {NAME}": "oyster"})
    hands.wait_for(lambda: len(column(hands, "code")) < 5)
    names = column(hands, "name")
    assert names
    assert all("oyster" in name.casefold() for name in names)
    hands.choose_in_menu(MENU, "Group by", "Status of the figures")
    hands.wait_for(lambda: "group" in shown(hands)._count.text())
    assert shown(hands).table.group == "status"
    hands.go(NAME)
    hands.press("Ctrl+A", "Ctrl+C")
    lines = QGuiApplication.clipboard().text().split("\n")
    assert lines[0].startswith("Code\tName\t")
    assert sorted(line.split("\t")[1] for line in lines[1:]) == sorted(names)


def test_a_list_is_exported_and_seen_before_it_is_printed(
    hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The system's own dialog for a file's name is not the desk's: its answer is given here."""
    out = tmp_path / "species.xlsx"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(out), ""))
    hands.choose_in_menu(MENU, "Sort by", "Code")
    hands.choose_in_menu(MENU, "Export …")
    hands.wait_for(out.exists)
    cells = [row[0].value for row in load_workbook(out).worksheets[0].iter_rows()]
    codes = column(hands, "code")
    assert [one for one in cells if one in codes] == codes
    hands.press("Ctrl+P")
    hands.wait_for(lambda: isinstance(hands.top, PreviewDialog))
    marks = [mark for page in hands.top.preview.pages for mark in page.marks]
    texts = [mark.text for mark in marks if isinstance(mark, TextRun)]
    assert set(codes) <= set(texts)
    hands.press("Esc")


def test_columns_chosen_by_keys_are_there_after_a_restart(qtbot, tmp_path: Path) -> None:
    """The first column hidden, the second moved on; another desk on this computer shows both."""
    with at_the_desk(qtbot.waitUntil, tmp_path) as hands:
        open_species(hands)
        assert shown(hands).shown_columns()[:3] == ["code", "name", "scientific"]
        hands.choose_in_menu(MENU, "Columns …")
        hands.go("Columns, from left to right")
        hands.press("Home", "Space")
        hands.wait_for(lambda: "code" not in shown(hands).shown_columns())
        hands.press("Down", "Alt+Down", "Esc")
        hands.choose_in_menu(MENU, "Sort by", "Scientific name")
    with at_the_desk(qtbot.waitUntil, tmp_path) as again:
        open_species(again)
        assert shown(again).shown_columns()[:2] == ["scientific", "name"]
        assert shown(again).table.order().column == "scientific"
        latin = column(again, "scientific")
        assert latin == sorted(latin)
