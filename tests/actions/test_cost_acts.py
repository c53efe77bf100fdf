"""Goods, work and overhead noted: what cannot be is refused with a sentence at its field."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from begun_farm import NOW, BegunFarm

from farmdesk.actions.base import perform
from farmdesk.actions.costs import (
    begin_labour,
    end_labour,
    keep_cost_setting,
    keep_overhead,
    keep_supply,
    note_labour,
    receive_goods,
    remove_costs,
)
from farmdesk.domain.catalogue import Ingredient
from farmdesk.domain.costs import CostSetting, Labour, Overhead, Purchase, Supply
from farmdesk.errors import Asked, Refused

DAY = "2026-03-02"


def oak(farm: BegunFarm) -> int:
    return farm.all(Ingredient)[0].id


def bought(of: int | None, **fields: object) -> Purchase:
    usual = {"amount_mg": 1_000_000, "price": Decimal(5), "received_on": DAY}
    return Purchase(0, of, **{**usual, **fields})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"price": Decimal(-1)}, "price_negative"),
        ({"price": Decimal(10**10)}, "price_too_high"),
        ({"amount_mg": 0}, "purchase_amount_missing"),
        ({"received_on": "2026-03-03"}, "received_in_future"),
    ],
)
def test_a_purchase_that_cannot_be(farm: BegunFarm, fields, code) -> None:
    with pytest.raises(Refused) as refused:
        farm.do(lambda act: receive_goods(act, bought(oak(farm), **fields)))
    assert [one.code for one in refused.value.problems] == [code]


def test_nothing_and_two_things_at_once_are_refused(farm: BegunFarm) -> None:
    supply = farm.do(lambda act: keep_supply(act, Supply(0, "Bag")))
    for wanted, code in (
        (bought(None), "purchase_of_nothing"),
        (bought(oak(farm), supply=supply.id), "purchase_of_two"),
        (bought(None, supply=supply.id, pieces=0), "purchase_amount_missing"),
    ):
        with pytest.raises(Refused) as refused:
            farm.do(lambda act, wanted=wanted: receive_goods(act, wanted))
        assert refused.value.problems[0].code == code


def test_a_lot_out_of_date_is_asked_about(farm: BegunFarm) -> None:
    wanted = bought(oak(farm), use_by="2026-02-01")
    with pytest.raises(Asked):
        farm.do(lambda act: receive_goods(act, wanted))
    kept = farm.do(lambda act: receive_goods(act, wanted), confirmed=["lot_expired_on_arrival"])
    assert kept.use_by == "2026-02-01"


def test_goods_are_corrected_taken_away_and_brought_back(farm: BegunFarm) -> None:
    kept = farm.do(lambda act: receive_goods(act, bought(oak(farm), lot=" A7 ")))
    assert kept.lot == "A7"
    dearer = replace(kept, price=Decimal(6))
    farm.do(lambda act: receive_goods(act, dearer))
    assert farm.get(Purchase, kept.id).price == Decimal(6)
    perform(farm.store, lambda act: remove_costs(act, "purchase", [kept.id]), now=NOW)
    assert farm.all(Purchase) == []
    farm.undo()
    assert farm.get(Purchase, kept.id).price == Decimal(6)
    assert farm.differences() == []


@pytest.mark.parametrize(
    ("labour", "code"),
    [
        (Labour(0, None, None, "picking", DAY, 0), "minutes_out_of_range"),
        (Labour(0, None, None, "picking", DAY, 961), "minutes_out_of_range"),
        (Labour(0, None, None, "dreaming", DAY, 60), "task_unknown"),
        (Labour(0, None, None, "picking", "2026-03-03", 60), "labour_in_future"),
    ],
)
def test_work_that_cannot_be(farm: BegunFarm, labour: Labour, code: str) -> None:
    with pytest.raises(Refused) as refused:
        farm.do(lambda act: note_labour(act, labour))
    assert [one.code for one in refused.value.problems] == [code]


def test_a_forgotten_clock_is_asked_about(farm: BegunFarm) -> None:
    begun = farm.do(lambda act: begin_labour(act, task="picking"))
    late = "2026-03-03T08:00:00Z"
    with pytest.raises(Asked):
        farm.do(lambda act: end_labour(act, begun.id), now=late)
    ended = farm.do(lambda act: end_labour(act, begun.id), now=late, confirmed=["labour_very_long"])
    assert ended.minutes == 24 * 60
    with pytest.raises(Refused) as refused:
        farm.do(lambda act: end_labour(act, begun.id), now=late)
    assert refused.value.problems[0].code == "labour_ended_already"


def test_settings_and_overhead_that_cannot_be(farm: BegunFarm) -> None:
    for setting, code in (
        (CostSetting(0, "lifo"), "cost_method_unknown"),
        (CostSetting(0, wage_per_hour=Decimal(-1)), "wage_negative"),
        (CostSetting(0, normal_loss_percent=Decimal(100)), "loss_out_of_range"),
    ):
        with pytest.raises(Refused) as refused:
            farm.do(lambda act, setting=setting: keep_cost_setting(act, setting))
        assert refused.value.problems[0].code == code
    with pytest.raises(Refused) as refused:
        farm.do(lambda act: keep_overhead(act, Overhead(0, "Rent", Decimal(5), DAY, "2026-03-01")))
    assert refused.value.problems[0].code == "overhead_days_wrong"
    first = farm.do(lambda act: keep_cost_setting(act, CostSetting(0, "fifo")))
    again = farm.do(lambda act: keep_cost_setting(act, CostSetting(0, "average")))
    assert (first.id, again.id, len(farm.all(CostSetting))) == (1, 1, 1)
