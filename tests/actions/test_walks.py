"""An incubation walk: all others fine."""

from __future__ import annotations

import pytest
from begun_farm import NOW, BegunFarm
from scan_floor import Floor, add_batch, make_floor

from farmdesk.actions.bags import discard_bag, move_bag, open_bag
from farmdesk.actions.base import perform
from farmdesk.actions.undo import undo_last
from farmdesk.actions.walks import WalkResult, walk
from farmdesk.errors import NotFound, Refused
from farmdesk.wording.sentences import say_error


@pytest.fixture
def floor(farm: BegunFarm) -> Floor:
    return make_floor(farm)


def test_a_walk_is_one_act_that_looks_at_every_live_bag(floor: Floor) -> None:
    done = perform(floor.store, lambda act: walk(act, batch=floor.batch.id), now=NOW)
    assert done.result == WalkResult(looked_at=6, already=0, discarded=0, slow=0)
    assert len({entry.act for entry in done.entries}) == 1
    assert {floor.bag(at).looked_on for at in range(6)} == {"2026-03-02"}


def test_exceptions_are_discarded_with_their_defect_or_marked_slow(floor: Floor) -> None:
    mould, yeast = floor.reason("green_mould"), floor.reason("yeast")
    bad = {floor.bags[0].id: mould, floor.bags[1].id: yeast}
    result = floor.farm.do(
        lambda act: walk(
            act, batch=floor.batch.id, contaminated=bad, slow={floor.bags[1].id, floor.bags[2].id}
        )
    )
    assert result == WalkResult(looked_at=3, already=0, discarded=2, slow=1)
    assert [floor.bag(at).stage for at in range(3)] == ["discarded", "discarded", "incubating"]
    assert (floor.bag(0).reason, floor.bag(1).reason, floor.bag(2).slow) == (mould, yeast, 1)
    assert {floor.bag(at).looked_on for at in range(6)} == {"2026-03-02"}
    assert floor.farm.differences() == []


def test_the_same_walk_on_the_same_day_counts_once(floor: Floor) -> None:
    bad = {floor.bags[0].id: floor.reason("green_mould")}
    floor.farm.do(lambda act: walk(act, batch=floor.batch.id, contaminated=bad))
    again = perform(
        floor.store, lambda act: walk(act, batch=floor.batch.id, contaminated=bad), now=NOW
    )
    assert again.result == WalkResult(looked_at=0, already=5, discarded=0, slow=0)
    assert not again.result.is_new
    assert again.entries == ()


def test_the_next_day_counts_again(floor: Floor) -> None:
    floor.farm.do(lambda act: walk(act, batch=floor.batch.id))
    result = floor.farm.do(lambda act: walk(act, batch=floor.batch.id), now="2026-03-03T08:00:00Z")
    assert result.looked_at == 6


def test_a_batch_walk_leaves_out_what_is_opened_or_ended(floor: Floor) -> None:
    floor.farm.do(lambda act: open_bag(act, floor.bag(0)))
    floor.farm.do(lambda act: discard_bag(act, floor.bag(1), floor.reason("yeast")))
    assert floor.farm.do(lambda act: walk(act, batch=floor.batch.id)).looked_at == 4


def test_a_room_walk_takes_every_live_bag_that_stands_there(floor: Floor) -> None:
    add_batch(floor.farm, bags=3)
    fruiting = floor.farm.room("fruiting").id
    floor.farm.do(lambda act: move_bag(act, floor.bag(0), room=fruiting))
    room = floor.farm.room("incubation").id
    assert floor.farm.do(lambda act: walk(act, room=room)).looked_at == 8
    assert floor.farm.do(lambda act: walk(act, room=fruiting)).looked_at == 1


def test_an_exception_that_is_not_there_is_refused_and_nothing_kept(floor: Floor) -> None:
    other = add_batch(floor.farm, bags=1)
    stray = floor.farm.all(type(floor.bag(0)), batch=other.id)[0]
    bad = {floor.bags[0].id: floor.reason("yeast")}
    with pytest.raises(Refused) as caught:
        floor.farm.do(
            lambda act: walk(act, batch=floor.batch.id, contaminated=bad, slow={stray.id})
        )
    assert "not among the bags" in say_error(caught.value)
    assert floor.bag(0).stage == "incubating"


def test_a_walk_needs_a_batch_or_room_that_is_there(floor: Floor) -> None:
    with pytest.raises(Refused):
        floor.farm.do(walk)
    with pytest.raises(NotFound):
        floor.farm.do(lambda act: walk(act, room=9_999))


def test_a_walk_is_taken_back_whole(floor: Floor) -> None:
    before = [floor.bag(at) for at in range(6)]
    bad = {floor.bags[0].id: floor.reason("green_mould")}
    floor.farm.do(
        lambda act: walk(act, batch=floor.batch.id, contaminated=bad, slow={floor.bags[1].id})
    )
    perform(floor.store, undo_last, now=NOW)
    assert [floor.bag(at) for at in range(6)] == before
    assert floor.farm.differences() == []
