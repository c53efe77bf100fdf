"""What is done to bags, one and many, and what the day book keeps of it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import pytest
from begun_farm import NOW, BegunFarm
from scan_floor import Floor, make_floor

from farmdesk.actions import bags
from farmdesk.actions.bags import BagAct, do_to_bags
from farmdesk.actions.base import Act, perform
from farmdesk.actions.undo import undo_last
from farmdesk.domain import cards
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Reason
from farmdesk.errors import Asked, NotFound, Refused
from farmdesk.wording.sentences import SENTENCES, say_error


@pytest.fixture
def floor(farm: BegunFarm) -> Floor:
    return make_floor(farm)


def do(floor: Floor, action: Callable[[Act, Bag], Bag], at: int = 0, **keywords: object) -> Bag:
    bag = floor.bag(at)
    return floor.farm.do(lambda act: action(act, bag), **keywords)  # type: ignore[arg-type]


def test_a_bag_goes_through_its_life(floor: Floor) -> None:
    fruiting = floor.farm.room("fruiting").id
    assert do(floor, bags.mark_colonised).colonised_on == "2026-03-02"
    moved = do(floor, partial(bags.move_bag, room=fruiting))
    assert (moved.room, moved.room_since) == (fruiting, NOW)
    opened = do(floor, bags.open_bag)
    assert (opened.stage, opened.opened_on, opened.stage_since) == ("fruiting", "2026-03-02", NOW)
    assert do(floor, bags.rest_bag).stage == "resting"
    assert do(floor, bags.open_bag).stage == "fruiting"
    assert do(floor, bags.spend_bag).stage == "spent"
    assert floor.bag(0).looked_on == "2026-03-02"
    assert floor.farm.differences() == []


def test_opening_at_once_leaves_unknown_what_was_not_seen(floor: Floor) -> None:
    opened = do(floor, bags.open_bag)
    assert (opened.stage, opened.colonised_on) == ("fruiting", None)


def test_doing_it_again_changes_nothing(floor: Floor) -> None:
    do(floor, bags.mark_colonised)
    again = perform(floor.store, lambda act: bags.mark_colonised(act, floor.bag(0)), now=NOW)
    assert again.entries == ()


def test_what_has_ended_does_nothing_any_more(floor: Floor) -> None:
    mould = floor.reason("green_mould")
    do(floor, partial(bags.discard_bag, reason=mould))
    with pytest.raises(Refused) as caught:
        do(floor, partial(bags.move_bag, room=floor.farm.room("fruiting").id))
    said = say_error(caught.value)
    assert "discarded on Mar 2, 2026" in said
    assert "Green mould" in said


def test_a_lost_bag_is_found_when_it_is_meant(floor: Floor) -> None:
    do(floor, bags.mark_colonised)
    lost = do(floor, partial(bags.discard_bag, reason=floor.reason("lost")))
    assert lost.stage == "lost"
    with pytest.raises(Asked):
        do(floor, bags.look_at)
    found = do(floor, bags.look_at, confirmed={"bag_lost_found"})
    assert (found.stage, found.reason) == ("colonised", None)
    assert floor.farm.differences() == []


def test_a_discard_needs_a_reason_for_bags(floor: Floor) -> None:
    waste = next(one.id for one in floor.farm.all(Reason) if one.use == "waste")
    with pytest.raises(Refused):
        do(floor, partial(bags.discard_bag, reason=waste))
    with pytest.raises(NotFound):
        do(floor, partial(bags.discard_bag, reason=9_999))
    with pytest.raises(Refused):
        do(floor, lambda act, bag: bags.do_to_bag(act, bag, BagAct(cards.DISCARD)))
    assert floor.bag(0).stage == "incubating"


def test_a_move_needs_a_room_that_is_there(floor: Floor) -> None:
    with pytest.raises(NotFound):
        do(floor, partial(bags.move_bag, room=9_999))


def test_the_shelf_a_bag_grew_in_on_is_kept(floor: Floor) -> None:
    rooms = [floor.farm.room(use).id for use in ("incubation", "fruiting")]

    def go(room: int, shelf: str) -> Bag:
        wanted = BagAct(cards.MOVE, room=room, shelf=shelf)
        floor.farm.do(lambda act: do_to_bags(act, [floor.bag(0)], wanted))
        return floor.bag(0)

    assert go(rooms[0], "").grew_shelf == ""
    assert go(rooms[0], "A2").grew_shelf == "A2"
    assert (go(rooms[0], "A3").shelf, floor.bag(0).grew_shelf) == ("A3", "A2")
    do(floor, bags.mark_colonised)
    moved = go(rooms[1], "C1")
    assert (moved.shelf, moved.grew_room, moved.grew_shelf) == ("C1", rooms[0], "A2")


def test_opening_just_after_inoculation_is_asked(farm: BegunFarm) -> None:
    floor = make_floor(farm, inoculated_on="2026-03-01")
    with pytest.raises(Asked) as caught:
        do(floor, bags.open_bag)
    assert "Mar 1, 2026" in say_error(caught.value)
    assert do(floor, bags.open_bag, confirmed={"opened_early"}).stage == "fruiting"


@pytest.mark.parametrize("action", [bags.rest_bag, bags.spend_bag])
def test_resting_or_spent_without_opening_is_asked(
    floor: Floor, action: Callable[[Act, Bag], Bag]
) -> None:
    with pytest.raises(Asked) as caught:
        do(floor, action)
    code = caught.value.problems[0].code
    assert do(floor, action, confirmed={code}).stage in ("resting", "spent")


def test_nothing_happens_to_a_bag_before_its_inoculation(floor: Floor) -> None:
    bag = floor.bag(0)
    for action in (bags.mark_colonised, lambda act, bag: do_to_bags(act, [bag], BagAct("look"))):
        with pytest.raises(Refused) as caught:
            perform(
                floor.store,
                lambda act, action=action: action(act, bag),
                now=NOW,
                happened_at="2026-02-01T08:00:00Z",
            )
        assert caught.value.problems[0].code == "before_inoculation"


def test_a_late_entry_keeps_the_day_it_happened(floor: Floor) -> None:
    bag = floor.bag(0)
    done = perform(
        floor.store,
        lambda act: bags.mark_colonised(act, bag),
        now=NOW,
        happened_at="2026-02-27T08:00:00Z",
    )
    assert floor.bag(0).colonised_on == "2026-02-27"
    assert (done.entries[0].happened_at, done.entries[0].written_at) == (
        "2026-02-27T08:00:00Z",
        NOW,
    )


def test_many_bags_change_together_and_the_others_are_named(floor: Floor) -> None:
    do(floor, bags.mark_colonised, at=0)
    do(floor, partial(bags.discard_bag, reason=floor.reason("yeast")), at=1)
    all_bags = [floor.bag(at) for at in range(6)]
    done = perform(floor.store, lambda act: do_to_bags(act, all_bags, BagAct("colonised")), now=NOW)
    assert done.result is not None
    assert [bag.id for bag in done.result.changed] == [bag.id for bag in all_bags[2:]]
    assert {code: len(some) for code, some in done.result.left_out.items()} == {
        "bag_colonised_already": 1,
        "bag_is_discarded": 1,
    }
    assert all(floor.bag(at).stage == "colonised" for at in (0, 2, 3, 4, 5))
    assert floor.farm.differences() == []


def test_every_act_can_be_taken_back(floor: Floor) -> None:
    before = [floor.bag(at) for at in range(6)]
    acts = [
        BagAct(cards.MOVE, room=floor.farm.room("fruiting").id),
        BagAct(cards.COLONISED),
        BagAct(cards.OPENED),
        BagAct(cards.SLOW),
        BagAct(cards.REST),
        BagAct(cards.DISCARD, reason=floor.reason("yeast")),
    ]
    for wanted in acts:
        some = [floor.bag(at) for at in range(6)]
        assert len(floor.farm.do(lambda act, w=wanted, s=some: do_to_bags(act, s, w)).changed) == 6
    for _ in acts:
        perform(floor.store, undo_last, now=NOW)
    assert [floor.bag(at) for at in range(6)] == before
    assert floor.farm.differences() == []


def test_every_refusal_has_a_sentence() -> None:
    for code in ("discard_without_reason", "reason_not_for_bags", "before_inoculation"):
        assert code in SENTENCES
