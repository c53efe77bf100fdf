"""The bench by scanner and wall cards alone: keys that type weights, pins, shelves, counts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from begun_farm import BegunFarm
from scan_floor import KG, Floor, make_floor

from farmdesk.actions.catalogue import save
from farmdesk.domain import cards
from farmdesk.domain.catalogue import Room
from farmdesk.domain.codes import code_of
from farmdesk.domain.harvest import Pick
from farmdesk.domain.stations import Card
from farmdesk.errors import Refused


@pytest.fixture
def floor(farm: BegunFarm) -> Floor:
    return make_floor(farm)


def key(floor: Floor, name: str) -> str:
    (card,) = floor.farm.all(Card, act=cards.KEY, key=name)
    return code_of(card.id)


def press(floor: Floor, *names: str):  # type: ignore[no-untyped-def]
    return floor.scan(*[key(floor, name) for name in names])


def begin_pick(floor: Floor) -> Pick:
    floor.scan(floor.card(cards.PICK), code_of(floor.crates[0].id))
    floor.scan_bag(0)
    return floor.farm.all(Pick)[0]


def test_keys_compose_a_weight_and_enter_weighs_the_pick(floor: Floor) -> None:
    begin_pick(floor)
    answer = press(floor, "2", "point", "5", "kg")
    assert (answer.outcome, answer.typed) == ("done", "2.5 kg")
    assert "2.5 kg so far" in answer.message
    assert press(floor, "enter").outcome == "done"
    (made,) = floor.farm.all(Pick)
    assert (made.gross_mg, made.net_mg, made.typed) == (2_500_000, 2_500_000 - KG, "2.5 kg")


def test_pounds_and_ounces_are_typed_as_they_are_said(floor: Floor) -> None:
    begin_pick(floor)
    assert press(floor, "9", "lb", "6", "point", "5", "oz").typed == "9 lb 6.5 oz"
    press(floor, "enter")
    # 9 lb 6.5 oz = 150.5 oz; 1 oz = 28.349523125 g (NIST Handbook 44, appendix C)
    assert floor.farm.all(Pick)[0].gross_mg == 4_266_603


def test_clear_and_any_other_scan_leave_no_digit_behind(floor: Floor) -> None:
    begin_pick(floor)
    press(floor, "9", "9")
    assert press(floor, "clear").typed == ""
    press(floor, "7")
    told = floor.scan_bag(1)
    assert "7, typed by keys, was dropped." in told.message
    assert press(floor, "2", "kg").typed == "2 kg"


def test_what_was_typed_long_ago_is_forgotten(floor: Floor) -> None:
    begin_pick(floor)
    press(floor, "4")
    floor.clock.pass_minutes(45)
    assert press(floor, "2", "kg").typed == "2 kg"


def test_enter_on_nothing_and_on_half_a_weight_is_refused_and_kept(floor: Floor) -> None:
    begin_pick(floor)
    assert press(floor, "enter").outcome == "refused"
    answer = press(floor, "2", "enter")
    assert answer.outcome in ("refused", "unknown")
    assert "no unit" in answer.message
    assert press(floor, "kg").typed == "2 kg"
    assert press(floor, "enter").outcome == "done"


def test_the_label_card_names_the_pick_weighed_last_at_this_station(floor: Floor) -> None:
    label = floor.card(cards.LABEL)
    assert floor.scan(label).outcome == "refused"
    made = begin_pick(floor)
    assert floor.scan(label).outcome == "refused"
    floor.scan("3 kg")
    answer = floor.scan(label)
    assert (answer.outcome, answer.subject, answer.print_wanted) == ("done", made.name, made.id)
    assert floor.scan(label, bench=floor.new_bench("other")).outcome == "refused"
    assert floor.station().card is not None


def test_pins_are_noted_once_and_leave_the_stage(floor: Floor) -> None:
    floor.scan(floor.card(cards.PINS))
    assert floor.scan_bag(0).message == f"{floor.batch.name}-001: pins seen."
    assert (floor.bag(0).pinned_on, floor.bag(0).stage) == ("2026-03-02", "incubating")
    assert floor.scan_bag(0).outcome == "already"
    answer = floor.scan(code_of(floor.batch.id))
    assert "pins seen on" in answer.message
    assert all(floor.bag(at).pinned_on for at in range(len(floor.bags)))


def test_the_count_says_how_much_of_the_batch_is_done(floor: Floor) -> None:
    floor.scan(floor.card(cards.COLONISED))
    first = floor.scan_bag(0)
    assert (first.done_of_batch, first.batch_bags) == (1, len(floor.bags))
    second = floor.scan_bag(1)
    assert (second.done_of_batch, second.batch_bags) == (2, len(floor.bags))
    again = floor.scan_bag(1)
    assert (again.done_of_batch, again.batch_bags) == (2, len(floor.bags))
    floor.scan(floor.card(cards.LOOK))
    assert floor.scan_bag(2).done_of_batch == 1


def test_discarding_counts_against_the_bags_there_were(floor: Floor) -> None:
    floor.scan(floor.card(cards.DISCARD, reason="green_mould"))
    floor.scan_bag(0)
    answer = floor.scan_bag(1)
    assert (answer.done_of_batch, answer.batch_bags) == (2, len(floor.bags))


def test_shelves_have_cards_and_a_bag_stands_on_the_shelf_scanned(floor: Floor) -> None:
    room = floor.farm.all(Room, use="fruiting")[0]
    floor.farm.do(lambda act: save(act, replace(room, shelves="A1 A2")))
    shelf_cards = {one.shelf: one for one in floor.farm.all(Card, act=cards.MOVE, room=room.id)}
    assert sorted(shelf_cards) == ["", "A1", "A2"]
    floor.scan(code_of(shelf_cards["A1"].id))
    answer = floor.scan_bag(0)
    assert answer.room == f"{room.name}, shelf A1"
    assert (floor.bag(0).room, floor.bag(0).shelf) == (room.id, "A1")
    since = floor.bag(0).room_since
    floor.clock.pass_minutes(5)
    floor.scan(code_of(shelf_cards["A2"].id))
    assert floor.scan_bag(0).outcome == "done"
    assert (floor.bag(0).shelf, floor.bag(0).room_since) == ("A2", since)
    assert floor.scan_bag(0).outcome == "already"
    floor.scan(code_of(shelf_cards[""].id))
    floor.scan_bag(0)
    assert floor.bag(0).shelf == ""


def test_a_shelf_taken_away_retires_its_card_and_comes_back_with_it(floor: Floor) -> None:
    room = floor.farm.all(Room, use="fruiting")[0]
    for shelves, retired in (("A1 A2", 0), ("A1", 1), ("A1 A2", 0)):
        floor.farm.do(lambda act, names=shelves: save(act, replace(room, shelves=names)))
        (card,) = floor.farm.all(Card, act=cards.MOVE, room=room.id, shelf="A2")
        assert card.retired == retired


@pytest.mark.parametrize("shelves", ["A1 A1", "much-too-long", " ".join(map(str, range(101)))])
def test_bad_shelves_are_refused(floor: Floor, shelves: str) -> None:
    room = floor.farm.all(Room, use="fruiting")[0]
    with pytest.raises(Refused) as refused:
        floor.farm.do(lambda act: save(act, replace(room, shelves=shelves)))
    assert refused.value.problems[0].facts["field"] == "shelves"


def test_a_reply_is_known_by_word_and_by_card(floor: Floor) -> None:
    floor.bench.meaning()
    assert floor.bench.reply_of(floor.card(cards.YES)) is True
    assert floor.bench.reply_of(floor.card(cards.NO)) is False
    assert floor.bench.reply_of("yes") is True
    assert floor.bench.reply_of(code_of(floor.bags[0].id)) is None
    assert floor.bench.reply_of("") is None
