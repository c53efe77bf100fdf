"""The bench view over a real farm: answers, questions, acts with undo, and the open pick."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QApplication

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.actions.inoculation import SpawnUse, inoculate
from farmdesk.actions.lab import register_spawn
from farmdesk.desk.answers import OUTCOME_WORDS, ActLine, AnswerView
from farmdesk.desk.application import Desk
from farmdesk.desk.bench_view import GLOVE_PX, LETTERS, BenchView
from farmdesk.desk.theme import Theme, apply_theme
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Strain
from farmdesk.domain.codes import code_of
from farmdesk.domain.harvest import Pick
from farmdesk.domain.stations import Card
from farmdesk.settings.preferences import Preferences
from farmdesk.store.farm_store import FarmStore, open_farm

MOVED = AnswerView("done", "OY02-0147-017 moved to Fruiting 2.", count_text="23 of 40 moved")
ASKS = AnswerView("ask", "That bag is 3 days old. Open it?", asks=True)
LONG = "OY02-0147-017 is in Fruiting 2 and was opened on Monday, 3 days ago; open it once more?"


@pytest.fixture
def view(qtbot, light) -> BenchView:
    view = BenchView(light)
    view.out = []
    for signal, word in ((view.line_entered, "line"), (view.replied, "reply")):
        signal.connect(lambda value, word=word: view.out.append((word, value)))
    view.undo_asked.connect(lambda act: view.out.append(("undo", act)))
    view.left.connect(lambda: view.out.append(("left", None)))
    qtbot.addWidget(view)
    view.resize(1280, 720)
    view.show()
    return view


def test_letters_are_a_twelfth_of_the_screen_at_any_size(view) -> None:
    for width, height in ((1280, 720), (1920, 1080)):
        view.resize(width, height)
        font = view.board.font_for(MOVED.sentence, width * 0.8, height)
        assert font.pixelSize() * LETTERS >= height


def test_a_long_sentence_still_fits(view) -> None:
    view.show_answer(AnswerView("ask", LONG, asks=True))
    place = view.board.width() * 0.8, view.board.height() - view.board.letter_px * 1.5
    font = view.board.font_for(LONG, *place)
    wrap = int(Qt.TextFlag.TextWordWrap)
    box = QFontMetrics(font).boundingRect(0, 0, int(place[0]), 9999, wrap, LONG)
    assert box.height() <= place[1]


def test_outcomes_differ_without_colour(view) -> None:
    pictures = set()
    for outcome in OUTCOME_WORDS:
        view.show_answer(AnswerView(outcome, "OY02-0147-017"))
        image = view.board.grab().toImage()
        mono = image.convertToFormat(image.Format.Format_Mono)  # kept while its bits are read
        pictures.add(bytes(mono.constBits()))
    assert len(pictures) == len(OUTCOME_WORDS)


def test_a_screen_reader_hears_word_sentence_and_count(view) -> None:
    view.show_answer(MOVED)
    heard = "Done. OY02-0147-017 moved to Fruiting 2. 23 of 40 moved"
    assert view.board.accessibleName() == heard


@pytest.mark.parametrize(
    ("key", "reply"),
    [
        (Qt.Key.Key_Y, True),
        (Qt.Key.Key_Return, True),
        (Qt.Key.Key_N, False),
        (Qt.Key.Key_Escape, False),
    ],
)
def test_a_question_is_answered_once_and_only_then_escape_leaves(view, qtbot, key, reply) -> None:
    view.show_answer(ASKS)
    qtbot.keyClick(view, key)
    assert view.out == [("reply", reply)]
    assert not view.is_asking
    qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert view.out[1:] == [("left", None)]
    assert not view.isVisible()


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_yes_and_no_can_be_pressed_with_gloves(view, qtbot, qapp, scale) -> None:
    apply_theme(qapp, Theme("dark", scale))
    view.set_theme(Theme("dark", scale))
    view.set_acts([ActLine(str(n), "3 Nov 2026, 14:05", LONG, True) for n in range(5)])
    view.show_answer(ASKS)
    QApplication.processEvents()
    for button in (view.yes_button, view.no_button):
        assert button.height() >= GLOVE_PX
    assert view.board.height() >= view.height() // 4
    assert (view.width(), view.height()) == (1280, 720)
    qtbot.mouseClick(view.no_button, Qt.MouseButton.LeftButton)
    assert view.out == [("reply", False)]


def test_a_line_is_typed_and_an_empty_one_means_yes_only_when_asked(view, qtbot) -> None:
    qtbot.keyClicks(view.field, "12.4 lb")
    qtbot.keyClick(view.field, Qt.Key.Key_Return)
    qtbot.keyClick(view.field, Qt.Key.Key_Return)
    view.show_answer(ASKS)
    qtbot.keyClick(view.field, Qt.Key.Key_Return)
    assert view.out == [("line", "12.4 lb"), ("reply", True)]


def test_each_act_has_its_own_undo_and_the_key_takes_the_newest_that_can(view, qtbot) -> None:
    acts = [
        ActLine("a", "14:05", "taken back, OY02-0147-017", False),
        ActLine("b", "14:04", "OY02-0147-016 moved", True),
        ActLine("c", "14:03", "OY02-0147-015 moved", True),
    ]
    view.set_acts(acts)
    buttons = [button for _, _, button in view._rows]
    assert [button.isVisible() for button in buttons] == [False, True, True, False, False]
    qtbot.mouseClick(buttons[2], Qt.MouseButton.LeftButton)
    qtbot.keyClick(view, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert view.out == [("undo", "c"), ("undo", "b")]


# ---- over a farm


@dataclass
class Bench:
    """A running desk on a farm with three bags."""

    desk: Desk
    bags: list[int]

    @property
    def view(self) -> BenchView:
        view = self.desk.session.bench_acts.view
        assert view is not None
        return view

    def settle(self) -> None:
        for _ in range(3):
            self.desk.workplace.settled()
            QApplication.processEvents()

    def enter(self, line: str) -> AnswerView:
        self.view.line_entered.emit(line)
        self.settle()
        assert self.view.board.answer is not None
        return self.view.board.answer

    def card(self, act: str) -> str:
        with self.desk.session.store.reading() as reading:
            return code_of(reading.first(Card, act=act).id)

    def shown(self) -> list[str]:
        return [text.text() for _, text, _ in self.view._rows if text.text()]


def _begin(store: FarmStore) -> list[int]:
    perform(store, lambda act: begin_farm(act, name="Heron Lane", locale="en_US"))
    with store.reading() as reading:
        strain = reading.first(Strain).id

    def fill(act):
        spawn = register_spawn(act, strain=strain, bags=1, each_mg=2_500_000)
        use = SpawnUse(spawn[0].id, 900_000)
        return inoculate(act, strain=strain, spawn=[use], bags=3, block_mg=2_300_000)

    perform(store, fill)
    with store.reading() as reading:
        return [bag.id for bag in reading.all(Bag)]


@pytest.fixture
def bench(qapp, tmp_path: Path) -> Iterator[Bench]:
    path = tmp_path / "farm.sqlite"
    store = open_farm(path, make=True)
    bags = _begin(store)
    store.close()
    desk = Desk(qapp, str(path), Preferences(station="Bench"), tmp_path / "preferences.json")
    desk.window.show()
    QApplication.processEvents()
    bench = Bench(desk, bags)
    bench.settle()
    desk.window.command("bench_view").trigger()
    bench.settle()
    yield bench
    desk.window.close()
    desk.window.deleteLater()
    desk.deleteLater()
    QApplication.processEvents()


def test_a_scan_is_answered_in_both_places_and_can_be_taken_back(bench, qtbot) -> None:
    assert bench.view.isFullScreen()
    bench.enter(bench.card("look"))
    answer = bench.enter(code_of(bench.bags[0]))
    assert answer.outcome == "done"
    assert answer.count_text == "1 of 3 in the batch"
    strip = bench.desk.window.strip.answer
    assert (strip.outcome, strip.sentence) == (answer.outcome, answer.sentence)
    assert bench.view.meaning.text() == bench.desk.window.strip.board.meaning
    assert bench.shown() == ["OY01-0001-001 looked at, fine"]
    qtbot.mouseClick(bench.view._rows[0][2], Qt.MouseButton.LeftButton)
    bench.settle()
    assert any("taken back" in text for text in bench.shown())


def test_the_open_pick_is_shown_until_it_is_weighed(bench) -> None:
    bench.enter(bench.card("pick"))
    answer = bench.enter(code_of(bench.bags[0]))
    if answer.asks:
        bench.view.yes_button.click()
        bench.settle()
    assert "Open pick" in bench.view.pick.text()
    assert "1 bag" in bench.view.pick.text()
    assert bench.enter("12.4 lb").asks
    bench.view.no_button.click()
    bench.settle()
    assert "Open pick" in bench.view.pick.text()
    assert bench.enter("1 lb 4 oz").outcome == "done"
    assert bench.view.pick.text() == ""
    with bench.desk.session.store.reading() as reading:
        assert reading.first(Pick).gross_mg == 566_990  # 20 oz of 28 349.523125 mg (NIST SP 811)
    bench.enter(code_of(bench.bags[1]))
    if bench.view.is_asking:
        bench.view.yes_button.click()
        bench.settle()
    assert "last weight" in bench.view.pick.text()


def test_sounds_are_switched_off_and_on_by_key_and_command(bench, qtbot) -> None:
    qtbot.keyClick(bench.view, Qt.Key.Key_F11, Qt.KeyboardModifier.ControlModifier)
    assert bench.desk.session.bench_acts.sounds.is_muted
    assert bench.view.mute_button.text() == "Sound is off"
    bench.desk.window.command("mute").trigger()
    assert bench.view.mute_button.text() == "Sound is on"


def test_the_key_leaves_and_the_desk_goes_on(bench, qtbot) -> None:
    qtbot.keyClick(bench.view, Qt.Key.Key_F11)
    assert not bench.view.isVisible()
    bench.desk.window.strip.enter_line(code_of(bench.bags[0]))
    bench.settle()
    assert bench.desk.window.strip.answer is not None
