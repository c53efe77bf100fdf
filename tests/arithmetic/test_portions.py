from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.portions import split_evenly, split_exactly
from farmdesk.errors import Refused

WEIGHTS = st.lists(st.integers(0, 10**9), min_size=1, max_size=40)


@given(total=st.integers(0, 10**12), weights=WEIGHTS)
def test_portions_add_up_to_the_amount(total, weights):
    assert sum(split_exactly(total, weights)) == total


@given(total=st.integers(0, 10**12), weights=WEIGHTS.filter(any))
def test_each_portion_is_within_one_of_its_exact_share(total, weights):
    divisor = sum(weights)
    for portion, weight in zip(split_exactly(total, weights), weights, strict=True):
        assert abs(portion * divisor - total * weight) < divisor


@given(total=st.integers(0, 10**12), count=st.integers(1, 60))
def test_even_portions_differ_by_one_at_most(total, count):
    portions = split_evenly(total, count)
    assert sum(portions) == total
    assert max(portions) - min(portions) <= 1
    assert list(portions) == sorted(portions, reverse=True)


def test_the_largest_remainder_gets_what_is_left():
    assert split_exactly(10, [1, 1, 1]) == (4, 3, 3)
    assert split_exactly(100, [Decimal("33.3"), Decimal("33.3"), Decimal("33.4")]) == (33, 33, 34)
    assert split_exactly(7, [0, 0, 1]) == (0, 0, 7)


def test_all_weights_zero_is_an_even_split():
    assert split_exactly(5, [0, 0]) == (3, 2)


@pytest.mark.parametrize(
    ("total", "weights", "code"),
    [
        (5, [], "nothing_to_split_over"),
        (-1, [1], "amount_negative"),
        (5, [2, -1], "amount_negative"),
    ],
)
def test_what_cannot_be_split_is_refused(total, weights, code):
    with pytest.raises(Refused) as caught:
        split_exactly(total, weights)
    assert [one.code for one in caught.value.problems] == [code]
