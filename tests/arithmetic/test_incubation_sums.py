import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.incubation import BagRun, estimate_incidence, expect_ready
from farmdesk.errors import Refused

RUNS = st.lists(
    st.builds(
        BagRun, st.integers(0, 60), st.sampled_from(["colonised", "contaminated", "running"])
    ),
    max_size=60,
)


@given(bags=RUNS)
def test_shares_add_up_and_never_fall(bags):
    before = 0.0, 0.0
    for step in estimate_incidence(bags).steps:
        shares = step.share_colonised, step.share_contaminated
        assert sum(shares) + step.share_running == pytest.approx(1)
        assert shares >= before
        before = shares


@given(bags=RUNS)
def test_the_median_is_the_first_day_with_half_colonised(bags):
    found = estimate_incidence(bags)
    reached = [step.day for step in found.steps if step.share_colonised >= 0.5 - 1e-9]
    assert found.median_day == (reached[0] if reached else None)


@given(bags=RUNS.filter(lambda bags: all(bag.outcome != "running" for bag in bags)))
def test_without_running_bags_shares_are_plain_counts(bags):
    found = estimate_incidence(bags)
    if bags:
        colonised = sum(bag.outcome == "colonised" for bag in bags)
        assert found.steps[-1].share_colonised == pytest.approx(colonised / len(bags))


def test_bags_that_only_run_give_no_step():
    found = estimate_incidence([BagRun(5, "running")] * 3)
    assert found.steps == ()
    assert found.median_day is None


def test_a_day_before_inoculation_is_refused():
    with pytest.raises(Refused):
        estimate_incidence([BagRun(-1, "colonised")])


def test_the_ready_window_tells_early_from_overdue():
    window = expect_ready("2026-02-20", low_days=12, high_days=21)
    assert (window.from_day, window.to_day) == ("2026-03-04", "2026-03-13")
    assert window.place("2026-03-03") == "before"
    assert window.place("2026-03-04") == "within"
    assert window.place("2026-03-13") == "within"
    assert window.place("2026-03-14") == "overdue"


@pytest.mark.parametrize("days", [(21, 12), (-1, 5)])
def test_days_in_the_wrong_order_are_refused(days):
    with pytest.raises(Refused):
        expect_ready("2026-02-20", low_days=days[0], high_days=days[1])
