"""The bench: wall cards, bags and batches, and one sentence for everything."""

from __future__ import annotations

import pytest
from begun_farm import BegunFarm
from scan_floor import Floor, add_batch, iso, make_floor

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import save
from farmdesk.actions.inoculation import void_bags
from farmdesk.actions.scanning import Bench
from farmdesk.actions.undo import redo_last, undo_last
from farmdesk.domain import cards
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Room
from farmdesk.domain.codes import code_of, group_code, make_id
from farmdesk.domain.stations import Station
from farmdesk.errors import StoreUnavailable, problem
from farmdesk.store.farm_store import FarmStore


@pytest.fixture
def floor(farm: BegunFarm) -> Floor:
    return make_floor(farm)


def name(floor: Floor, at: int) -> str:
    return f"{floor.batch.name}-{at + 1:03d}"


# ---- cards


def test_without_a_card_a_scan_looks_things_up(floor: Floor) -> None:
    assert floor.bench.meaning() == "No wall card: a scan looks things up"
    answer = floor.scan_bag(0)
    assert answer.outcome == "done"
    assert answer.message.startswith(f"{name(floor, 0)}: incubating since Mar 2, 2026, in Incub")
    assert "25 days old" in answer.message
    assert (answer.subject, answer.stage) == (name(floor, 0), "incubating")
    assert answer.entry is None
    assert floor.farm.all(Station) == []


def test_a_room_card_moves_what_is_scanned_after_it(floor: Floor) -> None:
    fruiting = floor.farm.room("fruiting")
    answer = floor.scan(floor.card(cards.MOVE, room="fruiting"))
    assert answer.message == f"Scans now mean: Move to {fruiting.name}."
    assert floor.bench.meaning() == f"Move to {fruiting.name}"
    moved = floor.scan_bag(0)
    assert moved.message == f"{name(floor, 0)} moved to {fruiting.name}."
    assert (moved.outcome, moved.room, moved.count) == ("done", fruiting.name, 1)
    assert moved.entry is not None
    assert moved.code == code_of(floor.bags[0].id)
    assert floor.bag(0).room == fruiting.id
    again = floor.scan_bag(0)
    assert again.outcome == "already"
    assert again.message == f"{name(floor, 0)} is in {fruiting.name} already."
    assert (again.entry, again.count) == (None, 1)


@pytest.mark.parametrize(
    ("act", "stage", "said"),
    [
        (cards.COLONISED, "colonised", "is colonised"),
        (cards.OPENED, "fruiting", "opened for fruiting"),
        (cards.LOOK, "incubating", "looked at, fine"),
        (cards.SLOW, "incubating", "marked as slow"),
    ],
)
def test_each_card_does_its_act_once(floor: Floor, act: str, stage: str, said: str) -> None:
    floor.scan(floor.card(act))
    answer = floor.scan_bag(0)
    assert (answer.outcome, answer.stage) == ("done", stage)
    assert said in answer.message
    assert floor.bag(0).stage == stage
    assert floor.scan_bag(0).outcome == "already"


def test_discard_cards_carry_their_reason(floor: Floor) -> None:
    floor.scan(floor.card(cards.DISCARD, reason="green_mould"))
    answer = floor.scan_bag(0)
    assert answer.message == f"{name(floor, 0)} discarded: Green mould."
    assert floor.bag(0).reason == floor.reason("green_mould")
    again = floor.scan_bag(0)
    assert again.outcome == "already"
    assert "since Mar 2, 2026: Green mould" in again.message


@pytest.mark.parametrize("words", ["Colonised", "COLONISED", "colonised"])
def test_a_card_can_be_typed_by_its_title(floor: Floor, words: str) -> None:
    floor.scan(words)
    assert floor.scan_bag(0).stage == "colonised"


