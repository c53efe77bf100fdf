"""Picking by scans: the crate, its bags, and the weight that closes the pick."""

from __future__ import annotations

import pytest
from begun_farm import BegunFarm
from scan_floor import KG, Floor, add_batch, make_floor

from farmdesk.actions.scanning import ScanAnswer
from farmdesk.domain import cards
from farmdesk.domain.bags import Bag, Link
from farmdesk.domain.codes import code_of
from farmdesk.domain.harvest import Pick


@pytest.fixture
def floor(farm: BegunFarm) -> Floor:
    made = make_floor(farm)
    made.scan(made.card(cards.PICK))
    return made


def scan_crate(floor: Floor, at: int = 0) -> ScanAnswer:
    return floor.scan(code_of(floor.crates[at].id))


def pick(floor: Floor) -> Pick:
    return floor.farm.all(Pick)[-1]


def test_crate_bags_and_weight_make_a_pick(floor: Floor) -> None:
    assert scan_crate(floor).message == "Crate 7 is next. Scan the bags, then weigh."
    assert scan_crate(floor).outcome == "already"
    first = floor.scan_bag(0)
    assert first.message == f"{floor.batch.name}-001 is in P-OY-0001, flush 1."
    assert (first.stage, first.count) == ("fruiting", 1)
    assert floor.scan_bag(0).outcome == "already"
    floor.scan_bag(1)
    assert floor.bench.meaning() == (
        "Pick into crate, Crate 7, P-OY-0001 with 2 bags waits for its weight"
    )
    weighed = floor.scan("2 lb 5.5 oz")
    assert weighed.outcome == "done"
    made = pick(floor)
    assert made.status == "weighed"
    # 2 lb 5.5 oz = 37.5 oz; 1 oz = 28.349523125 g (NIST Handbook 44, appendix C).
    assert made.gross_mg == 1_063_107
    assert made.net_mg == made.gross_mg - KG
    assert made.typed == "2 lb 5.5 oz"
    assert "63" in weighed.message
    assert floor.station().pick is None
    assert floor.station().crate is None
    assert floor.farm.differences() == []


def test_each_bag_is_written_at_once_and_a_new_process_goes_on(floor: Floor) -> None:
    scan_crate(floor)
    floor.scan_bag(0)
    assert pick(floor).status == "open"
    assert floor.farm.all(Link, child=pick(floor).id)[0].parent == floor.bags[0].id
    later = floor.new_bench()
    assert "P-OY-0001 with 1 bag" in later.meaning()
    floor.scan_bag(1, bench=later)
    assert floor.scan("3 kg", bench=later).outcome == "done"
    assert pick(floor).net_mg == 2 * KG
    assert len(floor.farm.all(Pick)) == 1


def test_a_doubtful_weight_is_read_back_and_asked(floor: Floor) -> None:
    scan_crate(floor)
    floor.scan_bag(0)
    asked = floor.scan("9 lb 18 oz")
    assert (asked.outcome, asked.questions) == ("ask", ("ounces_over_sixteen",))
    assert "10 lb 2 oz" in asked.message
    assert pick(floor).status == "open"
    assert floor.scan("no").message == "Left as it was."
    assert pick(floor).status == "open"
    floor.scan("9 lb 18 oz")
    answer = floor.scan(floor.card(cards.YES))
    while answer.outcome == "ask":
        answer = floor.bench.answer(True)
    assert answer.outcome == "done"
    # 162 oz at 28.349523125 g.
    assert pick(floor).gross_mg == 4_592_623


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("-3 kg", "below zero"),
        ("0 g", "nothing at all"),
        ("4.26", "no unit"),
        ("9000 kg", "too much for one weighing"),
        ("0.5 kg", "tare"),
        ("kg 5 kg kg", "no code, name"),
    ],
)
def test_a_weight_that_cannot_be_is_told_and_the_pick_waits(
    floor: Floor, line: str, said: str
) -> None:
    scan_crate(floor)
    floor.scan_bag(0)
    answer = floor.scan(line)
    assert answer.outcome in ("refused", "unknown")
    assert said in answer.message
    assert pick(floor).status == "open"
    assert floor.scan("3 kg").outcome == "done"


def test_a_weight_needs_the_pick_card_and_bags(floor: Floor) -> None:
    assert "no bag was scanned into a pick yet" in floor.scan("540 g").message
    floor.scan(floor.card(cards.SPENT))
    answer = floor.scan("540 g")
    assert answer.outcome == "refused"
    assert "no pick card is in force" in answer.message
    assert floor.farm.all(Pick) == []


def test_a_pick_without_a_crate_has_no_tare(floor: Floor) -> None:
    floor.scan_bag(0)
    floor.scan("540 g")
    assert (pick(floor).net_mg, pick(floor).tare_mg, pick(floor).crate) == (540_000, 0, None)


def test_the_crate_may_come_after_the_bags(floor: Floor) -> None:
    floor.scan_bag(0)
    assert scan_crate(floor).message == "P-OY-0001 is in Crate 7 now."
    assert pick(floor).crate == floor.crates[0].id
    asked = scan_crate(floor, 1)
    assert asked.outcome == "ask"
    assert floor.bench.answer(True).outcome == "done"
    assert pick(floor).crate == floor.crates[1].id
    assert floor.station().crate == floor.crates[1].id


