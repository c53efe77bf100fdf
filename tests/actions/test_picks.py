"""Picking: flushes, shares, tares, shelf dates, corrections, and what is refused or asked."""

from __future__ import annotations

from dataclasses import replace

import pytest
from databases import fresh_farm
from harvest_farm import KG, TODAY, HarvestFarm, begin_harvest_farm, say_codes
from hypothesis import given, settings
from hypothesis import strategies as st

from farmdesk.actions.base import Act, perform
from farmdesk.actions.picks import (
    add_bag,
    cancel_pick,
    correct_pick,
    propose_bag_flush,
    record_pick,
    start_pick,
    weigh_pick,
)
from farmdesk.actions.undo import undo_last
from farmdesk.domain.bags import Bag, Batch, Link
from farmdesk.domain.harvest import Pick
from farmdesk.errors import Asked, Refused
from farmdesk.store.history import entries_about
from farmdesk.wording.sentences import SENTENCES


@pytest.fixture
def farm(harvest):
    return harvest


@pytest.fixture(scope="module")
def wide_farm(tmp_path_factory):
    """One farm for many examples, each of which takes back what it did."""
    with fresh_farm("sqlite", tmp_path_factory.mktemp("farm")) as store:
        yield begin_harvest_farm(store, bags=8)


def refusal(farm: HarvestFarm, action, **options) -> list[str]:
    with pytest.raises(Refused) as caught:
        farm.do(action, **options)
    codes = say_codes(caught.value.problems)
    assert all(code in SENTENCES for code in codes)
    return codes


def links_of(farm: HarvestFarm, pick: int) -> list[Link]:
    with farm.store.reading() as reading:
        return reading.all(Link, child=pick)


def get(farm: HarvestFarm, cls, thing_id: int):
    with farm.store.reading() as reading:
        return reading.get(cls, thing_id)


def fill(farm: HarvestFarm, *bags: int, crate: int | None = None) -> Pick:
    pick = farm.do(lambda act: start_pick(act, species=farm.species["OY"], crate=crate))
    for bag in bags:
        farm.do(lambda act, one=bag: add_bag(act, pick, act.need(Bag, one)))
    return get(farm, Pick, pick.id)


def test_a_pick_of_one_bag_is_measured_and_gets_its_dates(farm):
    bag, crate = farm.bags["OY"][0], farm.crates[0]
    pick = fill(farm, bag, crate=crate)
    assert pick.name == "P-OY-0001"
    weighed = farm.do(lambda act: weigh_pick(act, pick, gross_mg=2_100_000, typed="2.1 kg"))
    # 10 days of life at 3 °C and half of it to sell in, from 2 March at 9 o'clock.
    assert (weighed.net_mg, weighed.left_mg, weighed.tare_mg) == (900_000, 900_000, 1_200_000)
    assert (weighed.shelf_on, weighed.sell_by) == ("2026-03-12", "2026-03-07")
    assert links_of(farm, pick.id) == [Link(pick.id, bag, 900_000, "measured", 1)]
    now = get(farm, Bag, bag)
    assert (now.stage, now.flush, now.picked_on, now.opened_on) == ("fruiting", 1, TODAY, TODAY)


def test_several_bags_share_by_block_mass_and_say_allocated(farm):
    first, second = farm.bags["OY"][:2]
    with farm.store.reading() as reading:
        batch = reading.get(Batch, farm.batches["OY"])
    big = farm.do(
        lambda act: act.make(
            "batch_made", replace(batch, id=act.next_id("batch"), name="OY01-0009", block_mg=5 * KG)
        )
    )
    farm.do(lambda act: act.change("bag_moved", act.need(Bag, second), batch=big.id, number=90))
    pick = fill(farm, first, second)
    farm.do(lambda act: weigh_pick(act, pick, gross_mg=1_000_000, tare_mg=0))
    # Blocks of 2.5 and 5 kg: a third and two thirds, to the milligram.
    assert [link.amount_mg for link in links_of(farm, pick.id)] == [333_333, 666_667]
    assert {link.how for link in links_of(farm, pick.id)} == {"allocated"}


def test_the_same_bag_twice_changes_nothing(farm):
    bag = farm.bags["OY"][0]
    pick = fill(farm, bag)
    again = farm.done(lambda act: add_bag(act, pick, act.need(Bag, bag)))
    assert again.result is None
    assert again.entries == ()


