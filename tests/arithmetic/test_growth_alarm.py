import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.growth_alarm import ColonySize, judge_growth, measure_growth
from farmdesk.errors import Refused


def test_slower_than_the_strain_used_to_be():
    found = judge_growth(6.6, [7.9, 8.0, 8.2])  # worked example: 6.6 against 8.0 mm/day
    assert (found.baseline, found.cultures) == (8.0, 3)
    assert found.change_percent == pytest.approx(-17.5)
    assert found.alarm


@pytest.mark.parametrize(("rate", "alarm"), [(6.79, True), (6.8, True), (6.81, False), (9, False)])
def test_the_alarm_begins_at_fifteen_percent(rate, alarm):
    assert judge_growth(rate, [8.0]).alarm is alarm


def test_without_a_past_there_is_no_judgement():
    assert judge_growth(6.6, []) is None


def test_a_baseline_of_nothing_is_refused():
    with pytest.raises(Refused):
        judge_growth(6.6, [0.0])


@given(rate=st.floats(0.1, 20), start=st.floats(0, 10))
def test_steady_growth_is_found_again(rate, start):
    sizes = [ColonySize(day, start + rate * day) for day in (2, 4, 7, 9)]
    assert measure_growth(sizes).mm_per_day == pytest.approx(rate)


def test_one_day_is_too_few():
    with pytest.raises(Refused) as caught:
        measure_growth([ColonySize(3, 10), ColonySize(3, 11)])
    assert caught.value.problems[0].code == "growth_points_too_few"
