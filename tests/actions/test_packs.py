"""Packing: what is drawn from which pick, and what cannot be packed."""

from __future__ import annotations

import pytest
from harvest_farm import KG
from hypothesis import given, settings
from hypothesis import strategies as st

from farmdesk.actions.cold_store import share_of_packs
from farmdesk.actions.packs import make_packs
from farmdesk.actions.undo import undo_last
from farmdesk.domain.bags import Link
from farmdesk.domain.harvest import Pack, Pick


def test_packs_draw_from_two_picks_in_proportion_and_the_rest_stays(harvest):
    first = harvest.pick("OY", 2 * KG)
    second = harvest.pick("OY", 1 * KG)
    punnet = harvest.products["oyster punnet"]
    pack = harvest.do(
        lambda act: make_packs(
            act, product=punnet, count=9, from_picks={first.id: 1_600_000, second.id: 800_000}
        )
    )
    # 9 packs of 250 g are 2.25 kg: two thirds from the first, one third from the second.
    assert (pack.name, pack.count, pack.left, pack.net_mg) == ("K-0001", 9, 9, 2_250_000)
    with harvest.store.reading() as reading:
        links = {link.parent: link for link in reading.all(Link, child=pack.id)}
    assert links[first.id].amount_mg == 1_500_000
    assert links[second.id].amount_mg == 750_000
    assert harvest.get(Pick, first.id).left_mg == 500_000
    assert harvest.get(Pick, second.id).left_mg == 250_000
    harvest.clean()


def test_overfilled_packs_draw_what_they_hold(harvest):
    pick = harvest.pick("OY", 2 * KG)
    punnet = harvest.products["oyster punnet"]
    pack = harvest.do(
        lambda act: make_packs(
            act, product=punnet, count=4, from_picks={pick.id: 1_100_000}, filled_mg=1_040_000
        )
    )
    assert pack.net_mg == 1_040_000
    assert harvest.get(Pick, pick.id).left_mg == 960_000
    harvest.clean()


def test_life_used_loose_stays_used_in_the_wrap(harvest):
    punnet = harvest.products["oyster punnet"]
    pick = harvest.pick("OY", 2 * KG, on="2026-02-25")
    pack = harvest.do(
        lambda act: make_packs(act, product=punnet, count=4, from_picks={pick.id: 1 * KG})
    )
    # Half of 10 days went by loose (25 February to 2 March): half of 16 wrapped days is left,
    # and the farm sells within half of that.
    assert (pack.shelf_on, pack.sell_by) == ("2026-03-10", "2026-03-06")


def test_a_product_in_an_unknown_wrap_keeps_the_earliest_dates_of_its_picks(harvest):
    oyster = harvest.pick("OY", 1 * KG)
    shiitake = harvest.pick("SH", 1 * KG)
    pack = harvest.do(
        lambda act: make_packs(
            act,
            product=harvest.products["mixed box"],
            count=2,
            from_picks={oyster.id: 500_000, shiitake.id: 500_000},
        )
    )
    assert pack.shelf_on == oyster.shelf_on < shiitake.shelf_on


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ({"product": "oyster loose", "count": 1}, "product_not_in_packs"),
        ({"count": 0}, "pack_count_out_of_range"),
        ({"count": 5_001}, "pack_count_out_of_range"),
        ({"count": 5}, "packs_need_more"),
        ({"filled_mg": 200_000, "count": 1}, "packs_underfilled"),
        ({"amount": 0}, "pack_amount_empty"),
        ({"amount": 1_000_001}, "lot_overdrawn"),
        ({"packed_on": "2026-03-03"}, "day_in_future"),
        ({"packed_on": "2026-03-01"}, "packed_before_pick"),
        ({"species": "SH"}, "pack_of_other_species"),
    ],
)
def test_packs_that_cannot_be_are_refused(harvest, options, code):
    options = dict(options)
    pick = harvest.pick(options.pop("species", "OY"), 1 * KG)
    amounts = {pick.id: options.pop("amount", 1 * KG)}
    product = harvest.products[options.pop("product", "oyster punnet")]
    wanted = {"count": 2, **options}
    codes = harvest.refusal(
        lambda act: make_packs(act, product=product, from_picks=amounts, **wanted)
    )
    assert codes == [code]
    assert harvest.get(Pick, pick.id) == pick


def test_packs_need_a_pick_and_an_expired_one_is_asked(harvest):
    punnet = harvest.products["oyster punnet"]
    codes = harvest.refusal(lambda act: make_packs(act, product=punnet, count=1, from_picks={}))
    assert codes == ["packs_from_nothing"]
    old = harvest.pick("OY", 1 * KG, on="2026-02-01")
    codes = harvest.question(
        lambda act: make_packs(act, product=punnet, count=1, from_picks={old.id: 1 * KG})
    )
    assert codes == ["packing_expired"]


def test_taking_back_packs_gives_the_pick_its_amount(harvest):
    pick = harvest.pick("OY", 1 * KG)
    punnet = harvest.products["oyster punnet"]
    made = harvest.do(
        lambda act: make_packs(act, product=punnet, count=2, from_picks={pick.id: 1 * KG})
    )
    harvest.do(undo_last)
    assert harvest.get(Pick, pick.id) == pick
    assert harvest.get(Pack, made.id) is None
    harvest.clean()


@settings(max_examples=60)
@given(net=st.integers(1, 10**9), takes=st.lists(st.integers(1, 40), min_size=1, max_size=12))
def test_packs_taken_in_any_portions_weigh_the_whole_together(net, takes):
    count = sum(takes)
    left, weighed = count, 0
    for one in takes:
        pack = Pack(1, "K-0001", count=count, net_mg=net, left=left)
        weighed += share_of_packs(pack, one)
        left -= one
    assert weighed == net
