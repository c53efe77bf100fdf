from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic import yields
from farmdesk.errors import Refused

BAGS = st.lists(st.integers(1, 10**6), min_size=1, max_size=30, unique=True)


@given(net=st.integers(0, 10**8), bags=BAGS)
def test_an_even_share_adds_up_and_says_what_it_is(net, bags):
    shares = yields.share_crate(net, bags)
    assert sum(one.picked_mg for one in shares) == net
    assert [one.bag for one in shares] == bags
    assert {one.basis for one in shares} == {"measured" if len(bags) == 1 else "allocated"}


@given(
    net=st.integers(0, 10**8),
    weights=st.dictionaries(st.integers(1, 99), st.integers(0, 10**6), min_size=1),
)
def test_a_share_by_weight_follows_the_weights(net, weights):
    shares = yields.share_crate(net, list(weights), weights)
    assert sum(one.picked_mg for one in shares) == net
    total = sum(weights.values())
    for one in shares:
        if total:
            assert abs(one.picked_mg * total - net * weights[one.bag]) < total


def test_bags_without_a_weight_get_nothing_when_others_have_one():
    shares = yields.share_crate(90, [1, 2, 3], {1: 10, 3: 20})
    assert [one.picked_mg for one in shares] == [30, 0, 60]


def test_the_same_bag_twice_is_refused():
    with pytest.raises(Refused) as caught:
        yields.share_crate(90, [1, 2, 1])
    assert caught.value.problems[0].code == "bag_twice_in_crate"


@given(
    picks=st.dictionaries(st.integers(1, 6), st.integers(0, 10**8), max_size=6),
    opened=st.integers(0, 200),
    lost=st.integers(0, 50),
    dry=st.integers(100_000, 2_000_000),
)
def test_flushes_add_up_to_the_whole(picks, opened, lost, dry):
    blocks = yields.make_blocks(made=opened + lost, opened=opened, dry_per_block_mg=dry)
    batch = yields.measure_yields(picks, blocks)
    assert sum(one.alone.picked_mg for one in batch.flushes) == batch.whole.picked_mg
    assert [one.flush for one in batch.flushes] == sorted(picks)
    if batch.flushes:
        assert batch.flushes[-1].cumulative == batch.whole
    if sum(picks.values()):
        assert abs(sum(one.share_percent for one in batch.flushes) - 100) < Decimal("1e-20")
    if opened:
        assert batch.whole.efficiency_opened_percent >= batch.whole.efficiency_made_percent
    else:
        assert batch.whole.efficiency_opened_percent is None


def test_batches_with_other_dry_weights_are_added_before_dividing():
    blocks = yields.sum_blocks(
        [
            yields.make_blocks(made=2, opened=1, dry_per_block_mg=1_000),
            yields.make_blocks(made=1, opened=1, dry_per_block_mg=3_000),
        ]
    )
    assert blocks == yields.Blocks(3, 2, 5_000, 4_000)
    assert yields.measure_yield(1_000, blocks).efficiency_made_percent == 20
    assert yields.measure_yield(1_000, blocks).efficiency_opened_percent == 25


def test_more_opened_than_made_is_refused():
    with pytest.raises(Refused) as caught:
        yields.measure_yield(5, yields.make_blocks(made=1, opened=2, dry_per_block_mg=9))
    assert caught.value.problems[0].code == "more_opened_than_made"


def test_flush_zero_and_negative_picks_are_refused():
    blocks = yields.make_blocks(made=1, opened=1, dry_per_block_mg=9)
    with pytest.raises(Refused) as caught:
        yields.measure_yields({0: 5, 1: -5}, blocks)
    assert [one.facts["what"] for one in caught.value.problems] == ["flush number", "picked weight"]
