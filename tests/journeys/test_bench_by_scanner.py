"""A shift at the bench view with a scanner and the wall cards alone: no key is pressed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hands import Hands
from heron_lane import at_the_desk, things
from label_reading import read_codes

from farmdesk.desk.bench_view import BenchView
from farmdesk.domain import cards
from farmdesk.domain.codes import code_of
from farmdesk.errors import Refused, problem


class Shift:
    """Somebody at the bench view with a scanner in a wet glove."""

    def __init__(self, hands: Hands) -> None:
        self.hands = hands
        self.heard: list[str] = []
        hands.desk.session.bench_acts.sounds.play = self.heard.append

    @property
    def view(self) -> BenchView:
        """The bench view over the screen."""
        found = self.hands.desk.session.bench_acts.view
        assert isinstance(found, BenchView)
        return found

    def all(self, kind: str, **where: object) -> list[Any]:
        """Things of the farm."""
        return things(self.hands, kind, **where)

    def scan(self, code: str) -> str:
        """Scan a code; gives word and sentence in the large letters."""
        self.hands.scan(code)
        return self.view.board.accessibleName()

    def card(self, act: str, **where: object) -> str:
        """Scan a wall card."""
        return self.scan(code_of(self.all("card", act=act, retired=0, **where)[0].id))

    def thing(self, thing: Any) -> str:
        """Scan a thing's label."""
        return self.scan(code_of(thing.id))

    def acts(self) -> list[str]:
        """The last acts as they stand under the answer."""
        return [text.text() for _, text, _ in self.view._rows if text.text()]


@pytest.fixture
def shift(qtbot, tmp_path: Path) -> Iterator[Shift]:
    with at_the_desk(qtbot.waitUntil, tmp_path) as hands:
        hands.press("F11")
        yield Shift(hands)


def test_a_shift_of_moves_with_the_running_count_and_undo(shift: Shift) -> None:
    """Room card, bags, the same bag again, another's label: word, count and sound of each."""
    bags = shift.all("bag")[:3]
    room = shift.all("room", use="incubation")[0]
    assert "Done" in shift.card(cards.MOVE, room=room.id, shelf="")
    assert shift.view.meaning.text() == f"Move to {room.name}"
    for number, bag in enumerate(bags, 1):
        assert shift.thing(bag).endswith(f"{number} of 6 in the batch")
    assert shift.thing(bags[0]).startswith("Already done.")
    assert shift.scan("1000000001").startswith(("Refused.", "Not known."))
    assert shift.heard[-2:] == ["already", "unknown"]
    assert [one.room for one in shift.all("bag")[:3]] == [room.id] * 3
    assert len(shift.acts()) == 3
    assert shift.card(cards.UNDO).startswith("Done. Taken back:")
    assert shift.all("bag")[2].room != room.id
    assert shift.thing(bags[2]).endswith("3 of 6 in the batch"), "what was taken back counts once"


def test_a_question_is_confirmed_and_refused_by_cards(shift: Shift) -> None:
    """A bag that was never opened is asked about before it rests."""
    never = next(one for one in shift.all("bag") if one.opened_on is None)
    shift.card(cards.REST)
    assert shift.thing(never).startswith("Please answer.")
    assert shift.view.yes_button.isVisible()
    assert shift.heard[-1] == "ask"
    assert shift.card(cards.NO).startswith("Already done. Left as it was.")
    assert not shift.view.is_asking
    assert shift.all("bag", id=never.id)[0].stage == never.stage
    shift.thing(never)
    assert shift.card(cards.YES).startswith("Done.")
    assert shift.all("bag", id=never.id)[0].stage == "resting"


def test_a_pick_from_the_crate_to_its_label_by_cards(shift: Shift, tmp_path: Path) -> None:
    """Crate, bags, the weight key by key, a slip cleared, the label kept by the card Yes."""
    bag = shift.all("bag")[0]
    crate = shift.all("crate")[0]
    shift.card(cards.PICK)
    shift.thing(crate)
    shift.thing(bag)
    assert "C1" in shift.view.pick.text()
    for key in ("9", cards.CLEAR, "1", cards.POINT, "4", "kg"):
        shift.card(cards.KEY, key=key)
    assert "1.4 kg so far" in shift.view.board.accessibleName()
    assert shift.card(cards.KEY, key=cards.ENTER).startswith("Done.")
    pick = shift.all("pick")[0]
    assert (pick.gross_mg, pick.net_mg) == (1_400_000, 1_400_000 - crate.tare_mg)
    shift.card(cards.LABEL)
    dialog = shift.hands.top
    assert dialog.words.value() == pick.name
    dialog.file.set_value(str(tmp_path / "crate.pdf"))
    dialog.shows.set_value(False)
    shift.card(cards.YES)
    assert read_codes(tmp_path / "crate.pdf") == {code_of(pick.id)}
    assert shift.hands.top is shift.view
    shift.card(cards.LABEL)
    assert shift.hands.top is not shift.view
    shift.card(cards.NO)
    assert shift.hands.top is shift.view
    assert len(shift.all("printing")) == 1


def test_every_digit_and_unit_has_a_card_that_types_it(shift: Shift) -> None:
    """All keys of the sheet, each told as it is typed, and pounds with ounces as a weight."""
    typed = ""
    for key in "1234567890":
        typed += key
        assert f"{typed} so far" in shift.card(cards.KEY, key=key)
    assert "so far" not in shift.card(cards.KEY, key=cards.CLEAR)
    shift.card(cards.PICK)
    shift.thing(shift.all("bag")[0])
    for key in ("1", "lb", "2", "oz", cards.ENTER):
        shift.card(cards.KEY, key=key)
    # 18 oz of 28 349.523125 mg (NIST SP 811).
    assert [one.gross_mg for one in shift.all("pick")] == [510_291]


def test_a_message_in_front_is_put_away_by_a_card(shift: Shift) -> None:
    """With wet gloves nobody can press Close."""
    shift.hands.desk.session.context.show_error(Refused(problem("nothing_to_undo")))
    shift.hands.settle()
    assert shift.hands.top is not shift.view
    shift.card(cards.YES)
    assert shift.hands.top is shift.view


def test_undo_and_redo_by_keys_are_read_in_large_letters(shift: Shift) -> None:
    bag = shift.all("bag")[0]
    shift.card(cards.SPENT)
    shift.thing(bag)
    for keys, told, stage in (("Ctrl+Z", "Taken back", bag.stage), ("Ctrl+Shift+Z", "", "spent")):
        shift.hands.press(keys)
        said = shift.view.board.accessibleName()
        assert said.startswith("Done.")
        assert told in said
        assert shift.all("bag")[0].stage == stage
    assert shift.heard[-3:] == ["done"] * 3


def test_scans_are_the_benchs_though_the_page_beneath_was_lent_them(shift: Shift) -> None:
    """The spawn step of an inoculation day reads scans, but not through the bench view."""
    lent: list[str] = []
    shift.hands.desk.window.strip.lend("Scan the bags of spawn", lent.append)
    assert shift.thing(shift.all("bag")[0]).startswith("Done.")
    assert lent == []
    shift.hands.press("Esc")
    shift.hands.scan(code_of(shift.all("bag")[0].id))
    assert len(lent) == 1
    shift.hands.desk.window.strip.take_back()
