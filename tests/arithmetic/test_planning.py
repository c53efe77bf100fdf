from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.planning import (
    BlockYield,
    Demand,
    LeadDays,
    find_blocks,
    find_dates,
    find_exact_chance,
    find_first_pick,
    find_spawn,
    plan_weeks,
)
from farmdesk.errors import Refused
from farmdesk.quantities.times import day_plus

LIONS = BlockYield(share=0.94, kg=0.45, packout=0.92)
LEAD = LeadDays(plate=10, spawn=16, incubate=21, open_to_pick=12)


@given(start=st.integers(0, 400), weekday=st.integers(1, 7))
def test_inoculation_only_moves_earlier(start, weekday):
    pick_on = day_plus("2026-01-01", start)
    plain, snapped = (find_dates(pick_on, LEAD, weekday=one) for one in (None, weekday))
    assert date.fromisoformat(snapped.inoculate_on).isoweekday() == weekday
    assert day_plus(plain.inoculate_on, -6) <= snapped.inoculate_on <= plain.inoculate_on
    assert snapped.open_on == plain.open_on
    assert snapped.spawn_on <= plain.spawn_on


@given(start=st.integers(0, 400), weekday=st.integers(1, 7))
def test_the_first_pick_possible_is_possible(start, weekday):
    today = day_plus("2026-01-01", start)
    first = find_first_pick(today, LEAD, weekday=weekday)
    assert find_dates(first, LEAD, weekday=weekday).spawn_on >= today
    assert find_first_pick(today, LEAD, weekday=weekday, spawn_ready=True) < first


@given(kg=st.floats(0.5, 60), promise=st.floats(0.5, 0.98))
def test_the_least_number_that_keeps_the_promise(kg, promise):
    found = find_blocks(kg, LIONS, promise=promise)
    assert found.chance >= promise
    assert find_exact_chance(found.blocks - 1, kg, LIONS) < promise


def test_unlike_batches_need_more_blocks():
    unlike = replace(LIONS, batch_cv=0.15)
    assert find_blocks(12, unlike).blocks > find_blocks(12, LIONS).blocks + 3


def test_a_promise_that_no_number_keeps_is_refused():
    with pytest.raises(Refused) as caught:
        find_blocks(12, replace(LIONS, batch_cv=0.9))
    assert caught.value.problems[0].code == "no_blocks_reach_the_promise"


def test_nothing_wanted_needs_nothing():
    assert find_blocks(0, LIONS).blocks == 0


def plan(demands, **more):
    return plan_weeks(
        demands,
        yields={"Lion's mane": LIONS},
        leads={"Lion's mane": LEAD},
        today="2026-01-10",
        weekday=3,
        **more,
    )


def test_standing_bags_are_taken_off_first():
    wanted = [Demand("Lion's mane", "2026-W11", 9), Demand("Lion's mane", "2026-W11", 3)]
    (found,) = plan(wanted, expected_kg={("Lion's mane", "2026-W11"): 2.0})
    assert (found.wanted_kg, found.need.kg, found.in_time) == (12, 10, True)
    assert found.dates.inoculate_on == "2026-02-04"  # a Wednesday as it is
    (covered,) = plan(wanted, expected_kg={("Lion's mane", "2026-W11"): 13.0})
    assert (covered.need, covered.dates, covered.in_time) == (None, None, True)


def test_what_comes_too_late_says_from_when():
    # Spawn from 10 January is ready on the 26th; Wednesday the 28th + 33 days = 2 March, a Monday.
    late, kept = plan(
        [Demand("Lion's mane", week, 5) for week in ("2026-W09", "2026-W10")], expected_kg={}
    )
    assert (late.in_time, late.possible_week) == (False, "2026-W10")
    assert kept.in_time
    (sooner,) = plan(
        [Demand("Lion's mane", "2026-W09", 5)],
        expected_kg={},
        spawn_ready=frozenset({"Lion's mane"}),
    )
    assert sooner.in_time


@pytest.mark.parametrize(
    ("code", "ask"),
    [
        ("weekday_wrong", lambda: find_dates("2026-03-09", LEAD, weekday=8)),
        ("share_out_of_range", lambda: find_blocks(12, LIONS, promise=1)),
        ("share_out_of_range", lambda: find_blocks(12, replace(LIONS, share=0))),
        ("amount_not_positive", lambda: find_blocks(12, replace(LIONS, kg=0))),
        ("species_without_crop", lambda: plan([Demand("Reishi", "2026-W09", 1)], expected_kg={})),
        (
            "amount_negative",
            lambda: find_spawn(
                -1, per_block_mg=1, reserve_percent=Decimal(0), expansion=Decimal(10)
            ),
        ),
    ],
)
def test_what_cannot_be_planned_is_refused(code, ask):
    with pytest.raises(Refused) as caught:
        ask()
    assert caught.value.problems[0].code == code
