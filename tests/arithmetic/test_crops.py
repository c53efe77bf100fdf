import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.crops import (
    Crop,
    Duration,
    FlushCrop,
    find_clean_chance,
    find_flush_chance,
    pool_with_default,
    spread_days,
    spread_kg,
)
from farmdesk.errors import Refused

CROP = Crop(
    "Lion's mane",
    Duration(20, 3),
    0.9,
    (FlushCrop(0.46, 0.98, Duration(12, 2)), FlushCrop(0.2, 0.9, Duration(13, 3))),
)
DURATIONS = st.builds(Duration, st.floats(1, 40), st.floats(0.5, 6))


@given(duration=DURATIONS, elapsed=st.integers(0, 60))
def test_every_bag_ends_once(duration, elapsed):
    chances = spread_days(duration, 400, elapsed=elapsed)
    assert chances.min() >= 0
    assert chances.sum() == pytest.approx(1)


def test_time_gone_by_counts():
    # Mean of a normal cut off below (mean 20, spread 3, cut at 19.5, closed form):
    # 20 + 3 x 0.3934 / 0.5662 = 22.08.
    chances = spread_days(Duration(20, 3), 60, elapsed=20)
    assert 20 + float(chances @ np.arange(60)) == pytest.approx(22.08, abs=0.05)


def test_a_bag_long_clean_is_likely_to_stay_so():
    chances = [find_clean_chance(CROP, day) for day in range(18)]
    assert chances[0] == pytest.approx(0.9, abs=0.01)
    assert chances == sorted(chances)
    assert chances[-1] > 0.95


def test_a_clean_chance_is_never_impossible():
    assert find_clean_chance(CROP, 400) == 0.9


def test_all_kg_arrive_in_the_end():
    # 0.98 x (0.46 + 0.9 x 0.2) kg of an opened bag
    whole = spread_kg(CROP, "fruiting", flush=1, elapsed=0, days=300).sum()
    assert whole == pytest.approx(0.98 * (0.46 + 0.9 * 0.2))
    assert spread_kg(CROP, "resting", flush=2, elapsed=3, days=300).sum() == pytest.approx(
        0.18, rel=1e-3
    )


def test_a_bag_that_waits_in_vain_is_given_up_on():
    chances = [find_flush_chance(CROP.flushes[1], day) for day in range(40)]
    assert chances[0] == 0.9
    assert chances == sorted(chances, reverse=True)
    assert chances[13] == pytest.approx(0.45 / 0.55, abs=0.03)  # half of 90 %, against 10 %
    assert chances[-1] < 0.01


@pytest.mark.parametrize(
    ("stage", "flush", "code"),
    [("resting", 3, "crop_flush_out_of_range"), ("sold", 1, "stage_unknown")],
)
def test_what_cannot_be_forecast_is_refused(stage, flush, code):
    with pytest.raises(Refused) as caught:
        spread_kg(CROP, stage, flush=flush, elapsed=0, days=10)
    assert caught.value.problems[0].code == code


@pytest.mark.parametrize(
    ("batches", "mean", "source"),
    [([], 0.5, "default"), ([0.3] * 4, 0.4, "both"), ([0.3] * 12, 0.35, "farm")],
)
def test_the_farm_replaces_the_default_little_by_little(batches, mean, source):
    found = pool_with_default(batches, default_mean=0.5, default_cv=0.3)
    assert (found.mean, found.source, found.batches) == (pytest.approx(mean), source, len(batches))
