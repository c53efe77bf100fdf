"""Ctrl+F, letters, Enter: codes, batches, customers and notes are found and come into sight."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hands import Hands
from heron_lane import at_the_desk, things
from PySide6.QtWidgets import QTableView

from farmdesk.actions.base import perform
from farmdesk.actions.notes import write_note
from farmdesk.domain.codes import code_of, group_code


@pytest.fixture
def hands(qtbot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_desk(qtbot.waitUntil, tmp_path) as made:
        yield made


def find(hands: Hands, text: str) -> list[str]:
    """Type into the search box; what stands under it."""
    hands.press("Ctrl+F")
    hands.write(text)
    hands.wait_for(lambda: hands.desk.window.find_line.text() == text)
    box = hands.desk.window._search_box
    return [box.results.item(at).text().strip() for at in range(box.results.count())]


def chosen(hands: Hands) -> str:
    """The name of the row that is chosen in the list with the keys."""
    assert isinstance(hands.focus, QTableView), hands.heard()
    row = hands.focus.parent().current_row()
    return str(row.name)


@pytest.mark.parametrize("way", [code_of, lambda thing: group_code(code_of(thing))])
def test_a_code_is_found_as_scanned_and_as_read_off(
    hands: Hands, way: Callable[[int], str]
) -> None:
    """A bag, spawn and a crate, each opened where it is kept."""
    bag, spawn, crate = (things(hands, kind)[0] for kind in ("bag", "spawn", "crate"))
    assert find(hands, way(bag.id))[1].startswith("OY01-0001-001")
    hands.press("Return")
    assert hands.desk.window.place == "fruiting"
    assert chosen(hands) == "OY01-0001-001"
    for thing, place in ((spawn, "lab"), (crate, "catalogue")):
        assert find(hands, way(thing.id))[1].startswith(thing.name)
        hands.press("Return")
        assert hands.desk.window.place == place
        assert chosen(hands) == thing.name


def test_a_batch_and_a_customer_are_found_by_name(hands: Hands) -> None:
    find(hands, "oy01")
    hands.press("Return")
    assert hands.desk.window.place in ("incubation", "fruiting")
    assert chosen(hands) == "OY01-0001"
    assert find(hands, "harbour")[:2] == ["Customers", "Harbour Inn  →  Catalogue"]
    hands.press("Return")
    assert chosen(hands) == "Harbour Inn"


def test_a_note_is_found_and_leads_to_what_it_is_about(hands: Hands) -> None:
    bag = things(hands, "bag")[0]
    perform(hands.desk.session.store, lambda act: write_note(act, bag.id, "stands by the draught"))
    found = find(hands, "draught")
    assert found[0] == "Notes"
    assert found[1].startswith("OY01-0001-001")
    assert "draught" in found[1]
    hands.press("Return")
    assert hands.desk.window.place == "fruiting"


def test_a_wall_card_leads_to_its_room(hands: Hands) -> None:
    room = things(hands, "room", use="fruiting")[0]
    card = things(hands, "card", act="move", room=room.id)[0]
    assert find(hands, code_of(card.id))[0] == "Wall cards"
    hands.press("Return")
    assert chosen(hands) == room.name
