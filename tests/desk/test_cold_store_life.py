"""The tab of shelf life: dates brought forward after a warm night, the rule of the sell-by day."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from farm_window import FarmWindow
from working_farm import days_ago, fill_farm

from farmdesk.actions.climate import import_readings
from farmdesk.actions.picks import record_pick
from farmdesk.actions.undo import undo_last
from farmdesk.arithmetic.packed_readings import make_readings
from farmdesk.desk.pages.cold_store import ColdStorePage
from farmdesk.desk.pages.cold_store_life import LifeList
from farmdesk.domain.harvest import Pick


@pytest.fixture
def life(farm_window: FarmWindow) -> LifeList:
    """A pick of two days ago that lay at 15 C for a day and a half of them."""
    farm = fill_farm(farm_window.act)
    farm_window.act(
        lambda act: record_pick(act, bags=[farm.bags[0][0].id], gross_mg=1_500_000),
        happened_at=days_ago(2),
    )
    room = next(one.id for one in farm_window.all("room") if one.use == "cold store")
    now = int(datetime.now(UTC).timestamp())
    rows = [(now - 3_600 * hour, 15.0 if hour > 10 else 3.0, None, None) for hour in range(1, 47)]
    readings = make_readings(rows)
    farm_window.act(lambda act: import_readings(act, room=room, logger="Shelf", readings=readings))
    page = farm_window.show("cold_store")
    assert isinstance(page, ColdStorePage)
    page.tabs.setCurrentWidget(page.life)
    farm_window.settle()
    return page.life


def pick_of(shown: FarmWindow) -> Pick:
    (found,) = shown.all("pick")
    assert isinstance(found, Pick)
    return found


def test_a_date_that_comes_too_late_is_brought_forward(
    farm_window: FarmWindow, life: LifeList
) -> None:
    before = pick_of(farm_window)
    assert before.name in life.sentence.text()
    assert "too late" in life.sentence.text()
    life.bring_forward()
    question = farm_window.dialog()
    assert before.name in question.sentence.text()
    question.accept()
    farm_window.settle()
    after = pick_of(farm_window)
    assert before.shelf_on is not None
    assert after.shelf_on is not None
    assert after.shelf_on < before.shelf_on
    assert "Every printed date holds." in life.sentence.text()
    assert not life.forward.isEnabled()
    farm_window.act(undo_last)
    assert pick_of(farm_window).shelf_on == before.shelf_on


def test_no_leaves_the_dates(farm_window: FarmWindow, life: LifeList) -> None:
    before = pick_of(farm_window)
    life.bring_forward()
    farm_window.dialog().reject()
    farm_window.settle()
    assert pick_of(farm_window) == before


def test_warm_hours_and_touched_lots_are_listed(farm_window: FarmWindow, life: LifeList) -> None:
    for at, first in ((1, pick_of(farm_window).name), (2, "Cold store")):
        life.tables.setCurrentIndex(at)
        life.tables.activated.emit(at)
        assert life.table is not None
        assert next(iter(life.table.rows))[0] == first
    life.print()
    farm_window.dialog().reject()


def test_the_rule_is_chosen(farm_window: FarmWindow, life: LifeList) -> None:
    life.choose_rule()
    dialog = farm_window.dialog()
    dialog.form.fields["rule"].set_value("of_total")
    dialog.try_save()
    farm_window.settle()
    assert [one.rule for one in farm_window.all("shelf_setting")] == ["of_total"]
    assert "the whole life" in life.about.text()


def test_an_empty_store_says_nothing_is_wrong(farm_window: FarmWindow) -> None:
    page = farm_window.show("cold_store")
    page.tabs.setCurrentWidget(page.life)
    farm_window.settle()
    assert page.life.sentence.text() == "Every printed date holds."
    page.life.bring_forward()
    assert not farm_window.has_dialog()
