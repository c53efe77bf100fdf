"""A scanner on a serial port at the whole desk: bytes come in by a pseudo-terminal, bags move."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from device_streams import HAS_PSEUDO_TERMINALS, PseudoTerminal
from PySide6.QtWidgets import QApplication
from small_desk import SmallDesk, open_small_desk

from farmdesk.desk.dialogs import QuestionDialog
from farmdesk.settings.preferences import Preferences, load_preferences

pytestmark = pytest.mark.skipif(
    not HAS_PSEUDO_TERMINALS, reason="pseudo-terminals are not on Windows"
)


@dataclass
class Station:
    """The desk, the scanner's port, and somebody who pulls the trigger."""

    place: SmallDesk
    port: PseudoTerminal
    qtbot: Any

    def send(self, *parts: bytes) -> None:
        for part in parts:
            self.port.send(part)

    def scan(self, code: str) -> None:
        self.send(code.encode() + b"\r")

    def wait_for_message(self, words: str) -> None:
        status = self.place.desk.window.statusBar()
        self.qtbot.waitUntil(lambda: words in status.currentMessage())

    def wait_for_answer(self, *, outcome: str = "done", words: str) -> None:
        strip = self.place.desk.window.strip

        def has_come() -> bool:
            answer = strip.answer
            return answer is not None and answer.outcome == outcome and words in answer.sentence

        self.qtbot.waitUntil(has_come)
        self.place.settle()

    def wait_for_bags(self, *moved: bool) -> None:
        self.qtbot.waitUntil(lambda: self.place.moved() == list(moved))
        self.place.settle()

    def wait_until_heard(self) -> None:
        scanner = self.place.desk.devices.scanner
        self.qtbot.waitUntil(lambda: scanner.is_connected)


@pytest.fixture
def make_station(qtbot, tmp_path: Path) -> Iterator[Any]:
    port = PseudoTerminal(tmp_path / "scanner")
    opened: list[Any] = []

    def make(*, plugged: bool = True, **chosen: Any) -> Station:
        if plugged:
            port.plug_in()
        chosen = {"scanner_port": str(port.link), "theme": "light", **chosen}
        desk = open_small_desk(tmp_path, qtbot.waitUntil, Preferences(**chosen))
        opened.append(desk)
        return Station(desk.__enter__(), port, qtbot)

    yield make
    for desk in opened:
        desk.__exit__(None, None, None)
    port.close()


@pytest.fixture
def station(make_station) -> Station:
    """The scanner is heard, and bags are scanned into Mist."""
    made: Station = make_station()
    made.scan(made.place.codes[0])
    made.wait_for_answer(words="Mist")
    return made


@pytest.mark.parametrize(
    ("chosen", "before", "after"),
    [
        ({}, b"", b"\r"),
        ({}, b"", b"\n"),
        ({}, b"", b"\r\n"),
        ({}, b"", b"\t"),
        ({}, b"\x02", b"\x03\r\n"),
        ({"scanner_terminator": "enter"}, b"", b"\r\n"),
        ({"scanner_terminator": "tab"}, b"", b"\t"),
        ({"scanner_prefix": "~", "scanner_suffix": "#"}, b"~", b"#\r"),
        ({"scanner_prefix": "]C0"}, b"]C0", b"\n"),
        ({}, b"]C0", b"\r"),
    ],
)
def test_codes_come_in_however_the_scanner_is_set(make_station, chosen, before, after) -> None:
    """In parts, as slow lines bring them, and two in one go, as quick hands do."""
    station: Station = make_station(**chosen)
    card, first, second, third = (before + code.encode() + after for code in station.place.codes)
    station.send(card[:3], card[3:-1], card[-1:])
    station.send(*(bytes([one]) for one in first))
    station.send(second + third)
    station.wait_for_bags(True, True, True)


def test_a_scanner_that_sends_no_end_is_heard_after_a_moment(make_station) -> None:
    station: Station = make_station()
    card, first, *_ = station.place.codes
    station.send(card.encode())
    station.wait_for_answer(words="Mist")
    station.send(first.encode())
    station.wait_for_bags(True, False, False)


