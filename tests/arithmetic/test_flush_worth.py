"""Properties of the grower's sums, and the worth of a flush by hand."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.rates import estimate_rate, estimate_rates
from farmdesk.arithmetic.survival import (
    LookedAt,
    find_band,
    measure_tally,
    measure_time,
    tally_looks,
)
from farmdesk.arithmetic.yields import FlushStay, make_blocks, measure_yields, rate_flushes
from farmdesk.errors import Refused

LOOKS = st.builds(
    lambda first, more, outcome: LookedAt(first, first + more, outcome),
    st.integers(0, 30),
    st.integers(0, 6),
    st.sampled_from(["colonised", "contaminated", "running"]),
)


def test_flushes_by_hand() -> None:
    # Computed by hand: 15.12 kg from 28 blocks in 2.5 weeks and 2.52 kg in 1.5 weeks.
    first = FlushStay(1, Decimal(15_120_000) / 28, Decimal("17.5"))
    third = FlushStay(3, Decimal(2_520_000) / 28, Decimal("10.5"))
    worth = rate_flushes([first, third])
    assert [round(one.alone_mg) for one in worth] == [216_000, 60_000]
    assert round(worth[1].so_far_mg) == 157_500  # 17.64 kg / 28 / 4 weeks
    assert {round(one.fresh_mg) for one in worth} == {216_000}
    assert [one.is_worth_waiting for one in worth] == [True, False]


def test_a_flush_without_days_is_refused() -> None:
    with pytest.raises(Refused):
        rate_flushes([FlushStay(1, Decimal(1), Decimal(0))])


@given(counts=st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=1, max_size=8))
def test_many_rates_are_as_one(counts: list[tuple[int, int]]) -> None:
    # scipy's Wilson interval, one at a time, is the outside reference.
    bad = [min(pair) for pair in counts]
    made = [max(pair) for pair in counts]
    for found, count, of in zip(estimate_rates(bad, made), bad, made, strict=True):
        one = estimate_rate(count, of)
        assert (found.count, found.of) == (count, of)
        assert (found.low, found.high) == pytest.approx((one.low, one.high), abs=1e-9)
        assert found.share == (None if of == 0 else pytest.approx(one.share))


def test_none_seen_in_twenty() -> None:
    # Newcombe, Statistics in Medicine 1998 17:857: 0 of 20 gives 0 to 0.1611.
    assert estimate_rates([0], [20])[0].high == pytest.approx(0.1611, abs=5e-5)


@given(made=st.integers(1, 500), data=st.data())
def test_a_clean_bag_never_raises_contamination(made: int, data: st.DataObject) -> None:
    bad = data.draw(st.integers(0, made))
    before, after = estimate_rates([bad, bad], [made, made + 1])
    assert after.share is not None
    assert before.share is not None
    assert after.share <= before.share
    assert after.low <= before.low + 1e-12
    assert after.high <= before.high + 1e-12


@given(bags=st.lists(LOOKS, min_size=1, max_size=40))
def test_curves_climb_and_shares_sum_to_one(bags: list[LookedAt]) -> None:
    found = measure_time(bags)
    for curve in (found.early, found.late):
        ready = [step.share_colonised for step in curve.steps]
        assert ready == sorted(ready)
        for step in curve.steps:
            whole = step.share_colonised + step.share_contaminated + step.share_running
            assert whole == pytest.approx(1)
        assert all(0 <= one.low <= one.share <= one.high <= 1 for one in find_band(curve))


@given(first=st.lists(LOOKS, max_size=20), second=st.lists(LOOKS, min_size=1, max_size=20))
def test_tallies_can_be_added_and_taken_apart(
    first: list[LookedAt], second: list[LookedAt]
) -> None:
    both = tally_looks([*first, *second])
    assert measure_tally(both) == measure_time([*second, *first])
    assert measure_tally(both - tally_looks(first)) == measure_time(second)


@given(picked=st.dictionaries(st.integers(1, 5), st.integers(1, 10**7), min_size=1))
def test_shares_of_flushes_sum_to_a_hundred(picked: dict[int, int]) -> None:
    found = measure_yields(picked, make_blocks(made=30, opened=28, dry_per_block_mg=10**6))
    assert sum(one.share_percent for one in found.flushes) == pytest.approx(100)
