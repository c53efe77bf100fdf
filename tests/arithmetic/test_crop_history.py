"""What a farm's batches say of a species, drawn towards the default."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.crop_history import (
    BatchPast,
    FlushPast,
    count_crops,
    default_crop,
    learn_crop,
)
from farmdesk.arithmetic.crops import Duration, spread_flushes, spread_kg

DEFAULT = default_crop(
    "Oyster",
    incubation=(12, 21),
    first_wait=(7, 12),
    rest=(7, 14),
    efficiency_percent=(50, 100),
    shares=(60, 30, 10),
)


def past(batch: int, *, days: float = 20.0, kg: float = 0.4, flushes: int = 1, over: bool = True):
    given_flushes = tuple(FlushPast(n, 0.9, kg / n, Duration(10, 1)) for n in range(1, flushes + 1))
    return BatchPast(
        "Oyster", batch, Duration(days, 1.5), 0.95, Duration(1, 0.5), given_flushes, is_over=over
    )


def test_the_default_gives_the_catalogues_efficiency() -> None:
    # 75 % biological efficiency, the middle of the range: 0.75 kg from 1 kg dry, all flushes.
    reached, whole = 1.0, 0.0
    for one in DEFAULT.flushes:
        reached *= one.share
        whole += reached * one.kg_per_bag
    assert whole == pytest.approx(0.75)
    assert DEFAULT.incubation.mean == 16.5
    # Eight of ten lie in the range: 2.563 standard deviations of a normal distribution.
    assert DEFAULT.growing.sd == pytest.approx(9 / 2.563, rel=0.01)


def test_without_batches_the_default_stays() -> None:
    found = learn_crop(DEFAULT, [])
    assert found.crop.source == "default"
    assert found.crop.incubation == DEFAULT.incubation
    assert found.crop.flushes[0].kg_per_bag == DEFAULT.flushes[0].kg_per_bag
    assert found.crop.batch_days == pytest.approx(DEFAULT.batch_days)
    assert {one.pooled.batches for one in found.figures} == {0}


def test_four_batches_count_as_much_as_the_default() -> None:
    found = learn_crop(DEFAULT, [past(n) for n in range(4)])
    assert found.crop.incubation.mean == pytest.approx((20 + 16.5) / 2)
    assert found.crop.source == "both"
    assert learn_crop(DEFAULT, [past(n) for n in range(8)]).crop.source == "farm"


def test_other_species_do_not_count() -> None:
    other = BatchPast("Shiitake", 1, Duration(70, 2), 0.5)
    assert learn_crop(DEFAULT, [other]).crop == learn_crop(DEFAULT, []).crop


def test_a_flush_that_never_came_is_not_forecast() -> None:
    found = learn_crop(DEFAULT, [past(n) for n in range(20)])
    assert found.crop.flushes[1].share < 0.3 * DEFAULT.flushes[1].share
    # Of batches that are not over nobody knows yet whether it comes.
    open_ones = learn_crop(DEFAULT, [past(n, over=False) for n in range(20)])
    assert open_ones.crop.flushes[1].share == DEFAULT.flushes[1].share


def test_batches_that_differ_widen_the_band() -> None:
    even = learn_crop(DEFAULT, [past(n) for n in range(12)]).crop
    uneven = learn_crop(DEFAULT, [past(n, days=14 + n, kg=0.1 + 0.05 * n) for n in range(12)]).crop
    assert uneven.batch_days > even.batch_days
    assert uneven.flushes[0].batch_cv > even.flushes[0].batch_cv
    assert even.unknown < DEFAULT.unknown


@given(
    st.sampled_from(["incubating", "colonised", "fruiting", "resting"]),
    st.integers(1, 3),
    st.integers(0, 120),
)
def test_flushes_add_up_to_the_kg(stage: str, flush: int, elapsed: int) -> None:
    parts = spread_flushes(DEFAULT, stage, flush=flush, elapsed=elapsed, days=300)
    whole = spread_kg(DEFAULT, stage, flush=flush, elapsed=elapsed, days=300)
    summed = sum(DEFAULT.flushes[one.flush - 1].kg_per_bag * one.chance * one.days for one in parts)
    assert np.allclose(whole, summed)
    for one in parts:
        assert 0 <= one.chance <= 1
        assert 0 <= one.own <= 1
        assert one.days.sum() <= 1 + 1e-9


def test_crops_come_by_name() -> None:
    learnt = {"Oyster": learn_crop(DEFAULT, [])}
    assert count_crops(learnt)["Oyster"].species == "Oyster"