def test_a_bag_can_be_typed_by_name_or_in_groups(floor: Floor) -> None:
    floor.scan(floor.card(cards.COLONISED))
    assert floor.scan(name(floor, 0).lower()).outcome == "done"
    assert floor.scan(group_code(code_of(floor.bags[1].id))).outcome == "done"
    assert floor.scan(f"]C0{code_of(floor.bags[2].id)}\r\n").outcome == "done"
    assert [floor.bag(at).stage for at in range(3)] == ["colonised"] * 3


def test_the_card_is_kept_for_a_new_process(floor: Floor) -> None:
    floor.scan(floor.card(cards.COLONISED))
    later = floor.new_bench()
    assert later.meaning() == "Colonised"
    assert floor.scan_bag(0, bench=later).stage == "colonised"


def test_a_card_runs_out_and_the_answer_says_so(floor: Floor) -> None:
    floor.scan(floor.card(cards.COLONISED))
    floor.clock.pass_minutes(31)
    assert floor.bench.meaning().startswith("No wall card")
    answer = floor.scan_bag(0)
    assert answer.message.startswith("The card “Colonised” ran out after 30 minutes, so nothing")
    assert floor.bag(0).stage == "incubating"
    assert floor.scan(floor.card(cards.COLONISED)).outcome in ("done", "already")
    assert floor.scan_bag(0).outcome == "done"


def test_a_card_in_use_does_not_run_out_even_for_another_process(floor: Floor) -> None:
    floor.scan(floor.card(cards.COLONISED))
    for at in range(3):
        floor.clock.pass_minutes(20)
        assert floor.scan_bag(at).outcome == "done"
    assert floor.scan_bag(3, bench=floor.new_bench()).stage == "colonised"
    floor.clock.pass_minutes(31)
    assert "ran out" in floor.scan_bag(4).message


def test_taking_back_does_not_wake_a_card_that_ran_out(floor: Floor) -> None:
    floor.scan(floor.card(cards.COLONISED))
    floor.scan_bag(0)
    floor.clock.pass_minutes(31)
    assert floor.scan(floor.card(cards.UNDO)).outcome == "done"
    assert floor.bag(0).stage == "incubating"
    assert "ran out" in floor.scan_bag(0).message


def test_the_same_card_again_still_means_it(floor: Floor) -> None:
    code = floor.card(cards.COLONISED)
    floor.scan(code)
    floor.scan_bag(0)
    again = floor.scan(code)
    assert (again.outcome, again.count) == ("already", 1)
    assert again.message == "Scans still mean: Colonised."


def test_a_card_of_a_closed_room_is_refused(floor: Floor) -> None:
    code = floor.card(cards.MOVE, room="fruiting")
    room = floor.farm.room("fruiting")
    floor.farm.do(lambda act: save(act, Room(room.id, room.name, room.use, 9, retired=1)))
    answer = floor.scan(code)
    assert answer.outcome == "refused"
    assert "not used any more" in answer.message


def test_undo_takes_back_the_last_act_of_this_station_only(floor: Floor) -> None:
    other = floor.new_bench("bench")
    floor.scan(floor.card(cards.COLONISED))
    floor.scan_bag(0)
    floor.scan(floor.card(cards.COLONISED), bench=other)
    floor.scan_bag(1, bench=other)
    floor.scan(floor.card(cards.MOVE, room="fruiting"))
    answer = floor.scan(floor.card(cards.UNDO))
    assert answer.message == f"Taken back: {name(floor, 0)} colonised."
    assert [floor.bag(at).stage for at in (0, 1)] == ["incubating", "colonised"]
    nothing = floor.scan(floor.card(cards.UNDO))
    assert nothing.outcome == "refused"
    assert "nothing to take back" in nothing.message
    assert floor.bench.meaning().startswith("Move to")
    assert floor.farm.differences() == []