def test_the_port_is_set_in_the_preferences_and_works_at_once(make_station) -> None:
    station: Station = make_station(scanner_port="")
    place = station.place
    place.desk.window.command("preferences").trigger()
    dialog = place.dialog()
    fields = dialog.forms["scanner"].fields
    fields["scanner_port"].set_value(str(station.port.link))
    fields["scanner_prefix"].set_value("*")
    dialog.try_save()
    station.wait_until_heard()
    station.send(b"*" + place.codes[0].encode() + b"\r")
    station.wait_for_answer(words="Mist")
    assert load_preferences(place.desk.kept).preferences.scanner_port == str(station.port.link)


def test_the_preferences_show_what_the_scanner_sends(station: Station) -> None:
    place = station.place
    place.desk.window.command("preferences").trigger()
    dialog = place.dialog()
    station.scan(place.codes[1])
    station.qtbot.waitUntil(lambda: place.codes[1] in dialog.trial.told.text())
    dialog.reject()
    assert place.moved() == [False, False, False]


def test_the_strip_answers_each_scan_also_one_that_is_nothing(station: Station) -> None:
    place = station.place
    station.scan(place.codes[1])
    station.wait_for_bags(True, False, False)
    station.scan(place.codes[1])
    station.wait_for_answer(outcome="already", words="")
    damaged = place.codes[2][:-1] + str((int(place.codes[2][-1]) + 1) % 10)
    station.scan(damaged)
    station.wait_for_answer(outcome="unknown", words="")
    station.send(b"\xff\xfe\x80\r")
    station.wait_for_answer(outcome="unknown", words="signs")
    station.scan(place.codes[2])
    station.wait_for_bags(True, True, False)


def test_over_a_dialog_that_reads_no_scans_it_waits_and_is_offered(station: Station) -> None:
    place = station.place
    place.desk.window.command("about").trigger()
    about = place.dialog()
    station.scan(place.codes[1])
    station.wait_for_message("it waits until this window is closed")
    assert place.moved() == [False, False, False]
    about.reject()
    question = place.dialog()
    assert isinstance(question, QuestionDialog)
    assert place.codes[1] in question.sentence.text()
    question.accept()
    station.wait_for_bags(True, False, False)


def test_a_dialog_that_reads_scans_gets_it(station: Station) -> None:
    place = station.place
    place.desk.window.command("read_pictures").trigger()
    dialog = place.dialog()
    station.scan(place.codes[1])
    station.qtbot.waitUntil(lambda: dialog.codes() == [place.codes[1]])
    assert place.moved() == [False, False, False]
    dialog.reject()


def test_the_bench_view_answers_too(station: Station) -> None:
    place = station.place
    place.desk.window.command("bench_view").trigger()
    view = place.desk.session.bench_acts.view
    station.scan(place.codes[1])
    station.wait_for_bags(True, False, False)
    assert "Done" in view.board.accessibleName()
    view.close()


def test_pulled_out_is_said_calmly_and_plugged_in_again_goes_on(station: Station) -> None:
    place = station.place
    station.send(place.codes[1][:6].encode())
    station.port.pull_out()
    station.wait_for_message("does not answer any more")
    assert QApplication.activeModalWidget() is None
    station.port.plug_in()
    station.wait_for_message("The scanner answers again")
    station.scan(place.codes[2])
    station.wait_for_bags(False, True, False)


def test_a_scanner_that_is_not_there_at_the_start_is_found_when_it_comes(make_station) -> None:
    station: Station = make_station(plugged=False)
    station.wait_for_message("could not be opened")
    station.port.plug_in()
    station.wait_for_message("The scanner answers again")
    station.scan(station.place.codes[0])
    station.wait_for_answer(words="Mist")


def test_the_port_is_let_go_when_another_is_chosen(station: Station, tmp_path: Path) -> None:
    place = station.place
    other = PseudoTerminal(tmp_path / "other").plug_in()
    place.desk.window.command("preferences").trigger()
    dialog = place.dialog()
    dialog.forms["scanner"].fields["scanner_port"].set_value(str(other.link))
    dialog.try_save()
    station.wait_until_heard()
    station.scan(place.codes[1])
    other.send(place.codes[2].encode() + b"\r")
    station.wait_for_bags(False, True, False)
    other.close()