def test_a_crate_is_filled_at_one_station_only(floor: Floor) -> None:
    scan_crate(floor)
    floor.scan_bag(0)
    other = floor.new_bench("bench")
    floor.scan(floor.card(cards.PICK), bench=other)
    answer = floor.scan("crate 7", bench=other)
    assert answer.outcome == "refused"
    assert "P-OY-0001" in answer.message


def test_a_crate_needs_the_pick_card(floor: Floor) -> None:
    floor.scan(floor.card(cards.SPENT))
    answer = scan_crate(floor)
    assert answer.outcome == "refused"
    assert "Scan the pick card first" in answer.message
    floor.scan(floor.card(cards.SHOW))
    assert scan_crate(floor).message == "Crate 7: tare 1.00 kg."


def test_another_card_reminds_of_the_pick_that_waits(floor: Floor) -> None:
    floor.scan_bag(0)
    answer = floor.scan(floor.card(cards.MOVE, room="fruiting"))
    assert answer.message.endswith("P-OY-0001 with 1 bag still waits for its weight.")
    floor.scan_bag(1)
    floor.scan(floor.card(cards.PICK))
    floor.scan_bag(1)
    assert len(floor.farm.all(Pick)) == 1


def test_a_batch_code_picks_its_opened_bags(floor: Floor) -> None:
    floor.scan(floor.card(cards.OPENED))
    floor.scan_bag(0)
    floor.scan_bag(1)
    floor.scan(floor.card(cards.PICK))
    answer = floor.scan(floor.batch.name)
    assert answer.message == f"{floor.batch.name}: 2 bags in P-OY-0001."
    assert floor.scan(floor.batch.name).outcome == "already"
    assert {one.parent for one in floor.farm.all(Link, child=pick(floor).id)} == {
        floor.bags[0].id,
        floor.bags[1].id,
    }


def test_a_rested_bag_gives_the_next_flush(floor: Floor) -> None:
    floor.scan_bag(0)
    floor.scan("540 g")
    floor.scan(floor.card(cards.REST))
    floor.scan_bag(0)
    floor.clock.pass_minutes(60 * 24 * 10)
    floor.scan(floor.card(cards.PICK))
    answer = floor.scan_bag(0)
    assert answer.message == f"{floor.batch.name}-001 is in P-OY-0002, flush 2."
    assert answer.stage == "fruiting"


def test_species_are_kept_apart(floor: Floor) -> None:
    shiitake = add_batch(floor.farm, bags=1, species="SH", inoculated_on="2025-10-01")
    floor.scan_bag(0)
    stray = floor.farm.all(Bag, batch=shiitake.id)[0]
    answer = floor.scan(code_of(stray.id))
    assert answer.outcome == "refused"
    assert "Shiitake" in answer.message
    assert len(floor.farm.all(Link, child=pick(floor).id)) == 1


def test_ended_and_lost_bags_are_not_picked_by_mistake(floor: Floor) -> None:
    floor.scan(floor.card(cards.DISCARD, reason="yeast"))
    floor.scan_bag(0)
    floor.scan(floor.card(cards.DISCARD, reason="lost"))
    floor.scan_bag(1)
    floor.scan(floor.card(cards.PICK))
    assert floor.scan_bag(0).outcome == "refused"
    assert floor.scan_bag(1).questions == ("bag_lost_found",)
    assert floor.scan("yes").stage == "fruiting"
    assert floor.farm.differences() == []


def test_picking_is_taken_back_step_by_step(floor: Floor) -> None:
    before = floor.bag(0)
    scan_crate(floor)
    floor.scan_bag(0)
    floor.scan_bag(1)
    floor.scan("3 kg")
    undo = floor.card(cards.UNDO)
    assert floor.scan(undo).message == "Taken back: P-OY-0001 weighed: 2.00 kg net."
    assert pick(floor).status == "open"
    assert "with 2 bags" in floor.bench.meaning()
    assert floor.scan("4 kg").outcome == "done"
    for _ in range(3):
        assert floor.scan(undo).outcome == "done"
    assert floor.bag(0) == before
    assert floor.farm.all(Pick) == []
    assert floor.farm.differences() == []
    assert floor.scan_bag(0).outcome == "done"


def test_a_weight_sent_twice_counts_once(floor: Floor) -> None:
    floor.scan_bag(0)
    first = floor.bench.scan("540 g", scan_id="w-1")
    again = floor.bench.scan("540 g", scan_id="w-1")
    assert (first.outcome, again.outcome) == ("done", "already")
    assert [one.net_mg for one in floor.farm.all(Pick)] == [540_000]


def test_looking_up_a_pick_tells_what_is_left(floor: Floor) -> None:
    floor.scan_bag(0)
    floor.scan(floor.card(cards.SHOW))
    assert floor.scan("P-OY-0001").message.endswith("with 1 bag, not weighed yet.")
    floor.scan(floor.card(cards.PICK))
    floor.scan("540 g")
    floor.scan(floor.card(cards.SHOW))
    assert "0.54 kg left" in floor.scan("p-oy-0001").message
