"""The plan of the rooms at the desk: walked, moved from, printed; and on an empty farm."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from demo_window import open_demo
from farm_window import FarmWindow, has_charts
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from farmdesk.actions.base import Act
from farmdesk.actions.undo import undo_last
from farmdesk.desk.pages.incubation_dialogs import MoveDialog
from farmdesk.desk.pages.rooms_plan import PlanPart
from farmdesk.desk.theme import Theme
from farmdesk.domain.bags import Bag
from farmdesk.reports.room_picture import Place

CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture(scope="module")
def farm_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("plan")


@pytest.fixture
def shown(qapp: object, farm_folder: Path) -> Iterator[FarmWindow]:
    with open_demo(farm_folder, Theme()) as opened:
        yield opened


@pytest.fixture
def plan(shown: FarmWindow) -> PlanPart:
    found = shown.show("rooms").show_part("plan")
    shown.settle()
    assert isinstance(found, PlanPart)
    return found


def walk_to(plan: PlanPart, wanted: str) -> Place:
    """Arrow keys to the first batch in this stage."""
    card = plan.frame.card
    card.setFocus()
    QTest.keyClick(card, Qt.Key.Key_Home)
    for _ in range(500):
        target = card.spot.target if card.spot is not None else None
        if isinstance(target, Place) and target.stage == wanted:
            return target
        QTest.keyClick(card, Qt.Key.Key_Right)
    raise AssertionError(f"no batch is {wanted}")


def bags_at(shown: FarmWindow, place: Place) -> list[Bag]:
    return shown.all(
        "bag", room=place.room, shelf=place.shelf, batch=place.batch, stage=place.stage
    )


def test_every_live_bag_of_a_room_is_drawn_once(plan: PlanPart, shown: FarmWindow) -> None:
    alive = [one for one in shown.all("bag") if one.stage in ("incubating", "colonised",
                                                              "fruiting", "resting")]  # fmt: skip
    picture = plan.frame.card.picture
    assert picture is not None
    drawn = [one.target for one in picture.spots if isinstance(one.target, Place)]
    assert len(set(drawn)) == len(drawn)
    assert {(one.room, one.shelf, one.batch, one.stage) for one in drawn} == {
        (bag.room, bag.shelf, bag.batch, bag.stage) for bag in alive if bag.room is not None
    }
    assert "Grain loft" in plan.frame.card.accessibleDescription()


def test_a_room_asked_for_before_the_rooms_were_read_is_shown(shown: FarmWindow) -> None:
    page = shown.window.show_place("rooms", "plan:Silo room")
    shown.settle()
    assert [one.room.name for one in page.part("plan").shown_rooms()] == ["Silo room"]


def test_one_room_is_chosen_and_a_batch_opened(plan: PlanPart, shown: FarmWindow) -> None:
    shown.window.show_place("rooms", "plan:Grain loft")
    shown.settle()
    assert [one.room.name for one in plan.shown_rooms()] == ["Grain loft"]
    place = walk_to(plan, "incubating")
    assert place.name in plan.frame.words.text()
    QTest.keyClick(plan.frame.card, Qt.Key.Key_Return)
    shown.settle()
    assert shown.window.place == "incubation"
    shown.window.show_place("rooms", "plan")
    plan.room.setCurrentIndex(0)
    plan.room.activated.emit(0)


def test_bags_are_moved_from_the_plan_and_back_by_undo(plan: PlanPart, shown: FarmWindow) -> None:
    place = walk_to(plan, "incubating")
    count = len(bags_at(shown, place))
    QTest.keyClick(plan.frame.card, Qt.Key.Key_M, CONTROL)
    dialog = shown.dialog()
    assert isinstance(dialog, MoveDialog)
    assert dialog.windowTitle() == f"Move {count} bag{'s' * (count > 1)} of {place.name}"
    loft = next(one for one in shown.all("room") if one.name == "Grain loft")
    dialog.room.set_value(loft.id)
    target = "B5" if place.shelf != "B5" else "B4"
    dialog.shelf.set_value(target)
    before = plan.frame.card.picture
    dialog.try_save()
    shown.settle()
    here = shown.all("bag", batch=place.batch, room=loft.id, shelf=target)
    assert len(here) >= count
    assert plan.frame.card.picture != before, "the plan is drawn anew"
    shown.act(undo_last)
    assert len(shown.all("bag", batch=place.batch, shelf=target)) == len(here) - count


def test_the_keys_stay_on_their_batch_when_others_move_bags(
    plan: PlanPart, shown: FarmWindow
) -> None:
    card = plan.frame.card
    first = walk_to(plan, "incubating")
    place = card.place
    while card.spot is None or not isinstance(card.spot.target, Place) or (
        card.spot.target.batch == first.batch
    ):  # fmt: skip
        QTest.keyClick(card, Qt.Key.Key_Right)
    wanted, before = card.spot.target, card.place
    assert before > place

    def take_away(act: Act) -> None:
        for bag in bags_at(shown, first):
            act.change("bag_moved", bag, room=None, shelf="")

    shown.act(take_away)
    assert card.spot is not None
    assert card.spot.target == wanted
    assert card.place < before
    assert wanted.name in plan.frame.words.text()
    shown.act(undo_last)


def test_without_a_batch_in_sight_it_says_what_to_do(plan: PlanPart, shown: FarmWindow) -> None:
    said: list[str] = []
    plan.frame.card.place = -1
    object.__setattr__(plan.context, "say", said.append)
    plan.move_bags()
    assert said == ["Choose a batch first: arrows walk the plan."]
    assert not shown.has_dialog()


def test_it_is_printed_as_it_is_seen(plan: PlanPart, shown: FarmWindow) -> None:
    assert plan.print_page()
    shown.settle()
    assert has_charts(shown)


def test_an_empty_farm_draws_its_empty_rooms(farm_window: FarmWindow) -> None:
    plan = farm_window.show("rooms").show_part("plan")
    farm_window.settle()
    rooms = plan.shown_rooms()
    assert rooms
    assert all(one.bags == 0 for one in rooms)
    assert "empty" in plan.frame.card.accessibleDescription()


def test_a_farm_without_rooms_says_where_to_enter_them(farm_window: FarmWindow) -> None:
    rooms = farm_window.all("room")

    def retire(act):
        for one in rooms:
            act.change("retired", one, retired=1)

    farm_window.act(retire)
    plan = farm_window.show("rooms").show_part("plan")
    farm_window.settle()
    assert plan.shown_rooms() == ()
    assert "Enter rooms in the catalogue" in plan.frame.words.text()
    assert not plan.print_page()


def test_the_keys_stand_on_the_plan_when_it_comes(farm_window: FarmWindow) -> None:
    farm_window.show("today")
    QTest.keyClick(farm_window.window, Qt.Key.Key_6, Qt.KeyboardModifier.AltModifier)
    farm_window.settle()
    farm_window.settle()
    plan = farm_window.window.page("rooms").part("plan")
    assert plan.frame.card.hasFocus()
    QTest.keyClick(plan.frame.card, Qt.Key.Key_Right)
    assert "empty" in plan.frame.words.text()