def test_what_is_taken_back_counts_no_more_and_again_when_done_again(floor: Floor) -> None:
    floor.scan(floor.card(cards.COLONISED))
    floor.scan_bag(0)
    assert floor.scan_bag(1).done_of_batch == 2
    assert floor.scan(floor.card(cards.UNDO)).count == 1
    third = floor.scan_bag(2)
    assert (third.count, third.done_of_batch, third.batch_bags) == (2, 2, 6)
    floor.farm.do(lambda act: undo_last(act, station=floor.bench.station))
    assert floor.scan_bag(3).count == 2, "taken back at the desk, not by a card"
    floor.scan(floor.card(cards.UNDO))
    floor.farm.do(lambda act: redo_last(act, station=floor.bench.station))
    assert floor.scan_bag(4).count == 3
    floor.scan(floor.card(cards.MOVE, room="fruiting"))
    assert floor.scan(floor.card(cards.UNDO)).count == 0


# ---- whole batches


def test_a_batch_code_acts_on_all_its_live_bags_in_one_act(floor: Floor) -> None:
    floor.scan(floor.card(cards.COLONISED))
    floor.scan_bag(0)
    answer = floor.scan(code_of(floor.batch.id))
    assert answer.message == f"{floor.batch.name}: 5 bags colonised. 1 bag left as they were."
    assert answer.count == 6
    assert {floor.bag(at).stage for at in range(6)} == {"colonised"}
    assert floor.scan(floor.batch.name).outcome == "already"
    floor.scan(floor.card(cards.UNDO))
    assert [floor.bag(at).stage for at in range(2)] == ["colonised", "incubating"]


def test_discarding_a_whole_batch_is_asked(floor: Floor) -> None:
    floor.scan(floor.card(cards.DISCARD, reason="heat_failure"))
    asked = floor.scan(code_of(floor.batch.id))
    assert asked.outcome == "ask"
    assert asked.questions == ("discard_whole_batch",)
    assert floor.bag(0).stage == "incubating"
    assert floor.bench.answer(False).message == "Left as it was."
    assert floor.bag(0).stage == "incubating"
    floor.scan(code_of(floor.batch.id))
    done = floor.scan(floor.card(cards.YES))
    assert (done.outcome, done.count) == ("done", 6)
    assert {floor.bag(at).stage for at in range(6)} == {"discarded"}
    ended = floor.scan(floor.batch.name)
    assert ended.outcome == "refused"
    assert "no live bag" in ended.message


def test_spent_for_a_batch_never_opened_is_asked_once_for_all(floor: Floor) -> None:
    floor.scan(floor.card(cards.SPENT))
    asked = floor.scan(floor.batch.name)
    assert asked.outcome == "ask"
    assert asked.message.startswith(f"6 bags of {floor.batch.name}: never opened")
    assert floor.scan("yes").outcome == "done"
    assert {floor.bag(at).stage for at in range(6)} == {"spent"}


# ---- questions


def test_opening_too_soon_is_asked_and_done_on_yes(farm: BegunFarm) -> None:
    floor = make_floor(farm, inoculated_on="2026-03-01")
    floor.scan(floor.card(cards.OPENED))
    asked = floor.scan_bag(0)
    assert (asked.outcome, asked.questions) == ("ask", ("opened_early",))
    assert asked.subject == name(floor, 0)
    assert floor.bench.is_asking
    assert floor.scan("yes").stage == "fruiting"
    assert not floor.bench.is_asking


def test_another_scan_drops_the_question_and_says_so(farm: BegunFarm) -> None:
    floor = make_floor(farm, inoculated_on="2026-03-01")
    floor.scan(floor.card(cards.OPENED))
    floor.scan_bag(0)
    noise = floor.scan("1234567890")
    assert noise.outcome == "unknown"
    assert floor.bench.is_asking
    answer = floor.scan(floor.card(cards.SHOW))
    assert answer.left_open
    assert answer.message.startswith(f"The question about {name(floor, 0)} was left open")
    assert floor.scan("yes").outcome == "refused"
    assert floor.bag(0).stage == "incubating"


@pytest.mark.parametrize("line", ["yes", "no"])
def test_a_reply_to_nothing_is_told(floor: Floor, line: str) -> None:
    assert floor.scan(line).message == "There was no question to answer. Scan a label."