@pytest.mark.parametrize(
    ("stage", "days_later", "flush"),
    [("fruiting", 2, 1), ("resting", 5, 2), ("fruiting", 8, 2), ("fruiting", 20, 2)],
)
def test_the_flush_is_proposed_from_the_bags_history(farm, stage, days_later, flush):
    bag = farm.bags["OY"][0]
    earlier = f"2026-02-{28 - days_later + 2:02d}T09:00:00Z"
    farm.do(lambda act: record_pick(act, bags=[bag], gross_mg=500_000), at=earlier)
    farm.do(lambda act: act.change("bag_rested", act.need(Bag, bag), stage=stage))
    with farm.store.reading() as reading:
        assert propose_bag_flush(reading, reading.get(Bag, bag), TODAY).flush == flush
    pick = farm.do(lambda act: record_pick(act, bags=[bag], gross_mg=300_000))
    assert pick.flush == flush
    assert links_of(farm, pick.id)[0].flush == flush
    assert get(farm, Bag, bag).flush == flush


def test_a_given_flush_wins_and_must_be_possible(farm):
    bag = farm.bags["OY"][0]
    pick = farm.do(lambda act: record_pick(act, bags=[bag], gross_mg=300_000, flush=3))
    assert pick.flush == 3
    codes = refusal(farm, lambda act: record_pick(act, bags=[bag], gross_mg=1_000, flush=99))
    assert codes == ["flush_out_of_range"]


def test_a_crate_is_not_filled_twice(farm):
    crate = farm.crates[0]
    pick = fill(farm, farm.bags["OY"][0], crate=crate)
    start = {"species": farm.species["OY"], "crate": crate}
    assert refusal(farm, lambda act: start_pick(act, **start)) == ["crate_in_use"]
    farm.do(lambda act: weigh_pick(act, pick, gross_mg=2_000_000))
    assert farm.do(lambda act: start_pick(act, **start)).crate == crate


def test_an_empty_pick_can_be_cancelled_and_a_filled_one_not(farm):
    crate = farm.crates[0]
    pick = fill(farm, crate=crate)
    farm.do(lambda act: cancel_pick(act, pick))
    assert get(farm, Pick, pick.id) is None
    filled = fill(farm, farm.bags["OY"][0], crate=crate)
    assert refusal(farm, lambda act: cancel_pick(act, filled)) == ["pick_not_empty"]


def test_what_cannot_go_into_a_pick_is_refused(farm):
    pick = fill(farm, farm.bags["OY"][0])
    bag = farm.bags["OY"][1]

    def add(one):
        return lambda act: add_bag(act, pick, act.need(Bag, one))

    assert refusal(farm, add(farm.bags["SH"][0])) == ["pick_of_other_species"]
    farm.do(lambda act: act.change("bag_spent", act.need(Bag, bag), stage="spent"))
    assert refusal(farm, add(bag)) == ["picked_bag_ended"]
    weighed = farm.do(lambda act: weigh_pick(act, pick, gross_mg=100_000))
    third = farm.bags["OY"][2]
    codes = refusal(farm, lambda act: add_bag(act, weighed, act.need(Bag, third)))
    assert codes == ["pick_weighed_already"]
    codes = refusal(farm, lambda act: weigh_pick(act, weighed, gross_mg=100_000))
    assert codes == ["pick_weighed_already"]


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ({"gross_mg": 1_000_000, "tare_mg": 1_000_000}, "tare_above_gross"),
        ({"gross_mg": 1_000_000, "tare_mg": 2_000_000}, "tare_above_gross"),
        ({"gross_mg": 1_000_000, "tare_mg": -1}, "tare_negative"),
        ({"gross_mg": 0}, "gross_out_of_range"),
        ({"gross_mg": -5}, "gross_out_of_range"),
        ({"gross_mg": 10**12}, "gross_out_of_range"),
        ({"gross_mg": 1_000, "grade": "A\x00"}, "text_not_printable"),
        ({"gross_mg": 1_000, "picked_at": "2026-03-03"}, "picked_in_future"),
        ({"gross_mg": 1_000, "picked_at": "2026-03-02T23:00:00Z"}, "picked_in_future"),
        ({"gross_mg": 1_000, "picked_at": "2026-01-04"}, "picked_before_inoculation"),
    ],
)
def test_bad_weights_and_times_are_refused_and_leave_nothing(farm, options, code):
    bag = farm.bags["OY"][0]
    before = get(farm, Bag, bag)
    assert refusal(farm, lambda act: record_pick(act, bags=[bag], **options)) == [code]
    assert get(farm, Bag, bag) == before
    with farm.store.reading() as reading:
        assert reading.all(Pick) == []


def test_a_pick_needs_bags(farm):
    assert refusal(farm, lambda act: record_pick(act, gross_mg=1_000)) == ["pick_names_no_bags"]
    pick = fill(farm)
    codes = refusal(farm, lambda act: weigh_pick(act, pick, gross_mg=1_000))
    assert codes == ["pick_without_bags"]


@pytest.mark.parametrize(
    ("net_mg", "codes"),
    [
        (5 * KG, []),
        (5 * KG + 1, ["pick_above_blocks"]),
        (30 * KG + 1, ["pick_absurd", "pick_above_blocks"]),
    ],
)
def test_a_weight_that_looks_like_a_slip_is_asked(farm, net_mg, codes):
    bag = farm.bags["OY"][0]

    def pick(act: Act) -> Pick:
        return record_pick(act, bags=[bag], gross_mg=net_mg)

    if codes:
        with pytest.raises(Asked) as caught:
            farm.do(pick)
        assert say_codes(caught.value.problems) == codes
    assert farm.do(pick, confirmed=codes).net_mg == net_mg


