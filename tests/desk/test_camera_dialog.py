"""Codes held before a webcam: each goes to the bench once, and the answers come back large."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from small_desk import SmallDesk, open_small_desk
from stand_in_camera import Clock, StandInDevice, StandInMultimedia, held, source_of

from farmdesk.actions.base import perform
from farmdesk.desk.answers import AnswerView
from farmdesk.desk.camera_dialog import READ_SECONDS, SILENT_SECONDS, CameraDialog
from farmdesk.devices.sightings import AWAY_SECONDS
from farmdesk.domain.bags import Bag
from farmdesk.domain.cards import OPENED, YES
from farmdesk.domain.codes import code_of, make_id
from farmdesk.domain.stations import Card
from farmdesk.errors import DeviceTrouble, problem
from farmdesk.settings.preferences import Preferences

ONE, TWO = (code_of(make_id("bag", serial)) for serial in (41, 42))
LID, STAND = StandInDevice("lid", "Lid camera"), StandInDevice("stand", "Bench camera")


@dataclass
class Scene:
    """The window of a camera, and somebody who holds labels before it."""

    dialog: CameraDialog
    multimedia: StandInMultimedia
    clock: Clock
    settle: Any
    seen: list[list[str]]

    def show(self, image: QImage, times: int = 1, every: float = READ_SECONDS) -> None:
        for _ in range(times):
            self.clock.now += every
            self.multimedia.show(image)
            self.settle()

    def told(self) -> str:
        return self.dialog.told.text()


@pytest.fixture
def make_scene(qtbot, workplace, settled, light):
    def make(*plugged: StandInDevice, wanted: str = "") -> Scene:
        multimedia, clock = StandInMultimedia(), Clock()
        multimedia.plugged = list(plugged)
        dialog = CameraDialog(
            workplace,
            light,
            wanted=wanted,
            make_source=source_of(multimedia),
            clock=clock,
        )
        qtbot.addWidget(dialog)
        seen: list[list[str]] = []
        dialog.codes_seen.connect(seen.append)
        dialog.show()
        dialog.begin()
        return Scene(dialog, multimedia, clock, settled, seen)

    return make


@pytest.fixture
def scene(make_scene) -> Scene:
    return make_scene(LID)


EMPTY = held()


def test_a_code_that_is_held_still_leaves_once(scene: Scene) -> None:
    scene.show(held(ONE), times=8)
    assert scene.seen == [[ONE]]
    assert "Hold a label before the camera" in scene.told()


def test_two_codes_in_a_frame_leave_in_the_order_of_reading(scene: Scene) -> None:
    scene.show(held(TWO, ONE), times=3)
    assert scene.seen == [[TWO, ONE]]
    assert scene.dialog.view.accessibleName() == "A picture with 2 codes"


def test_a_second_label_beside_the_first(scene: Scene) -> None:
    scene.show(held(ONE), times=2)
    scene.show(held(ONE, TWO), times=2)
    assert scene.seen == [[ONE], [TWO]]


def test_frames_without_a_code_and_blurred_ones_say_nothing(scene: Scene) -> None:
    scene.show(EMPTY, times=2)
    scene.show(held(ONE, soft=40), times=2)
    assert scene.seen == []
    scene.show(held(ONE))
    assert scene.seen == [[ONE]]


def test_a_code_counts_again_when_it_was_away_and_not_after_a_blur(scene: Scene) -> None:
    scene.show(held(ONE))
    scene.show(held(ONE, soft=40), times=3)
    scene.show(held(ONE))
    assert scene.seen == [[ONE]]
    scene.show(EMPTY, times=2, every=AWAY_SECONDS)
    scene.show(held(ONE), times=2)
    assert scene.seen == [[ONE], [ONE]]


def test_a_foreign_code_is_left_alone_and_told(scene: Scene) -> None:
    scene.show(held("400638133393", ONE))
    assert scene.seen == [[ONE]]
    assert "“400638133393” is no code of a farm" in scene.told()


def test_frames_that_come_while_one_is_read_are_dropped(scene: Scene, monkeypatch) -> None:
    read: list[object] = []
    monkeypatch.setattr(
        "farmdesk.desk.camera_dialog.read_frame", lambda frame: read.append(frame) or ()
    )
    for _ in range(5):
        scene.clock.now += READ_SECONDS
        scene.multimedia.show(EMPTY)
    scene.settle()
    assert len(read) == 1
    for _ in range(4):
        scene.clock.now += READ_SECONDS / 2
        scene.multimedia.show(EMPTY)
        scene.settle()
    assert len(read) == 3


def test_frames_that_come_too_quickly_are_not_even_shown(scene: Scene) -> None:
    shown: list[QImage] = []
    assert scene.dialog.source is not None
    scene.dialog.source.frame_came.connect(shown.append)
    for _ in range(30):
        scene.clock.now += 1 / 30
        scene.multimedia.show(EMPTY)
    scene.settle()
    assert 8 <= len(shown) <= 13


def test_without_the_reader_the_picture_stays_and_one_sentence_says_what_to_do(
    scene: Scene, monkeypatch
) -> None:
    monkeypatch.setitem(sys.modules, "zxingcpp", None)
    scene.show(held(ONE), times=4)
    assert "zxing-cpp" in scene.told()
    assert "extra “devices”" in scene.told()
    assert scene.seen == []
    assert not scene.dialog.view._pixmap.isNull()
    scene.dialog.choice.activated.emit(0)
    scene.show(held(ONE))
    assert "zxing-cpp" in scene.told()


@pytest.mark.parametrize(
    ("trouble", "told"),
    [
        (problem("camera_library_missing"), "its extra “camera”"),
        (problem("camera_library_broken", reason="libsound.so"), "(libsound.so)"),
    ],
)
def test_without_the_part_for_cameras_a_sentence_says_what_to_do(
    qtbot, workplace, light, trouble, told
) -> None:
    def none(*_words: object, **_more: object) -> Any:
        raise DeviceTrouble(trouble)

    dialog = CameraDialog(workplace, light, make_source=none)
    qtbot.addWidget(dialog)
    dialog.begin()
    assert told in dialog.told.text()
    assert "read from photos" in dialog.told.text()
    assert dialog.choice.isHidden()
    dialog.reject()


def test_no_camera_and_then_one_is_plugged_in(make_scene) -> None:
    scene = make_scene()
    assert "No camera was found" in scene.told()
    assert scene.dialog.choice.isHidden()
    scene.multimedia.plug_in(LID)
    assert scene.multimedia.running() == ["Lid camera"]
    scene.show(held(ONE))
    assert scene.seen == [[ONE]]


def test_a_camera_that_is_pulled_out_is_told_and_found_again(scene: Scene) -> None:
    scene.show(held(ONE))
    scene.multimedia.pull_out(LID)
    assert "The camera “Lid camera” is gone" in scene.told()
    assert scene.multimedia.running() == []
    assert scene.dialog.view._pixmap.isNull()
    scene.show(held(TWO))
    assert scene.seen == [[ONE]]
    scene.multimedia.plug_in(LID)
    scene.show(held(ONE, TWO))
    assert scene.seen == [[ONE], [TWO]]


def test_the_other_camera_does_not_start_by_itself(make_scene) -> None:
    scene = make_scene(LID, STAND)
    scene.multimedia.pull_out(LID)
    assert scene.multimedia.running() == []
    assert scene.dialog.choice.currentIndex() == -1
    scene.dialog.choice.activated.emit(0)
    assert scene.multimedia.running() == ["Bench camera"]


def test_a_camera_is_chosen_among_several(make_scene) -> None:
    scene = make_scene(LID, STAND)
    chosen: list[str] = []
    scene.dialog.camera_chosen.connect(chosen.append)
    names = [scene.dialog.choice.itemText(at) for at in range(2)]
    assert names == ["Lid camera", "Bench camera"]
    scene.dialog.choice.setFocus()
    QTest.keyClick(scene.dialog.choice, Qt.Key.Key_Down)
    assert scene.multimedia.running() == ["Bench camera"]
    assert chosen == ["stand"]


@pytest.mark.parametrize(("wanted", "name"), [("stand", "Bench camera"), ("sold", "Lid camera")])
def test_the_camera_of_last_time_is_started_if_it_is_there(make_scene, wanted, name) -> None:
    scene = make_scene(LID, STAND, wanted=wanted)
    assert scene.multimedia.running() == [name]
    assert scene.dialog.choice.currentText() == name


def test_a_camera_that_fails_says_why_and_can_be_chosen_again(scene: Scene) -> None:
    scene.multimedia.made[-1].errorOccurred.emit(1, "Device is busy.")
    assert "gives no pictures (Device is busy)" in scene.told()
    assert scene.multimedia.running() == []
    scene.dialog.choice.activated.emit(0)
    scene.show(held(ONE))
    assert scene.seen == [[ONE]]


def test_a_camera_that_falls_silent_is_told_until_it_goes_on(scene: Scene) -> None:
    scene.show(EMPTY)
    scene.clock.now += SILENT_SECONDS
    scene.dialog.look_for_silence()
    assert "Hold a label" in scene.told()
    scene.clock.now += 1
    scene.dialog.look_for_silence()
    assert "sends no picture" in scene.told()
    scene.show(held(ONE))
    assert "Hold a label" in scene.told()
    assert scene.seen == [[ONE]]


def test_it_is_not_silent_while_a_person_reads_the_systems_question(
    make_scene, monkeypatch
) -> None:
    asked: list[Any] = []
    monkeypatch.setattr(
        "farmdesk.desk.camera_source.ask_permission", lambda _owner, then: asked.append(then)
    )
    scene = make_scene(LID)
    scene.clock.now += 10 * SILENT_SECONDS
    scene.dialog.look_for_silence()
    assert scene.told() == "The camera starts …"
    asked[0](True)
    scene.dialog.look_for_silence()
    assert scene.told() == "The camera starts …"
    scene.clock.now += 2 * SILENT_SECONDS
    scene.dialog.look_for_silence()
    assert "sends no picture" in scene.told()


def test_the_camera_is_let_go_when_the_window_is_closed(scene: Scene) -> None:
    scene.clock.now += READ_SECONDS
    scene.multimedia.show(held(ONE))
    scene.dialog.reject()
    scene.settle()
    assert scene.multimedia.running() == []
    assert scene.seen == []


@pytest.mark.parametrize(
    ("key", "reply"),
    [
        (Qt.Key.Key_Y, True),
        (Qt.Key.Key_Return, True),
        (Qt.Key.Key_N, False),
        (Qt.Key.Key_Escape, False),
    ],
)
def test_a_question_is_answered_by_a_key(scene: Scene, key, reply) -> None:
    replies: list[bool] = []
    scene.dialog.replied.connect(replies.append)
    scene.dialog.show_answer(AnswerView("ask", "Throw it away?", asks=True))
    assert scene.dialog.is_asking
    QTest.keyClick(scene.dialog.focusWidget() or scene.dialog, key)
    assert replies == [reply]
    assert not scene.dialog.is_asking
    assert scene.dialog.isVisible()
    scene.dialog.show_answer(AnswerView("done", "Thrown away."))
    assert "Thrown away." in scene.dialog.board.accessibleName()


# ---- on the whole desk


@dataclass
class Bench:
    """The desk with the camera's window open."""

    place: SmallDesk
    multimedia: StandInMultimedia
    clock: Clock
    dialog: CameraDialog

    def show(self, *codes: str, every: float = READ_SECONDS) -> None:
        self.clock.now += every
        self.multimedia.show(held(*codes))
        self.place.settle()