# ---- what cannot be


def test_spent_and_void_bags_say_what_they_are(floor: Floor) -> None:
    floor.scan(floor.card(cards.OPENED))
    floor.scan_bag(0)
    floor.scan(floor.card(cards.SPENT))
    floor.scan_bag(0)
    floor.farm.do(lambda act: void_bags(act, [floor.bags[1].id]))
    floor.scan(floor.card(cards.MOVE, room="fruiting"))
    spent, void = floor.scan_bag(0), floor.scan_bag(1)
    assert (spent.outcome, void.outcome) == ("refused", "refused")
    assert spent.message == f"{name(floor, 0)} is spent since Mar 2, 2026, so nothing was changed."
    assert "no bag was made" in void.message
    assert (spent.stage, void.stage) == ("spent", "void")
    floor.scan(floor.card(cards.SHOW))
    assert "void since Mar 2, 2026" in floor.scan_bag(1).message


def test_a_valid_code_that_is_not_ours_says_which(floor: Floor) -> None:
    floor.scan(floor.card(cards.MOVE, room="fruiting"))
    other = floor.scan(code_of(make_id("bag", 12)))
    later = floor.scan(code_of(make_id("bag", 9_000_000)))
    assert (other.outcome, later.outcome) == ("refused", "refused")
    assert "of another farm: its number is below" in other.message
    assert "of another farm, or was never printed here" in later.message
    assert "of another farm" in floor.scan(code_of(make_id("card", 12))).message


def test_a_code_whose_thing_was_taken_back_says_so(floor: Floor) -> None:
    gone = add_batch(floor.farm, bags=1)
    bag = floor.farm.all(Bag, batch=gone.id)[0]
    floor.farm.undo()
    assert "was taken back" in floor.scan(code_of(bag.id)).message
    assert floor.scan(gone.name).outcome == "unknown"


@pytest.mark.parametrize(
    "line",
    [
        "",
        "   ",
        "x" * 10_240,
        "\x00\x01\x02abc\x03\x04z",
        "6000000000",
        "=1+1",
        "'; DROP TABLE bag;",
        "שקית",
        "🍄🍄",
        "OY99-9999-001",
        "R-9999",
    ],
)
def test_bad_lines_are_unknown_with_a_sentence_and_change_nothing(floor: Floor, line: str) -> None:
    floor.scan(floor.card(cards.MOVE, room="fruiting"))
    before = floor.farm.all(Bag)
    answer = floor.scan(line)
    assert answer.outcome == "unknown"
    assert answer.message.endswith(".")
    assert answer.entry is None
    assert floor.farm.all(Bag) == before
    assert floor.scan_bag(0).outcome == "done"


def test_cards_for_bags_leave_other_things_alone(floor: Floor) -> None:
    spawn = floor.farm.spawn()[0]
    floor.scan(floor.card(cards.SPENT))
    answer = floor.scan(code_of(spawn.id))
    assert answer.outcome == "refused"
    assert (
        answer.message == f"{spawn.name} is grain spawn. The card “Spent” is for bags and batches."
    )
    floor.scan(floor.card(cards.SHOW))
    assert "2.30 kg of 2.30 kg left" in floor.scan(spawn.name).message


def test_looking_up_a_batch_counts_its_stages(floor: Floor) -> None:
    floor.scan(floor.card(cards.COLONISED))
    floor.scan_bag(0)
    floor.scan(floor.card(cards.SHOW))
    answer = floor.scan(floor.batch.name)
    assert answer.message.endswith("6 made; now 5 incubating, 1 colonised.")
    assert answer.code == code_of(floor.batch.id)


def test_a_farm_that_is_not_begun_says_so(store: FarmStore) -> None:
    bench = Bench(store, station="door")
    assert bench.scan("6000000085").outcome in ("refused", "unknown")
    assert "not been begun" in bench.scan("OY01-0001").message


# ---- resends, several stations, trouble


