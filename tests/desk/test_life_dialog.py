"""A thing's page: drawn, walked by keys, printed; relatives gone to and back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from demo_window import open_demo
from farm_window import FarmWindow, has_charts
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from farmdesk.desk.life_dialog import LifeDialog
from farmdesk.desk.theme import Theme

ALT = Qt.KeyboardModifier.AltModifier
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture(scope="module")
def farm_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("life")


@pytest.fixture
def shown(qapp: object, farm_folder: Path) -> Iterator[FarmWindow]:
    with open_demo(farm_folder, Theme()) as opened:
        yield opened


@pytest.fixture
def dialog(shown: FarmWindow) -> Iterator[LifeDialog]:
    batch = shown.all("batch")[3]
    opened = LifeDialog(shown.context, batch.id)
    shown.window.open_dialog(opened)
    shown.settle()
    yield opened
    opened.done(0)
    shown.settle()


def press(widget, *keys: Qt.Key) -> None:
    for key in keys:
        QTest.keyClick(widget, key)


def test_figures_stand_above_the_picture(dialog: LifeDialog, shown: FarmWindow) -> None:
    batch = shown.all("batch")[3]
    words = dialog.about.text()
    assert f"{batch.made} made" in words
    assert "over dry substrate" in words
    assert "Costs so far" in words
    assert dialog.picture.card.picture is not None
    assert "incubating 18" in dialog.picture.card.accessibleDescription()


def test_the_keys_stand_on_the_picture_which_is_as_wide_as_the_window(dialog: LifeDialog) -> None:
    card = dialog.picture.card
    assert card.hasFocus()
    assert dialog.picture.area.width() * 0.93 < card.width() <= dialog.picture.area.width()
    narrow = card.width()
    dialog.resize(dialog.width() + 200, dialog.height())
    assert narrow + 150 < card.width() <= dialog.picture.area.width()


def test_the_picture_is_walked_by_keys_and_said(dialog: LifeDialog, shown: FarmWindow) -> None:
    card = dialog.picture.card
    card.setFocus()
    press(card, Qt.Key.Key_Home)
    assert dialog.picture.words.text().startswith("From ")
    first = dialog.picture.words.text()
    press(card, Qt.Key.Key_Right)
    assert dialog.picture.words.text() != first
    press(card, Qt.Key.Key_End)
    assert "picked, flush" in dialog.picture.words.text()
    press(card, Qt.Key.Key_Return)
    shown.settle()
    assert dialog.name.text().startswith("P-LM")
    QTest.keyClick(dialog, Qt.Key.Key_Left, ALT)
    shown.settle()
    assert dialog.name.text() == shown.all("batch")[3].name


def test_relatives_are_a_graph_that_is_walked(dialog: LifeDialog, shown: FarmWindow) -> None:
    dialog.tabs.setCurrentWidget(dialog.family)
    picture = dialog.family.card.picture
    assert picture is not None
    words = [spot.words for spot in picture.spots]
    assert any(one.startswith("S-LM") for one in words), "the spawn in its bags is shown"
    assert any(one.startswith("R-0004") and "into LM01-0004" in one for one in words)
    bags = next(at for at, one in enumerate(words) if one.startswith("Bags: 18"))
    card = dialog.family.card
    card.setFocus()
    card.go_to(bags)
    press(card, Qt.Key.Key_Return)
    shown.settle()
    assert dialog.tabs.currentWidget() is dialog.lists
    assert {row.kind for row in dialog.forward.table.shown_rows()} == {"bag"}
    run = next(at for at, one in enumerate(words) if one.startswith("R-0004"))
    card.go_to(run)
    card.open_spot()
    shown.settle()
    assert dialog.name.text() == "R-0004"
    dialog.go_back()
    shown.settle()


def test_every_kind_has_a_page(dialog: LifeDialog, shown: FarmWindow) -> None:
    for kind in ("culture", "spawn", "run", "bag", "pick", "pack", "delivery"):
        thing = shown.all(kind)[10]
        dialog.go_to(thing.id)
        shown.settle()
        assert dialog.page is not None
        assert dialog.page.trace.id == thing.id
        assert "⚠" not in dialog.about.text()
        if kind != "delivery":
            assert dialog.page.figures, kind
            assert dialog.page.timeline is not None, kind
            assert dialog.page.timeline.first <= dialog.page.timeline.last


def test_the_page_is_printed_with_its_pictures(dialog: LifeDialog, shown: FarmWindow) -> None:
    QTest.keyClick(dialog, Qt.Key.Key_P, CONTROL)
    shown.settle()
    assert has_charts(shown)


def test_what_happened_is_exported(
    dialog: LifeDialog, shown: FarmWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "life.csv"
    monkeypatch.setattr(
        "farmdesk.desk.exporting.QFileDialog.getSaveFileName", lambda *_: (str(target), "")
    )
    QTest.keyClick(dialog, Qt.Key.Key_S, CONTROL)
    shown.settle()
    assert "sentence" in target.read_text(encoding="utf-8-sig")
