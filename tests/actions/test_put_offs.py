"""Lines of the day's work put off and brought back: as acts, with their limits."""

from __future__ import annotations

import pytest
from harvest_farm import NOW, TODAY, HarvestFarm

from farmdesk.actions.base import Who, perform
from farmdesk.actions.changes import changes_since
from farmdesk.actions.put_offs import WorkLine, bring_back, put_off
from farmdesk.actions.undo import redo_last, undo_last
from farmdesk.domain.put_off import MOST_DAYS, ONE_DAY, PutOff
from farmdesk.errors import NotFound
from farmdesk.quantities.times import day_plus
from farmdesk.reports.check import check_farm
from farmdesk.reports.day_book import day_book
from farmdesk.reports.today_rows import SECTIONS

WALK = WorkLine("Look at", "5000000101", "OY01-0001", "2026-02-20", 0)
LATE = WorkLine("Late", "O-0001", "O-0001", "2026-03-01")
SELL = WorkLine("Sell first", "7000000101", "P-OY-0001", "2026-03-03")
TOMORROW = day_plus(TODAY, 1)
FRIDAY = day_plus(TODAY, 4)


def _kept(harvest: HarvestFarm) -> list[PutOff]:
    with harvest.store.reading() as reading:
        return reading.all(PutOff)


def _told(harvest: HarvestFarm) -> list[str]:
    with harvest.store.reading() as reading:
        return [line.sentence for line in day_book(reading, limit=10).lines]


def test_a_line_is_put_off_undone_and_done_again(harvest: HarvestFarm) -> None:
    (made,) = harvest.do(lambda act: put_off(act, [WALK], FRIDAY))
    assert (made.section, made.subject, made.until_on) == ("Look at", "5000000101", FRIDAY)
    assert made.id == 1, "a small counter of its own"
    harvest.do(undo_last)
    assert _kept(harvest) == []
    harvest.do(redo_last)
    assert _kept(harvest) == [made]
    told = _told(harvest)
    assert told[0] == "Done again: Look at: OY01-0001 put off until Mar 6, 2026"
    assert told[1].startswith("Taken back: Look at: OY01-0001 put off")
    harvest.clean()


def test_put_off_again_it_is_the_same_line_with_another_day(harvest: HarvestFarm) -> None:
    (first,) = harvest.do(lambda act: put_off(act, [WALK], FRIDAY))
    (again,) = harvest.do(lambda act: put_off(act, [WALK], TOMORROW))
    assert again.id == first.id
    assert _kept(harvest) == [again]
    assert _told(harvest)[0] == "OY01-0001 put off until Mar 3, 2026"
    harvest.do(undo_last)
    assert _kept(harvest) == [first]


def test_several_lines_are_one_act_and_are_brought_back_in_one(harvest: HarvestFarm) -> None:
    made = harvest.do(lambda act: put_off(act, [WALK, LATE, SELL], TOMORROW))
    assert _told(harvest)[0] == "3 lines of today put off"
    harvest.done(lambda act: bring_back(act, [one.id for one in made[:2]]))
    assert _kept(harvest) == [made[2]]
    harvest.done(lambda act: bring_back(act, [made[2].id]))
    assert _told(harvest)[0] == "Sell first: P-OY-0001 back on today's list"
    harvest.do(undo_last)
    assert _kept(harvest) == [made[2]]
    harvest.clean()


def test_what_is_late_or_near_its_end_waits_until_tomorrow_at_most(harvest: HarvestFarm) -> None:
    wanted = harvest.refusal(lambda act: put_off(act, [WALK, LATE, SELL], FRIDAY))
    assert wanted == ["put_off_late_order", "put_off_last_days"]
    assert _kept(harvest) == [], "all of them or none"
    assert len(harvest.do(lambda act: put_off(act, [LATE, SELL], TOMORROW))) == 2


@pytest.mark.parametrize(
    ("day", "code"),
    [
        ("", "put_off_not_later"),
        (TODAY, "put_off_not_later"),
        (day_plus(TODAY, -1), "put_off_not_later"),
        (day_plus(TODAY, MOST_DAYS + 1), "put_off_too_far"),
    ],
)
def test_a_day_that_cannot_be_is_refused(harvest: HarvestFarm, day: str, code: str) -> None:
    assert harvest.refusal(lambda act: put_off(act, [WALK], day)) == [code]


def test_nothing_chosen_is_refused(harvest: HarvestFarm) -> None:
    assert harvest.refusal(lambda act: put_off(act, [], TOMORROW)) == ["put_off_nothing"]
    assert harvest.refusal(lambda act: bring_back(act, [])) == ["put_off_not_chosen"]
    with pytest.raises(NotFound):
        harvest.do(lambda act: bring_back(act, [99]))


def test_a_quarter_of_a_year_is_the_longest(harvest: HarvestFarm) -> None:
    last = day_plus(TODAY, MOST_DAYS)
    assert harvest.do(lambda act: put_off(act, [WALK], last))[0].until_on == last


def test_other_stations_see_it_and_the_day_book_folds(harvest: HarvestFarm) -> None:
    with harvest.store.reading() as reading:
        before = reading.last_number()
    perform(
        harvest.store, lambda act: put_off(act, [WALK, LATE], TOMORROW), now=NOW, who=Who("bench")
    )
    changes = changes_since(harvest.store, before)
    assert changes is not None
    assert changes.kinds == {"put_off"}
    harvest.do(lambda act: put_off(act, [WALK], FRIDAY))
    harvest.done(lambda act: bring_back(act, [2]))
    verdict = check_farm(harvest.store)
    assert verdict.is_clean, verdict.differences


def test_the_sections_with_a_limit_are_sections_of_today() -> None:
    assert set(SECTIONS) >= ONE_DAY
