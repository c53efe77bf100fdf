"""Notes and photos on a thing's page: written, shown larger, saved, corrected and taken away."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from threading import Event

import pytest
from farm_window import FarmWindow
from PIL import Image
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent, QImage, QPainter
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from farmdesk.actions.lab import register_culture
from farmdesk.actions.notes import write_note
from farmdesk.actions.undo import redo_last, undo_last
from farmdesk.desk.life_dialog import LifeDialog
from farmdesk.desk.note_dialog import NoteDialog
from farmdesk.desk.page_painting import draw_page
from farmdesk.desk.photo_view import PhotoDialog
from farmdesk.desk.preview import PreviewDialog
from farmdesk.paper.pages import Photograph
from farmdesk.reports.check import check_farm
from farmdesk.reports.notes import NoteRow, notes_about
from farmdesk.store.photos import all_photos
from farmdesk.store.schema import PHOTO
from farmdesk.store.transaction import Reading

CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def life(farm_window: FarmWindow) -> Iterator[LifeDialog]:
    strain = farm_window.all("strain")[0].id
    made = farm_window.act(lambda act: register_culture(act, strain=strain, form="plate"))
    dialog = LifeDialog(farm_window.context, made.id)
    farm_window.window.open_dialog(dialog)
    dialog.tabs.setCurrentWidget(dialog.notes)
    farm_window.settle()
    yield dialog
    dialog.done(0)
    farm_window.settle()


def picture(folder: Path, name: str, colour: str, size: tuple[int, int] = (640, 480)) -> Path:
    Image.new("RGB", size, colour).save(folder / name)
    return folder / name


def colour_of(widget) -> str:
    image = widget.grab().toImage()
    pixel = image.pixelColor(image.width() // 2, image.height() // 2)
    return max(("red", "green", "blue"), key=lambda name: getattr(pixel, name)())


def choose(monkeypatch: pytest.MonkeyPatch, *paths: Path) -> None:
    names = [str(one) for one in paths]
    base = "farmdesk.desk.note_dialog.QFileDialog."
    monkeypatch.setattr(f"{base}getOpenFileNames", lambda *_: (names, ""))
    monkeypatch.setattr(f"{base}getOpenFileName", lambda *_: (names[0] if names else "", ""))


def write(life: LifeDialog, shown: FarmWindow) -> NoteDialog:
    QTest.keyClick(life, Qt.Key.Key_N, CONTROL)
    dialog = shown.dialog()
    assert isinstance(dialog, NoteDialog)
    return dialog


def save(dialog: NoteDialog, shown: FarmWindow) -> None:
    QTest.keyClick(dialog, Qt.Key.Key_Return, CONTROL)
    shown.settle()
    shown.settle()


def keep_red_photo(
    life: LifeDialog, shown: FarmWindow, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dialog = write(life, shown)
    choose(monkeypatch, picture(folder, "a.png", "#c02020"))
    dialog.photos.choose()
    save(dialog, shown)


def test_photos_are_written_seen_turned_and_saved(
    life: LifeDialog, farm_window: FarmWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dialog = write(life, farm_window)
    dialog.form.fields["text"].set_value("Day nine")
    choose(
        monkeypatch, picture(tmp_path, "a.png", "#c02020"), picture(tmp_path, "b.png", "#2020c0")
    )
    dialog.photos.button.setFocus()
    QTest.keyClick(dialog.photos.button, Qt.Key.Key_Space)
    assert dialog.photos.paths == (tmp_path / "a.png", tmp_path / "b.png")
    save(dialog, farm_window)
    assert [one.text for one in farm_window.all("note")] == ["Day nine", "Day nine"]
    assert life.tabs.tabText(life.tabs.indexOf(life.notes)).endswith("(2)")
    assert life.notes.photo.isVisible()
    assert colour_of(life.notes.photo) == "blue", "the newest note is chosen, its photo beside it"
    QTest.keyClick(life.notes.list.view, Qt.Key.Key_Down)
    farm_window.settle()
    assert colour_of(life.notes.photo) == "red"
    life.activateWindow()  # without a window manager nobody gives the focus back
    farm_window.settle()
    life.notes.list.view.setFocus()
    QTest.keyClick(life.notes.list.view, Qt.Key.Key_I, CONTROL)
    large = farm_window.dialog()
    assert isinstance(large, PhotoDialog)
    assert colour_of(large.view) == "red"
    QTest.keyClick(large.view, Qt.Key.Key_Left)
    farm_window.settle()
    assert colour_of(large.view) == "blue"
    assert "Day nine" in large.words.text()
    target = tmp_path / "copy"
    monkeypatch.setattr(
        "farmdesk.desk.photo_view.QFileDialog.getSaveFileName", lambda *_: (str(target), "")
    )
    QTest.keyClick(large, Qt.Key.Key_S, CONTROL)
    farm_window.settle()
    with Image.open(tmp_path / "copy.jpg") as copy:
        assert (copy.format, copy.size) == ("JPEG", (640, 480))
    large.reject()
    farm_window.settle()


def test_notes_that_come_late_are_not_shown_of_another_thing(
    life: LifeDialog, farm_window: FarmWindow, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    first = life.thing
    farm_window.act(lambda act: write_note(act, first, "of the first"))
    strain = farm_window.all("strain")[0].id
    second = farm_window.act(lambda act: register_culture(act, strain=strain, form="slant")).id
    go_on = Event()

    def slow(reading: Reading, thing: int) -> list[NoteRow]:
        if thing == first:
            go_on.wait(20)
        return notes_about(reading, thing)

    monkeypatch.setattr("farmdesk.desk.life_notes.notes_about", slow)
    life.notes.show_thing(first)
    counted: list[int] = []
    life.notes.counted.connect(counted.append)
    life.notes.show_thing(second)
    qtbot.waitUntil(lambda: counted == [0])
    go_on.set()
    farm_window.settle()
    assert counted == [0]
    assert life.notes.list.table.rowCount() == 0


def test_a_photo_is_changed_taken_away_and_comes_back_by_undo(
    life: LifeDialog, farm_window: FarmWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dialog = write(life, farm_window)
    drop = QMimeData()
    drop.setUrls([QUrl.fromLocalFile(str(picture(tmp_path, "a.png", "#c02020")))])
    event = QDropEvent(QPointF(5, 5), Qt.DropAction.CopyAction, drop,
                       Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)  # fmt: skip
    under = dialog.childAt(dialog.form.fields["text"].editor.mapTo(dialog, QPoint(40, 20)))
    while not under.acceptDrops():
        under = under.parentWidget()
    assert under is dialog, "the text would take the path of the file"
    dialog.dropEvent(event)
    save(dialog, farm_window)
    note = farm_window.all("note")[0]
    assert (note.text, bool(note.photo)) == ("", True)
    QTest.keyClick(life.notes.list.view, Qt.Key.Key_Return)
    dialog = farm_window.dialog()
    choose(monkeypatch, picture(tmp_path, "b.png", "#2020c0"))
    dialog.photos.set_value([tmp_path / "a.png"])
    dialog.photos.choose()
    assert dialog.photos.paths == (tmp_path / "b.png",)
    dialog.photos.set_value([tmp_path / "a.png"])
    drop.setUrls([QUrl.fromLocalFile(str(tmp_path / "b.png"))])
    dialog.dropEvent(event)
    assert dialog.photos.paths == (tmp_path / "b.png",), "the one dropped last takes its place"
    save(dialog, farm_window)
    assert farm_window.all("note")[0].photo != note.photo
    assert colour_of(life.notes.photo) == "blue"
    QTest.keyClick(life.notes.list.view, Qt.Key.Key_Return)
    dialog = farm_window.dialog()
    dialog.form.fields["without"].set_value(True)
    save(dialog, farm_window)
    assert "must be filled in" in dialog.form.fields["text"].problem_text()
    dialog.form.fields["text"].set_value("no photo")
    save(dialog, farm_window)
    assert farm_window.all("note")[0].photo == ""
    assert not life.notes.photo.isVisible()
    farm_window.act(undo_last)
    farm_window.act(undo_last)
    assert farm_window.all("note") == [note]
    farm_window.act(redo_last)
    assert check_farm(farm_window.store).is_clean


def test_what_is_no_picture_is_said_at_the_field_and_nothing_is_written(
    life: LifeDialog, farm_window: FarmWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dialog = write(life, farm_window)
    (tmp_path / "bad.jpg").write_text("no picture")
    choose(monkeypatch, picture(tmp_path, "a.png", "#c02020"), tmp_path / "bad.jpg")
    dialog.photos.choose()
    save(dialog, farm_window)
    assert "bad.jpg" in dialog.form.problem_on_top()
    assert farm_window.all("note") == []
    with farm_window.store.reading() as reading:
        assert list(all_photos(reading)) == []
    dialog.reject()
    farm_window.settle()


def test_a_photo_that_is_lost_is_said_in_its_place(
    life: LifeDialog, farm_window: FarmWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep_red_photo(life, farm_window, tmp_path, monkeypatch)
    with farm_window.store.writing() as writing:
        writing.connection.execute(PHOTO.delete())
    life.notes.photo.show_note(None)
    life.notes.show_thing(life.thing)
    farm_window.settle()
    farm_window.settle()
    assert not life.notes.photo.has_photo
    assert "no longer in the farm's file" in life.notes.photo.told
    assert not check_farm(farm_window.store).is_clean


def test_the_photos_are_printed_with_the_page(
    life: LifeDialog, farm_window: FarmWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep_red_photo(life, farm_window, tmp_path, monkeypatch)
    life.activateWindow()
    farm_window.settle()
    QTest.keyClick(life, Qt.Key.Key_P, CONTROL)
    farm_window.settle()
    preview = farm_window.dialog()
    assert isinstance(preview, PreviewDialog)
    page = preview.preview.pages[-1]
    photo = next(mark for mark in page.marks if isinstance(mark, Photograph))
    paper = QImage(round(page.width_mm * 2), round(page.height_mm * 2), QImage.Format.Format_RGB32)
    paper.fill(Qt.GlobalColor.white)
    painter = QPainter(paper)
    draw_page(painter, page, dots_per_mm=2)
    painter.end()
    middle = paper.pixelColor(
        round(2 * (photo.x_mm + photo.width_mm / 2)), round(2 * (photo.y_mm + photo.height_mm / 2))
    )
    assert (middle.red() > 150, middle.green() < 80) == (True, True)
    preview.reject()
    farm_window.settle()
