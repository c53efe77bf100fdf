"""Codes from pictures: found, shown in order, handed to the bench one after the other."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from drawn_codes import draw_codes
from PySide6.QtCore import QMimeData, Qt, QUrl
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication
from small_desk import SmallDesk, open_small_desk

from farmdesk.desk.picture_folder import PictureFolder
from farmdesk.settings.preferences import Preferences


@pytest.fixture
def place(qtbot, tmp_path: Path) -> Iterator[SmallDesk]:
    with open_small_desk(tmp_path, qtbot.waitUntil, Preferences(theme="light")) as opened:
        yield opened


def test_codes_of_a_picture_go_to_the_bench_in_order(place: SmallDesk) -> None:
    place.desk.window.command("read_pictures").trigger()
    dialog = place.dialog()
    dialog.read([draw_codes(place.folder / "bags.png", place.codes)])
    place.settle()
    assert dialog.codes() == place.codes
    assert dialog.view.accessibleName() == "A picture with 4 codes"
    dialog.send()
    place.settle()
    assert place.moved() == [True, True, True]
    assert "4 codes went to the bench" in place.desk.window.statusBar().currentMessage()


def test_an_unticked_code_stays_behind(place: SmallDesk) -> None:
    place.desk.session.pictures.ask([draw_codes(place.folder / "bags.png", place.codes)])
    dialog = place.dialog()
    place.settle()
    dialog.list.item(2).setCheckState(Qt.CheckState.Unchecked)
    dialog.send()
    place.settle()
    assert place.moved() == [True, False, True]


def test_foreign_codes_are_shown_unticked(place: SmallDesk) -> None:
    place.desk.session.pictures.ask(
        [draw_codes(place.folder / "mixed.png", ["400638133393", place.codes[1]])]
    )
    dialog = place.dialog()
    assert dialog.codes() == [place.codes[1]]
    assert "no code of a farm" in dialog.list.item(0).text()
    dialog.reject()


def test_a_picture_without_codes_is_told_and_another_can_follow(place: SmallDesk) -> None:
    empty = place.folder / "empty.png"
    blank = QImage(300, 200, QImage.Format.Format_RGB32)
    blank.fill(Qt.GlobalColor.white)
    blank.save(str(empty))
    place.desk.session.pictures.ask([empty, place.folder / "gone.png"])
    dialog = place.dialog()
    assert "No code could be read in “empty.png”" in dialog.told.text()
    assert "“gone.png” could not be opened" in dialog.told.text()
    assert not dialog.send_button.isEnabled()
    dialog.read([draw_codes(place.folder / "bags.png", place.codes[:2])])
    place.settle()
    assert dialog.send_button.isEnabled()
    dialog.reject()


def test_dropped_files_and_a_pasted_picture(place: SmallDesk) -> None:
    place.desk.session.pictures.ask()
    dialog = place.dialog()
    path = draw_codes(place.folder / "bags.png", place.codes[:2])
    dropped = QMimeData()
    dropped.setUrls([QUrl.fromLocalFile(str(path))])
    assert dialog._take(dropped)
    place.settle()
    assert dialog.codes() == place.codes[:2]
    pasted = QMimeData()
    pasted.setImageData(QImage(str(draw_codes(place.folder / "more.png", place.codes[2:]))))
    assert dialog._take(pasted)
    place.settle()
    assert dialog.codes() == place.codes
    assert not dialog._take(QMimeData())
    dialog.reject()


def test_a_question_in_between_waits_for_its_answer(place: SmallDesk) -> None:
    fed: list[str] = []
    feed = place.desk.session.pictures.feed
    place.desk.window.strip.line_entered.connect(fed.append)
    place.desk.session.reply = lambda yes: None
    from farmdesk.desk.answers import AnswerView

    original = place.desk.session._scan
    place.desk.window.strip.line_entered.disconnect(original)
    feed.feed(["one", "two"])
    place.desk.session.answered.emit(AnswerView("ask", "Sure?", asks=True), _answer())
    assert fed == ["one"]
    place.desk.session.answered.emit(AnswerView("done", "Moved."), _answer())
    assert fed == ["one", "two"]
    place.desk.session.answered.emit(AnswerView("done", "Moved."), _answer())
    assert feed.waiting == 0
    feed.feed(["three", "four"])
    feed.stop()
    feed.feed(["five"])
    assert fed == ["one", "two", "three", "five"]


def _answer() -> Any:
    from farmdesk.actions.scanning import ScanAnswer

    return ScanAnswer("", "done", "")


def test_a_new_picture_in_the_watched_folder_opens_the_dialog(place: SmallDesk, qtbot) -> None:
    folder = place.folder / "phone"
    folder.mkdir()
    draw_codes(folder / "old.png", place.codes[:1])
    pictures = place.desk.session.pictures
    pictures.folder.deleteLater()
    pictures.folder = PictureFolder(pictures, settle_ms=20)
    pictures.folder.arrived.connect(pictures._arrived)
    pictures.watch(str(folder))
    draw_codes(folder / "new.jpg", place.codes[1:3])
    qtbot.waitUntil(lambda: QApplication.activeModalWidget() is not None)
    dialog = place.dialog()
    assert dialog.codes() == place.codes[1:3]
    dialog.reject()


def test_a_folder_that_is_not_there_is_said(place: SmallDesk) -> None:
    place.desk.session.pictures.watch(str(place.folder / "nowhere"))
    assert "cannot be watched" in place.desk.window.statusBar().currentMessage()
