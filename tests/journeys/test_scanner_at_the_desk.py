"""A keyboard scanner at the whole desk: its settings, other layouts, and dialogs in the way."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hands import Hands
from heron_lane import at_the_desk, things
from PySide6.QtWidgets import QLineEdit

from farmdesk.desk.answers import AnswerView
from farmdesk.desk.dialogs import QuestionDialog
from farmdesk.domain import cards
from farmdesk.domain.codes import code_of

# The upper row of a French keyboard without Shift, from memory.
AZERTY = dict(zip("1234567890", "&é\"'(-è_çà", strict=True))


@pytest.fixture
def hands(qtbot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_desk(qtbot.waitUntil, tmp_path) as made:
        yield made


def answer(hands: Hands) -> str:
    """Word and sentence on the strip."""
    return hands.desk.window.strip.board.accessibleName()


def card(hands: Hands, act: str) -> str:
    """The code of a wall card."""
    return code_of(things(hands, "card", act=act, retired=0)[0].id)


def open_customer(hands: Hands) -> QLineEdit:
    """A new customer's form, with the cursor in its name."""
    hands.press("Ctrl+9")
    hands.go("Kinds of thing")
    hands.press("Home")
    while not hands.focus.currentItem().text().startswith("Customers"):
        hands.press("Down")
    hands.press("Ctrl+N")
    hands.go("Name")
    name = hands.focus
    assert isinstance(name, QLineEdit)
    return name


def set_scanner(hands: Hands, answers: dict[str, str]) -> None:
    """The scanner's part of the preferences, by keys."""
    hands.press("Ctrl+,")
    hands.press("Ctrl+Tab", "Ctrl+Tab")
    hands.save(answers)


def test_prefix_and_suffix_are_set_by_keys_and_wanted_from_then_on(hands: Hands) -> None:
    set_scanner(hands, {"Prefix": "~", "Suffix": "#"})
    bag = things(hands, "bag")[0]
    hands.scan(f"~{card(hands, cards.SPENT)}#")
    hands.scan(f"~{code_of(bag.id)}#")
    assert answer(hands).startswith("Done.")
    assert things(hands, "bag")[0].stage == "spent"
    hands.press("F2")
    hands.burst(code_of(bag.id))
    hands.wait_for(hands.desk.window.strip.field.text)
    assert hands.desk.window.strip.field.text() == code_of(bag.id), "without them it is typing"


def test_a_scan_over_a_name_waits_and_is_done_when_the_form_is_closed(hands: Hands) -> None:
    bag = things(hands, "bag")[0]
    hands.scan(card(hands, cards.SPENT))
    name = open_customer(hands)
    hands.write("Quay inn")
    hands.scan(code_of(bag.id))
    assert name.text() == "Quay inn"
    assert things(hands, "bag")[0].stage == bag.stage
    assert "waits" in hands.desk.window.statusBar().currentMessage()
    hands.press("Esc")
    assert isinstance(hands.top, QuestionDialog)
    hands.scan(card(hands, cards.YES))
    assert things(hands, "bag")[0].stage == "spent"


@pytest.mark.parametrize("act", [cards.NO, cards.YES])
def test_a_question_on_the_strip_is_answered_by_a_card(hands: Hands, act: str) -> None:
    """A bag that was never opened is put to rest only when it is meant."""
    bag = next(one for one in things(hands, "bag") if one.opened_on is None)
    hands.scan(card(hands, cards.REST))
    hands.scan(code_of(bag.id))
    assert hands.desk.window.strip.is_asking
    hands.scan(card(hands, act))
    stage = things(hands, "bag", id=bag.id)[0].stage
    assert stage == ("resting" if act == cards.YES else bag.stage)


def test_a_code_on_a_french_layout_acts_and_is_not_typed(hands: Hands) -> None:
    def french(code: str) -> str:
        return "".join(AZERTY[digit] for digit in code)

    hands.press("F2")
    hands.scan(french(card(hands, cards.SPENT)))
    hands.scan(french(code_of(things(hands, "bag")[0].id)))
    assert things(hands, "bag")[0].stage == "spent"
    assert hands.desk.window.strip.field.text() == ""


def test_a_name_scanned_with_caps_lock_on_is_found(hands: Hands) -> None:
    """Caps lock turns the letters round; the name of a bag is known all the same."""
    hands.scan("oy01-0001-001")
    assert answer(hands).startswith("Done. OY01-0001-001")


def test_a_scan_in_the_search_line_and_a_filter_is_a_scan(hands: Hands) -> None:
    bag = things(hands, "bag")[0]
    hands.press("Ctrl+4", "Ctrl+F")
    for name in ("Find anything by code, name or note", "Filter Batches that fruit"):
        hands.go(name)
        line = hands.focus
        assert isinstance(line, QLineEdit)
        hands.scan(code_of(bag.id))
        assert answer(hands).startswith("Done. OY01-0001-001")
        assert line.text() == ""
        hands.desk.window.strip.show_answer(AnswerView("", ""))
