from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.costs import (
    Issued,
    Received,
    cost_first_in_first_out,
    cost_moving_average,
)
from farmdesk.errors import Refused

WAYS = pytest.mark.parametrize("cost", [cost_first_in_first_out, cost_moving_average])


@st.composite
def moves(draw):
    on_hand, made = 0, []
    for _ in range(draw(st.integers(1, 12))):
        if on_hand and draw(st.booleans()):
            amount = draw(st.integers(1, on_hand))
            made.append(Issued(amount))
            on_hand -= amount
        else:
            amount = draw(st.integers(1, 500))
            made.append(Received(amount, draw(st.decimals(0, 999, places=2))))
            on_hand += amount
    return made


@WAYS
@given(moves=moves(), currency=st.sampled_from(["USD", "KWD"]))
def test_what_went_out_and_what_is_left_cost_what_was_paid(cost, moves, currency):
    costing = cost(moves, currency=currency)
    paid = sum(move.cost for move in moves if isinstance(move, Received))
    assert costing.issued_cost + costing.left_cost == paid
    assert costing.left_cost >= 0
    assert all(one >= 0 for one in costing.issues)
    came = sum(move.amount for move in moves if isinstance(move, Received))
    went = sum(move.amount for move in moves if isinstance(move, Issued))
    assert costing.left == came - went


@WAYS
def test_an_empty_stock_costs_nothing(cost):
    costing = cost([Received(3, Decimal(10)), Issued(1), Issued(2)], currency="USD")
    assert costing.issues == (Decimal("3.33"), Decimal("6.67"))
    assert (costing.left, costing.left_cost) == (0, 0)


@WAYS
def test_more_than_on_hand_is_refused(cost):
    with pytest.raises(Refused) as caught:
        cost([Received(3, Decimal(10)), Issued(4)], currency="USD")
    assert caught.value.problems[0].facts == {"amount": 4, "on_hand": 3}


@WAYS
@pytest.mark.parametrize("move", [Received(0, Decimal(1)), Received(1, Decimal(-1)), Issued(-1)])
def test_moves_of_nothing_are_refused(cost, move):
    with pytest.raises(Refused):
        cost([Received(3, Decimal(10)), move], currency="USD")
