import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from farmdesk.arithmetic.incubation import BagRun, estimate_incidence
from farmdesk.arithmetic.survival import LookedAt, find_band, find_day, measure_time
from farmdesk.errors import Refused

BAGS = st.lists(
    st.builds(
        lambda first, wait, outcome: LookedAt(first, first + wait, outcome),
        st.integers(0, 30),
        st.integers(0, 7),
        st.sampled_from(["colonised", "contaminated", "running"]),
    ),
    min_size=1,
    max_size=40,
)


def test_the_truth_lies_between_the_looks():
    bags = [LookedAt(12, 16, "colonised")] * 6 + [LookedAt(16, 16, "running")] * 4
    found = measure_time(bags)
    assert (found.median, found.nine_tenths) == ((13, 16), (None, None))
    assert (found.bags, found.running) == (10, 4)
    # The four still running were seen on day 16, so all ten were at risk at either end.
    assert found.early.steps[0].share_colonised == found.late.steps[0].share_colonised == 0.6


@given(bags=BAGS)
def test_curves_climb_and_shares_add_up(bags):
    found = measure_time(bags)
    for curve in (found.early, found.late):
        shares = [step.share_colonised for step in curve.steps]
        assert shares == sorted(shares)
        for step in curve.steps:
            total = step.share_colonised + step.share_contaminated + step.share_running
            assert total == pytest.approx(1)
        for step in find_band(curve):
            assert 0 <= step.low <= step.share <= step.high <= 1


@given(of=st.integers(2, 60), data=st.data())
def test_without_bags_running_the_error_is_that_of_a_share(of, data):
    colonised = data.draw(st.integers(1, of))
    bags = [BagRun(9, "contaminated")] * (of - colonised) + [BagRun(14, "colonised")] * colonised
    band = find_band(estimate_incidence(bags))
    assert band[-1].error == pytest.approx(binom.std(of, colonised / of) / of, abs=1e-9)


def test_a_share_never_reached_has_no_day():
    assert find_day(estimate_incidence([BagRun(9, "running")]), 0.1) is None


def test_looks_out_of_order_are_refused():
    with pytest.raises(Refused) as caught:
        measure_time([LookedAt(9, 8, "colonised")])
    assert caught.value.problems[0].code == "looks_out_of_order"
