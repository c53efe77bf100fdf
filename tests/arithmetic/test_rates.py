import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.rates import Rate, estimate_rate, find_upper_limit
from farmdesk.errors import Refused

COUNTS = st.integers(1, 400).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of)))


@given(counts=COUNTS)
def test_the_interval_holds_the_share(counts):
    rate = estimate_rate(*counts)
    assert 0 <= rate.low <= rate.share + 1e-9
    assert rate.share - 1e-9 <= rate.high <= 1


@given(counts=COUNTS)
def test_more_confidence_asks_a_wider_interval(counts):
    assert estimate_rate(*counts, confidence=0.99).high >= estimate_rate(*counts).high - 1e-12
    assert find_upper_limit(*counts, confidence=0.99) >= find_upper_limit(*counts) - 1e-12


def test_nothing_counted_says_nothing():
    assert estimate_rate(0, 0) == Rate(0, 0, None, 0.0, 1.0, 0.95)
    assert find_upper_limit(0, 0) == 1


@pytest.mark.parametrize(("count", "of"), [(-1, 5), (6, 5), (1, 0)])
def test_a_count_that_cannot_be_is_refused(count, of):
    with pytest.raises(Refused) as caught:
        estimate_rate(count, of)
    assert caught.value.problems[0].code == "count_out_of_range"


def test_a_confidence_is_a_share():
    with pytest.raises(Refused):
        find_upper_limit(1, 5, confidence=95)