def test_a_scan_sent_twice_counts_once(floor: Floor) -> None:
    floor.scan(floor.card(cards.COLONISED))
    line = code_of(floor.bags[0].id)
    first = floor.bench.scan(line, scan_id="scan-1")
    floor.scan(floor.card(cards.OPENED))
    again = floor.bench.scan(line, scan_id="scan-1")
    assert (first.outcome, again.outcome) == ("done", "already")
    assert "counted already" in again.message
    assert again.entry == first.entry
    assert floor.bag(0).stage == "colonised"


def test_a_resend_of_an_undo_takes_back_one_act_only(floor: Floor) -> None:
    floor.scan(floor.card(cards.COLONISED))
    floor.scan_bag(0)
    floor.scan_bag(1)
    undo = floor.card(cards.UNDO)
    floor.bench.scan(undo, scan_id="undo-1")
    assert floor.bench.scan(undo, scan_id="undo-1").outcome == "already"
    assert [floor.bag(at).stage for at in (0, 1)] == ["colonised", "incubating"]


def test_two_stations_each_have_their_own_card(floor: Floor) -> None:
    other = floor.new_bench("bench")
    floor.scan(floor.card(cards.COLONISED))
    floor.scan(floor.card(cards.MOVE, room="fruiting"), bench=other)
    assert "colonised" in floor.scan_bag(0).message
    assert "moved" in floor.scan_bag(0, bench=other).message
    assert floor.scan_bag(0).outcome == "already"
    assert floor.station("bench").card != floor.station("door").card


def test_a_second_process_at_one_station_changes_the_card_for_both(floor: Floor) -> None:
    twin = floor.new_bench()
    floor.scan(floor.card(cards.COLONISED))
    floor.scan_bag(0)
    floor.scan(floor.card(cards.LOOK), bench=twin)
    assert "looked at" in floor.scan_bag(1).message
    assert floor.bench.meaning() == "Looked at, fine"


def test_a_room_renamed_elsewhere_is_told_by_its_new_name(floor: Floor) -> None:
    floor.scan(floor.card(cards.MOVE, room="fruiting"))
    floor.scan_bag(0)
    room = floor.farm.room("fruiting")
    floor.farm.do(lambda act: save(act, Room(room.id, "Mist house", room.use, room.capacity)))
    assert floor.scan_bag(1).message == f"{name(floor, 1)} moved to Mist house."


def test_a_full_disk_is_told_calmly_and_the_scan_can_be_repeated(
    floor: Floor, monkeypatch: pytest.MonkeyPatch
) -> None:
    floor.scan(floor.card(cards.COLONISED))

    def no_room() -> None:
        raise StoreUnavailable(problem("disk_full", path="farm.sqlite"))

    with monkeypatch.context() as patch:
        patch.setattr(floor.store, "writing", no_room)
        answer = floor.scan_bag(0)
    assert answer.outcome == "refused"
    assert "is full" in answer.message
    assert floor.bag(0).stage == "incubating"
    assert floor.scan_bag(0).outcome == "done"


def test_person_and_station_stand_in_the_day_book(floor: Floor) -> None:
    bench = Bench(floor.store, station="door", person=None, clock=floor.clock)
    floor.scan(floor.card(cards.COLONISED), bench=bench)
    answer = floor.scan_bag(0, bench=bench)
    with floor.store.reading() as reading:
        entry = reading.entry(answer.entry or 0)
    assert entry is not None
    assert (entry.station, entry.kind, entry.happened_at) == (
        "door",
        "bag_colonised",
        iso(floor.clock.now),
    )


def test_scans_leave_the_day_book_and_the_tables_alike(floor: Floor) -> None:
    for act in (cards.COLONISED, cards.OPENED, cards.REST, cards.SPENT):
        floor.scan(floor.card(act))
        for at in range(3):
            floor.scan_bag(at)
        floor.scan(floor.batch.name)
    assert floor.farm.differences() == []
    assert perform(floor.store, lambda act: len(act.tx.all(Station))).result == 1
