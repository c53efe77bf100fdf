from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.block_costs import (
    CostLine,
    add_costs,
    cost_blocks,
    cost_weight,
    find_saleable,
    share_overhead,
)
from farmdesk.errors import Refused

D = Decimal


def line(name, amount, price):
    return CostLine(name, D(amount), D(price))


# Worked example, computed by hand: forty blocks of sawdust pellets and bran.
MATERIALS = [
    line("pellets", "32.63", "0.42"),
    line("bran", "8.64", "0.55"),
    line("gypsum", "1", "0.38"),
    line("bags", "40", "0.62"),
    line("spawn", "5.0", "3.60"),
    line("labels", "1", "1.60"),
    line("heat", "1", "9.00"),
]


def test_forty_blocks_as_worked_by_hand():
    materials = add_costs(MATERIALS, currency="USD")
    assert materials == D("72.23")
    total = materials + add_costs([line("labour", "4.5", "20")], currency="USD") + D("30.00")
    assert total == D("192.23")
    cost = cost_blocks(total, made=40, good=37, normal_loss_percent=D(5), currency="USD")
    assert (cost.per_made, cost.per_good) == (D("4.81"), D("5.20"))
    assert (cost.expected_good, cost.per_expected) == (38, D("5.06"))
    assert (cost.abnormal_lost, cost.abnormal_cost) == (1, D("5.06"))
    assert cost.good_cost + cost.abnormal_cost == total


def test_a_saleable_kilogram_as_worked_by_hand():
    saleable = find_saleable(37, kg_per_block=D("0.60"), packout=D("0.92"))
    assert round(saleable, 2) == D("20.42")
    whole = D("192.23") + add_costs([line("picking", "3.5", "20")], currency="USD") + D("12.00")
    cost = cost_weight(whole, saleable_kg=saleable, currency="USD")
    assert (cost.total, cost.per_kg, cost.per_lb) == (D("274.23"), D("13.43"), D("6.09"))


def test_fewer_lost_than_normal_is_a_gain():
    cost = cost_blocks(D("190"), made=40, good=40, normal_loss_percent=D(5), currency="USD")
    assert (cost.abnormal_lost, cost.abnormal_cost) == (-2, D("-10.00"))


@given(
    overhead=st.decimals(0, 9999, places=2),
    weeks=st.lists(st.decimals(0, 500, places=1), min_size=1).filter(lambda some: sum(some) > 0),
)
def test_shares_of_overhead_add_up(overhead, weeks):
    shares = share_overhead(overhead, weeks, currency="USD")
    assert sum(shares) == overhead
    assert all(share >= 0 for share in shares)


def test_what_stands_twice_as_long_carries_twice_as_much():
    assert share_overhead(D(90), [D(10), D(20)], currency="USD") == (D(30), D(60))


@pytest.mark.parametrize(
    ("code", "ask"),
    [
        ("nothing_saleable", lambda: cost_weight(D(1), saleable_kg=D(0), currency="USD")),
        ("share_out_of_range", lambda: find_saleable(1, kg_per_block=D(1), packout=D("1.1"))),
        (
            "good_more_than_made",
            lambda: cost_blocks(D(1), made=1, good=2, normal_loss_percent=D(5), currency="USD"),
        ),
    ],
)
def test_what_cannot_be_is_refused(code, ask):
    with pytest.raises(Refused) as caught:
        ask()
    assert caught.value.problems[0].code == code
