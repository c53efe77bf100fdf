from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic import spawn
from farmdesk.arithmetic.spawn import SpawnLeft, Take
from farmdesk.errors import Refused

TAKES = st.lists(st.integers(1, 5_000_000), min_size=1, max_size=6).map(
    lambda amounts: [Take(place + 1, amount) for place, amount in enumerate(amounts)]
)


@given(takes=TAKES, blocks=st.integers(1, 80))
def test_poured_spawn_adds_up_by_bag_and_by_block(takes, blocks):
    portions = spawn.pour_spawn(takes, blocks)
    for take in takes:
        assert sum(p.amount_mg for p in portions if p.spawn == take.spawn) == take.amount_mg
    by_block = [0] * blocks
    for portion in portions:
        assert portion.amount_mg > 0
        by_block[portion.block] += portion.amount_mg
    assert max(by_block) - min(by_block) <= 1


@given(takes=TAKES, blocks=st.integers(1, 80))
def test_only_blocks_at_a_change_of_bag_are_mixes(takes, blocks):
    portions = spawn.pour_spawn(takes, blocks)
    assert len(portions) <= blocks + len(takes) - 1


def test_bags_that_divide_cleanly_make_no_mix():
    portions = spawn.pour_spawn([Take(7, 1_000_000), Take(8, 500_000)], 12)
    assert [p.spawn for p in portions] == [7] * 8 + [8] * 4
    assert {p.amount_mg for p in portions} == {125_000}


def test_a_block_between_two_bags_is_a_mix():
    portions = spawn.pour_spawn([Take(7, 300), Take(8, 100)], 2)
    assert [(p.block, p.spawn, p.amount_mg) for p in portions] == [
        (0, 7, 200),
        (1, 7, 100),
        (1, 8, 100),
    ]


@given(
    need=st.integers(0, 10_000),
    left=st.lists(st.integers(0, 3_000), max_size=6),
)
def test_a_draw_never_takes_more_than_is_there(need, left):
    bags = [SpawnLeft(place, amount) for place, amount in enumerate(left)]
    draw = spawn.draw_spawn(need, bags)
    taken = sum(take.amount_mg for take in draw.takes)
    assert taken + draw.short_mg == need
    assert draw.short_mg == max(0, need - sum(left))
    for take in draw.takes:
        assert 0 < take.amount_mg <= left[take.spawn]


def test_a_draw_empties_one_bag_before_the_next():
    draw = spawn.draw_spawn(900, [SpawnLeft(4, 500), SpawnLeft(2, 500), SpawnLeft(3, 500)])
    assert draw == spawn.Draw((Take(4, 500), Take(2, 400)), 0)


def test_a_reserve_is_rounded_up():
    need = spawn.find_need(
        blocks=3, block_mg=1_001, rate_percent=Decimal(5), reserve_percent=Decimal(10)
    )
    assert (need.per_block_mg, need.total_mg, need.with_reserve_mg) == (50, 150, 165)


@pytest.mark.parametrize("rate", ["-1", "101", "NaN"])
def test_an_impossible_rate_is_refused(rate):
    with pytest.raises(Refused) as caught:
        spawn.find_need(blocks=1, block_mg=1_000, rate_percent=Decimal(rate))
    assert caught.value.problems[0].facts["what"] == "spawn rate"


def test_spawn_for_no_blocks_is_refused():
    with pytest.raises(Refused):
        spawn.pour_spawn([Take(1, 5)], 0)
    with pytest.raises(Refused):
        spawn.count_served_blocks(5, 0)
