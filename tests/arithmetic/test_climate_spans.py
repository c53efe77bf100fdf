"""Spans, gaps, stuck sensors, hours outside and warm spells, counted by hand."""

from __future__ import annotations

import numpy as np
import pytest

from farmdesk.arithmetic.climate_spans import (
    HOUR_S,
    MOST_SPANS,
    HoursOutside,
    Limits,
    choose_step,
    count_outside,
    find_gaps,
    find_spells,
    find_stuck,
    sum_spans,
)
from farmdesk.arithmetic.packed_readings import DAY_S

NAN = float("nan")


def seconds(*values: int) -> np.ndarray:
    return np.array(values, dtype=np.int64)


@pytest.mark.parametrize(
    ("days", "step"), [(0.5, 300), (1, 900), (7, HOUR_S), (30, 6 * HOUR_S), (365, 2 * DAY_S)]
)
def test_spans_are_as_short_as_a_chart_can_show(days: float, step: int) -> None:
    assert choose_step(0, int(days * DAY_S)) == step


def test_even_a_century_has_a_step() -> None:
    assert choose_step(0, 36_500 * DAY_S) == 28 * DAY_S
    assert 3_653 * DAY_S / choose_step(0, 3_653 * DAY_S) <= MOST_SPANS


def test_means_and_bounds_by_span() -> None:
    values = np.array([1.0, 3.0, NAN, 8.0, 100.0])
    found = sum_spans(seconds(0, 10, 20, 35, 999), values, start=0, step=30, spans=3)
    assert list(found.mean[:2]) == [2.0, 8.0]
    assert (found.low[0], found.high[0]) == (1.0, 3.0)
    assert np.isnan(found.mean[2])
    assert list(found.count) == [2, 1, 0]


def test_a_gap_is_three_steps_and_half_an_hour() -> None:
    every_minute = [60 * at for at in range(100)]
    times = seconds(*every_minute, 100 * 60 + 1_700, 100 * 60 + 1_760, 100 * 60 + 1_760 + 1_801)
    found = find_gaps(times, start=0, end=DAY_S)
    assert [(one.start, one.end) for one in found] == [(7_760, 9_561)]
    # At an hour's step three hours and a little are a gap, three are none.
    hourly = seconds(*(HOUR_S * at for at in range(10)), 12 * HOUR_S, 16 * HOUR_S)
    assert [one.hours for one in find_gaps(hourly, start=0, end=DAY_S)] == [4.0]
    assert find_gaps(seconds(0, 99_999), start=0, end=DAY_S * 9) == []


def test_a_sensor_is_stuck_after_so_long_in_six_readings() -> None:
    times = seconds(*(HOUR_S * at for at in range(20)))
    values = np.array([5.0] * 13 + [5.1] + [NAN] + [6.0] * 5)
    found = find_stuck(times, values, least_s=12 * HOUR_S)
    assert [(one.start, one.hours, one.value) for one in found] == [(0, 12.0, 5.0)]
    assert find_stuck(times, values, least_s=13 * HOUR_S) == []
    # Two readings a week apart say nothing of what was between them.
    assert find_stuck(seconds(0, 7 * DAY_S), np.array([4.0, 4.0]), least_s=HOUR_S) == []


def test_hours_without_readings_are_unknown_never_good() -> None:
    hours = np.array([10.0, 16.0, 20.0, NAN, NAN, 30.0])
    found = count_outside(hours, Limits(12, 20))
    assert found == HoursOutside(below=1, above=1, measured=4, unknown=2)
    wanted = np.array([False, True, True, True, False, False])
    assert count_outside(hours, Limits(12, 19), wanted) == HoursOutside(0, 1, 2, 1)
    assert count_outside(hours, Limits()).outside == 0


def test_a_warm_spell_is_a_run_of_hours() -> None:
    hours = np.array([3.0, 6.0, 7.5, NAN, 6.0, 3.0, 9.0])
    found = find_spells(hours, 5.0, start=HOUR_S)
    assert [(one.start // HOUR_S, one.hours, one.value) for one in found] == [
        (2, 2.0, 7.5), (5, 1.0, 6.0), (7, 1.0, 9.0),
    ]  # fmt: skip
    assert [one.value for one in find_spells(hours, 5.0, start=0, least_hours=2)] == [7.5]
