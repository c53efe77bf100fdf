from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic import balance
from farmdesk.arithmetic.balance import LotAmounts
from farmdesk.errors import Refused

AMOUNTS = st.builds(LotAmounts, *[st.integers(0, 10**7)] * 8)


@given(amounts=AMOUNTS)
def test_everything_and_the_unexplained_add_up_to_what_was_picked(amounts):
    found = balance.balance_lot(amounts)
    assert amounts.picked_mg == found.unexplained_mg + (
        amounts.sold_mg
        + amounts.gifts_mg
        + amounts.own_use_mg
        + amounts.waste_mg
        + amounts.drying_mg
        + amounts.at_market_mg
        + amounts.on_hand_mg
    )
    assert (found.flag == "more_out_than_in") is (found.unexplained_mg < 0)


@given(one=AMOUNTS, other=AMOUNTS)
def test_lots_are_added_before_they_are_balanced(one, other):
    both = balance.balance_lot(balance.sum_amounts(one, other)).unexplained_mg
    alone = [balance.balance_lot(lot).unexplained_mg for lot in (one, other)]
    assert both == sum(alone)


@pytest.mark.parametrize(
    ("sold", "flag", "in_order"),
    [
        (1_000, "balanced", True),
        (999, "accepted", True),
        (950, "accepted", True),
        (949, "too_much_missing", False),
        (1_001, "more_out_than_in", False),
    ],
)
def test_the_flag_says_what_to_think_of_it(sold, flag, in_order):
    found = balance.balance_lot(LotAmounts(1_000, sold))
    assert (found.flag, found.is_in_order) == (flag, in_order)


def test_the_accepted_loss_can_be_set():
    amounts = LotAmounts(1_000, 949)
    assert balance.balance_lot(amounts, accepted_percent=Decimal("5.1")).flag == "accepted"


def test_a_lot_of_nothing_has_no_share():
    assert balance.balance_lot(LotAmounts(0)).unexplained_percent is None
    assert balance.balance_lot(LotAmounts(0, gifts_mg=1)).flag == "more_out_than_in"


def test_negative_amounts_are_refused_by_name():
    with pytest.raises(Refused) as caught:
        balance.balance_lot(LotAmounts(10, sold_mg=-1, own_use_mg=-2))
    assert [one.facts["what"] for one in caught.value.problems] == ["sold", "own use"]


@given(lines=st.lists(st.builds(balance.Asked, st.integers(0, 99), st.integers(0, 99))))
def test_fill_lies_between_nothing_and_all(lines):
    fill = balance.measure_fill(lines)
    assert (fill.by_line_percent is None) is (not lines)
    for percent in (fill.by_quantity_percent, fill.by_line_percent):
        assert percent is None or 0 <= percent <= 100


def test_too_much_on_one_line_does_not_fill_another():
    fill = balance.measure_fill([balance.Asked(10, 20), balance.Asked(10, 5)])
    assert (fill.by_quantity_percent, fill.by_line_percent) == (75, 50)


def test_sell_through_counts_what_is_gone():
    found = balance.measure_sell_through(LotAmounts(100, 60, 5, 1, 15, 2, 17))
    assert (found.of_picked_percent, found.of_gone_percent) == (60, 75)
    assert balance.measure_sell_through(LotAmounts(0)).of_gone_percent is None


@pytest.mark.parametrize(
    ("picked", "out", "tare", "past", "slip"),
    [
        (5_000_000, 3_200_000, 1_800_000, False, "tare"),
        (5_000_000, 6_750_000, 1_800_000, False, "tare_twice"),
        (2_204_600, 1_000_000, 500_000, False, "unit_lb_kg"),
        (1_000_000, 2_204_600, 500_000, False, "unit_lb_kg"),
        (16_000_000, 1_000_000, None, False, "unit_oz_lb"),
        (1_000_000, 1_000, None, False, "unit_thousand"),
        (1_000_000, 700_000, 50_000, True, "discard"),
        (1_000_000, 700_000, 50_000, False, None),
        (1_000_000, 990_000, 10_000, True, None),  # little enough to be drying out
        (1_000_000, 1_000_000, 10_000, True, None),
    ],
)
def test_the_likeliest_slip_is_named(picked, out, tare, past, slip) -> None:
    found = balance.balance_lot(LotAmounts(picked_mg=picked, sold_mg=out))
    assert balance.guess_slip(found, tare_mg=tare, is_past_shelf=past) == slip