@pytest.fixture
def bench(qtbot, tmp_path: Path, monkeypatch) -> Iterator[Bench]:
    multimedia, clock = StandInMultimedia(), Clock()
    multimedia.plugged = [LID, STAND]
    made = partial(CameraDialog, make_source=source_of(multimedia), clock=clock)
    monkeypatch.setattr("farmdesk.desk.camera_desk.CameraDialog", made)
    with open_small_desk(tmp_path, qtbot.waitUntil, Preferences(theme="light")) as place:
        place.desk.window.command("read_camera").trigger()
        place.settle()
        (dialog,) = place.desk.window.findChildren(CameraDialog)
        yield Bench(place, multimedia, clock, dialog)


def test_a_card_and_bags_before_the_camera_move_the_bags(bench: Bench) -> None:
    card, first, second, _ = bench.place.codes
    bench.show(card)
    assert "Move to Mist" in bench.dialog.board.meaning
    bench.show(first)
    bench.show(first, second)
    bench.place.settle()
    assert bench.place.moved() == [True, True, False]
    assert bench.dialog.board.accessibleName() == (
        bench.place.desk.window.strip.board.accessibleName()
    )


def test_the_command_brings_the_same_window_to_the_front(bench: Bench) -> None:
    bench.place.desk.window.command("read_camera").trigger()
    bench.place.settle()
    assert bench.place.desk.window.findChildren(CameraDialog) == [bench.dialog]
    assert bench.multimedia.running() == ["Lid camera"]


