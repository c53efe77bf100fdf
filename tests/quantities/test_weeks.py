"""Weeks as typed and as values."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.errors import NotUnderstood
from farmdesk.quantities.weeks import IsoWeek, weeks_in_year

weeks = st.integers(2000, 2100).flatmap(
    lambda year: st.builds(IsoWeek, st.just(year), st.integers(1, weeks_in_year(year)))
)


@pytest.mark.parametrize("text", ["2026-W47", "2026W47", " 2026-w47 "])
def test_weeks_are_read(text: str) -> None:
    assert IsoWeek.parse(text) == IsoWeek(2026, 47)


@pytest.mark.parametrize("text", ["47", "W47", "w47"])
def test_a_lone_number_needs_a_year(text: str) -> None:
    assert IsoWeek.parse(text, year=2026) == IsoWeek(2026, 47)
    with pytest.raises(NotUnderstood, match="week_not_understood"):
        IsoWeek.parse(text)


@pytest.mark.parametrize("text", ["2025-W53", "2026-W54", "2026-W00"])
def test_weeks_that_the_year_has_not_are_refused(text: str) -> None:
    with pytest.raises(NotUnderstood, match="week_not_in_year"):
        IsoWeek.parse(text)


@pytest.mark.parametrize(
    "text", ["", "2026", "2026-47", "2026-W7", "next", "x" * 10_000, "0000-W01"]
)
def test_other_text_is_no_week(text: str) -> None:
    with pytest.raises(NotUnderstood, match="week_not_understood"):
        IsoWeek.parse(text)


@given(weeks)
def test_weeks_follow_each_other(week: IsoWeek) -> None:
    assert week.next().previous() == week
    assert week < week.next()
    assert week.weeks_until(week.plus(30)) == 30
    assert IsoWeek.parse(str(week)) == week
    assert {IsoWeek.of(day) for day in week.days} == {week}
    assert (week.monday, week.sunday) == (week.days[0], week.days[-1])
    assert len(week.days) == 7


def test_a_day_that_is_none_is_told() -> None:
    with pytest.raises(NotUnderstood, match="day_not_understood"):
        IsoWeek.of("2026-02-30")