def test_a_batch_is_picked_from_its_opened_bags(farm):
    opened = farm.bags["OY"][:2]
    for bag in opened:
        farm.do(lambda act, one=bag: act.change("bag_opened", act.need(Bag, one), opened_on=TODAY))
    pick = farm.do(lambda act: record_pick(act, batch=farm.batches["OY"], gross_mg=900_000))
    assert [link.parent for link in links_of(farm, pick.id)] == opened
    shiitake = farm.do(lambda act: record_pick(act, batch=farm.batches["SH"], gross_mg=900_000))
    assert len(links_of(farm, shiitake.id)) == len(farm.bags["SH"])


def test_a_species_without_known_life_gets_no_dates_and_a_clamped_one_the_nearest(farm):
    pick = farm.do(lambda act: record_pick(act, bags=farm.bags["SH"][:1], gross_mg=500_000))
    # Known only at 5 °C (20 days): a store at 3 °C keeps to that and is not extrapolated.
    assert pick.shelf_on == "2026-03-22"
    farm.do(lambda act: [act.take_away("life_removed", one) for one in act.tx.all(_life())])
    bare = farm.do(lambda act: record_pick(act, bags=farm.bags["SH"][:1], gross_mg=500_000))
    assert (bare.shelf_on, bare.sell_by) == (None, None)


def _life():
    from farmdesk.domain.catalogue import StorageLife

    return StorageLife


def test_a_correction_keeps_old_and_new_and_says_why(farm):
    bags = farm.bags["OY"][:2]
    pick = farm.do(lambda act: record_pick(act, bags=bags, gross_mg=900_001))
    farm.do(lambda act: act.change("stock_moved", act.need(Pick, pick.id), left_mg=300_001))
    now = farm.do(
        lambda act: correct_pick(act, act.need(Pick, pick.id), gross_mg=800_001, why="Wet crate")
    )
    assert (now.net_mg, now.left_mg) == (800_001, 200_001)
    assert sum(link.amount_mg for link in links_of(farm, pick.id)) == 800_001
    with farm.store.reading() as reading:
        last = entries_about(reading, pick.id)[-1]
    assert last.note == "Wet crate"
    assert (last.before["net_mg"], last.after["net_mg"]) == (900_001, 800_001)
    codes = refusal(
        farm,
        lambda act: correct_pick(act, act.need(Pick, pick.id), gross_mg=600_000 - 1, why="Slip"),
    )
    assert codes == ["correction_below_gone"]
    codes = refusal(
        farm, lambda act: correct_pick(act, act.need(Pick, pick.id), gross_mg=900_000, why=" ")
    )
    assert codes == ["field_empty"]


def test_taking_back_a_pick_leaves_bags_as_they_were(farm):
    bags = farm.bags["OY"][:3]
    before = [get(farm, Bag, bag) for bag in bags]
    pick = farm.do(
        lambda act: record_pick(act, bags=bags, gross_mg=3_000_000, crate=farm.crates[0])
    )
    farm.do(undo_last)
    assert [get(farm, Bag, bag) for bag in bags] == before
    assert get(farm, Pick, pick.id) is None
    assert links_of(farm, pick.id) == []


def test_an_earlier_pick_entered_late_does_not_turn_back_the_bag(farm):
    bag = farm.bags["OY"][0]
    farm.do(lambda act: record_pick(act, bags=[bag], gross_mg=500_000, flush=2))
    late = farm.do(
        lambda act: record_pick(act, bags=[bag], gross_mg=400_000, picked_at="2026-02-20", flush=1)
    )
    now = get(farm, Bag, bag)
    assert (now.flush, now.picked_on) == (2, TODAY)
    assert (late.picked_at, late.shelf_on) == ("2026-02-20T00:00:00Z", "2026-03-02")


@settings(max_examples=25, deadline=None)
@given(net=st.integers(1, 4_999_999), places=st.sets(st.integers(0, 7), min_size=1))
def test_shares_add_up_to_the_net_weight_exactly(wide_farm, net, places):
    bags = [wide_farm.bags["OY"][at] for at in sorted(places)]
    pick = wide_farm.do(lambda act: record_pick(act, bags=bags, gross_mg=net + 70, tare_mg=70))
    shares = links_of(wide_farm, pick.id)
    assert sum(link.amount_mg for link in shares) == net == pick.left_mg
    assert {link.how for link in shares} == {"measured" if len(bags) == 1 else "allocated"}
    perform(wide_farm.store, undo_last, now="2026-03-02T09:00:00Z")
