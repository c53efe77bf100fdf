from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.occupancy import (
    Stay,
    Task,
    find_average,
    measure_heat,
    measure_room,
    measure_work,
)
from farmdesk.errors import Refused
from farmdesk.quantities.times import day_plus


def weekly(blocks, days):
    starts = [day_plus("2026-01-05", 7 * week) for week in range(20)]
    return [Stay(start, day_plus(start, days), blocks) for start in starts]


# Worked example: thirty blocks a week for 24 days; Little 1961 gives the average.
def test_the_average_fits_where_the_peak_does_not():
    found = measure_room(weekly(30, 24), from_day="2026-03-02", days=28, capacity=110)
    assert round(found.average, 1) == 102.9
    assert round(find_average(30, stay_days=24), 1) == 102.9
    assert (found.peak, found.fits, found.spare) == (120, False, 0)
    assert len(found.full_days) == 12  # three days of seven
    assert {one.over for one in found.full_days} == {10}


def test_whole_weeks_of_stay_have_no_peak():
    found = measure_room(weekly(30, 21), from_day="2026-03-02", days=28, capacity=110)
    assert (found.peak, found.average, found.spare) == (90, find_average(30, stay_days=21), 20)


STAYS = st.lists(
    st.builds(
        lambda start, days, places: Stay(
            day_plus("2026-01-01", start), day_plus("2026-01-01", start + days), places
        ),
        st.integers(0, 40),
        st.integers(0, 40),
        st.integers(0, 50),
    )
)


@given(stays=STAYS)
def test_every_place_day_is_counted_once(stays):
    found = measure_room(stays, from_day="2026-01-01", days=20, capacity=50)
    for place, one in enumerate(found.days):
        day = day_plus("2026-01-01", place)
        assert one.taken == sum(s.places for s in stays if s.from_day <= day < s.to_day)


def test_a_load_begun_counts_whole():
    wanted = [("2026-01-06", 40), ("2026-01-05", 24), ("2026-01-06", 9)]
    one, two = measure_heat(wanted, blocks_per_load=24, loads_per_day=2)
    assert (one.day, one.loads, one.over) == ("2026-01-05", 1, 0)
    assert (two.blocks, two.loads, two.over) == (49, 3, 1)


def test_hours_against_hands():
    tasks = [Task("2026-01-05", "mix", 40, Decimal(5)), Task("2026-01-05", "pick", 10, Decimal(14))]
    (found,) = measure_work(tasks, hours_per_day=Decimal(5))
    assert (found.hours, found.over) == (Decimal("5.67"), Decimal("0.67"))


def test_a_stay_backwards_is_refused():
    with pytest.raises(Refused) as caught:
        measure_room([Stay("2026-01-05", "2026-01-04", 1)], from_day="2026-01-01", days=3)
    assert caught.value.problems[0].code == "stay_ends_before_it_begins"
