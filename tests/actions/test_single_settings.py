"""Settings of which a farm has one: made once, then changed, and taken back; the check is clean."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from farmdesk.actions.climate import RULES, set_shelf_rule
from farmdesk.actions.costs import keep_cost_setting
from farmdesk.actions.plans import save_plan_setting
from farmdesk.actions.undo import undo_last
from farmdesk.domain.climate import ShelfSetting
from farmdesk.domain.costs import CostSetting
from farmdesk.domain.plans import PlanSetting

KEEP = [
    (CostSetting, lambda act: keep_cost_setting(act, CostSetting(0, wage_per_hour=Decimal(7)))),
    (PlanSetting, lambda act: save_plan_setting(act, PlanSetting(0, blocks_per_run=9))),
    (ShelfSetting, lambda act: set_shelf_rule(act, RULES[0])),
]


@pytest.mark.parametrize(("cls", "keep"), KEEP, ids=lambda one: getattr(one, "__name__", ""))
def test_there_is_one_row_whatever_is_taken_back_between(harvest, cls, keep) -> None:
    first = harvest.do(keep)
    assert replace(harvest.do(keep), id=0) == replace(first, id=0)
    harvest.clean()
    harvest.do(undo_last)
    harvest.clean()
    harvest.do(keep)
    harvest.clean()
    with harvest.store.reading() as reading:
        assert len(reading.all(cls)) == 1
