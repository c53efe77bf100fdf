"""Readings packed day by day: nothing is lost, known seconds stay, differences are counted."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.packed_readings import (
    DAY_S,
    FIGURES,
    Readings,
    add_new,
    count_differing,
    join_readings,
    make_readings,
    no_readings,
    pack_day,
    unpack_day,
)

START = 1_793_404_800
_hundredths = st.integers(-4_000, 8_000).map(lambda one: one / 100)
_rows = st.lists(
    st.tuples(
        st.integers(START, START + DAY_S - 1),
        st.none() | _hundredths,
        st.none() | st.integers(1, 10_000).map(lambda one: one / 100),
        st.none() | st.integers(200, 60_000).map(float),
    ),
    max_size=60,
)


@given(_rows)
def test_packing_loses_nothing(rows) -> None:
    readings = make_readings(rows)
    back = unpack_day(pack_day(readings, START), START)
    assert list(back.seconds) == list(readings.seconds)
    for name in FIGURES:
        assert np.allclose(back.figure(name), readings.figure(name), atol=1e-9, equal_nan=True)


def test_of_one_second_the_first_counts_and_all_stand_in_order() -> None:
    readings = make_readings([(START + 9, 3.0, None, None), (START, 1.0, None, None),
                              (START, 2.0, None, None)])  # fmt: skip
    assert list(readings.seconds) == [START, START + 9]
    assert list(readings.celsius) == [1.0, 3.0]


@given(_rows, _rows)
def test_adding_twice_adds_nothing_more(first, second) -> None:
    known, more = make_readings(first), make_readings(second)
    whole, added = add_new(known, more)
    assert len(whole) == len(known) + added
    again, none = add_new(whole, more)
    assert none == 0
    assert list(again.seconds) == list(whole.seconds)
    assert count_differing(known, known) == 0


def test_a_missing_figure_differs_from_one_that_was_read() -> None:
    known = make_readings([(START, 16.0, None, 900.0), (START + 1, 16.0, 90.0, None)])
    more = make_readings([(START, 16.0, 90.0, 900.0), (START + 1, 16.001, 90.0, None)])
    assert count_differing(known, more) == 1


@pytest.mark.parametrize("text", ["", "2:abcd", "1:", "1:AAAA", "1:eJwDAAAAAAE="])
def test_damaged_text_is_no_day(text: str) -> None:
    with pytest.raises(ValueError, match=r"packed|padding|base64|Only"):
        unpack_day(text, START)


def test_a_day_of_five_minutes_stays_small() -> None:
    chance = np.random.default_rng(7)
    at = np.arange(288)
    noisy = Readings(
        START + 300 * at,
        np.round(16 + chance.normal(0, 0.1, 288), 2),
        np.round(90 + chance.normal(0, 0.8, 288), 1),
        np.round(900 + chance.normal(0, 25, 288)),
    )
    assert len(pack_day(noisy, START)) < 2_000


def test_joining_and_cutting() -> None:
    one, two = make_readings([(5, 1.0, None, None)]), make_readings([(3, 2.0, None, None)])
    whole = join_readings([one, no_readings(), two])
    assert list(whole.seconds) == [3, 5]
    assert len(whole.between(4, 6)) == 1
    assert len(join_readings([])) == 0
    assert math.isnan(float(whole.co2[0]))