def test_over_a_dialog_that_reads_no_scans_a_code_waits(bench: Bench) -> None:
    place = bench.place
    bench.show(place.codes[0])
    place.desk.window.command("about").trigger()
    about = place.dialog()
    bench.show(place.codes[1])
    assert place.moved() == [False, False, False]
    about.reject()
    place.dialog().accept()
    place.settle()
    assert place.moved() == [True, False, False]


def test_a_code_goes_to_the_dialog_that_reads_scans(bench: Bench) -> None:
    place = bench.place
    place.desk.window.command("read_pictures").trigger()
    dialog = place.dialog()
    bench.show(place.codes[1])
    assert dialog.codes() == [place.codes[1]]
    dialog.reject()


def make_card(place: SmallDesk, kind: str) -> str:
    card = perform(
        place.desk.session.store, lambda act: act.make("card_made", Card(act.next_id("card"), kind))
    ).result
    assert card is not None
    return code_of(card.id)


@pytest.mark.parametrize("by_card", [True, False])
def test_a_question_is_answered_before_the_next_code_goes_on(bench: Bench, by_card) -> None:
    place = bench.place
    opened, yes = make_card(place, OPENED), make_card(place, YES)
    _, first, second, _ = place.codes
    bench.show(opened)
    bench.show(first)
    assert bench.dialog.is_asking
    strip = place.desk.window.strip
    asked = strip.answer
    bench.show(first, second)
    assert strip.answer is asked
    if by_card:
        bench.show(first, second, yes)
    else:
        QTest.keyClick(bench.dialog.yes_button, Qt.Key.Key_Y)
        place.settle()
    assert strip.answer is not asked
    assert bench.dialog.is_asking
    assert strip.answer is not None
    assert strip.answer.subject != asked.subject
    bench.dialog.no_button.click()
    place.settle()
    with place.desk.session.store.reading() as reading:
        bags = [reading.get(Bag, one) for one in place.farm.bags[:2]]
    assert [one.opened_on is not None for one in bags] == [True, False]


def test_codes_shown_before_a_farm_was_open_do_not_stop_those_after(bench: Bench) -> None:
    session, (card, first, *_) = bench.place.desk.session, bench.place.codes
    opened, session.bench = session.bench, None
    bench.show(first)
    session.bench = opened
    bench.show(card)
    assert "Move to Mist" in bench.dialog.board.meaning


def test_the_choice_is_remembered(bench: Bench) -> None:
    bench.dialog.choice.activated.emit(1)
    assert bench.place.desk.preferences.camera == "stand"


def test_the_camera_is_let_go_with_the_desk(bench: Bench) -> None:
    bench.place.desk.window.close()
    QApplication.processEvents()
    assert bench.multimedia.running() == []


def test_looks_change_with_the_desk(bench: Bench) -> None:
    before = bench.dialog.board.height()
    bench.place.desk.window.command("text_larger").trigger()
    assert bench.dialog.board.height() > before
