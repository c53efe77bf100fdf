"""Standing orders, weeks that differ, planned batches and the plan's figures."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from begun_farm import BegunFarm

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import save
from farmdesk.actions.demand import (
    pause_standing_order,
    remove_demand_event,
    remove_standing_order,
    save_demand_event,
    save_standing_order,
    tidy_weeks,
)
from farmdesk.actions.plans import (
    PlanWish,
    accept_plan,
    change_planned,
    drop_planned,
    save_plan_setting,
    tick_off,
)
from farmdesk.actions.undo import undo_act
from farmdesk.domain.bags import Batch
from farmdesk.domain.catalogue import Customer, Product, Species, Strain
from farmdesk.domain.demand import DemandEvent, StandingOrder
from farmdesk.domain.plans import PlannedBatch, PlanSetting
from farmdesk.errors import Asked, NotUnderstood, Refused
from farmdesk.wording.sentences import say_error

WEEK = "2026-W52"


@pytest.fixture
def trade(farm: BegunFarm):
    def make(act):
        species = {one.code: one for one in act.tx.all(Species)}
        kilo = save(act, Product(0, "Oyster, loose", species["OY"].id, "kg"))
        pack = save(act, Product(0, "Mixed share", None, "pack", 400_000))
        inn = save(act, Customer(0, "Harbour Inn"))
        return species, kilo, pack, inn

    return perform(farm.store, make).result


def standing(trade, **more):
    _, kilo, _, inn = trade
    return replace(StandingOrder(0, inn.id, kilo.id, Decimal("4.5"), "kg", 4, "2026-11-02"), **more)


def do(farm: BegunFarm, action, **more):
    return perform(farm.store, action, **more).result


def codes(caught) -> dict[str, str]:
    return {one.facts.get("field"): one.code for one in caught.value.problems}


def test_a_standing_order_is_kept_changed_paused_and_removed(farm: BegunFarm, trade) -> None:
    kept = do(
        farm, lambda act: save_standing_order(act, standing(trade, pauses="2027W01, 2026-W52"))
    )
    assert kept.pauses == "2026-W52 2027-W01"
    more = replace(kept, quantity=Decimal(6))
    do(farm, lambda act: save_standing_order(act, more))
    do(farm, lambda act: pause_standing_order(act, kept.id, "2027-W05"))
    do(farm, lambda act: pause_standing_order(act, kept.id, "2026-W52", resume=True))
    with farm.store.reading() as reading:
        now = reading.get(StandingOrder, kept.id)
    assert (now.quantity, now.pauses) == (Decimal(6), "2027-W01 2027-W05")
    do(farm, lambda act: remove_standing_order(act, kept.id))
    with farm.store.reading() as reading:
        assert not reading.all(StandingOrder)


@pytest.mark.parametrize(
    ("wrong", "field", "code"),
    [
        ({"quantity": Decimal(0)}, "quantity", "quantity_wrong"),
        ({"unit": "pack", "quantity": Decimal(6)}, "quantity", "product_sold_by_weight"),
        ({"weekday": 8}, "weekday", "weekday_wrong"),
        ({"every_weeks": 0}, "every_weeks", "every_weeks_wrong"),
        ({"runs_from": ""}, "runs_from", "demand_day_missing"),
        ({"runs_to": "2026-01-01"}, "runs_to", "demand_ends_before"),
        ({"pauses": "next week"}, "pauses", "week_not_understood"),
    ],
)
def test_what_cannot_be_ordered_is_said_at_its_field(
    farm: BegunFarm, trade, wrong, field: str, code: str
) -> None:
    with pytest.raises(Refused) as caught:
        do(farm, lambda act: save_standing_order(act, standing(trade, **wrong)))
    assert codes(caught) == {field: code}
    assert "(" not in say_error(caught.value)


def test_weeks_are_put_in_order() -> None:
    assert tidy_weeks("2027-W01; 2026w52,2026-W52") == "2026-W52 2027-W01"
    with pytest.raises(NotUnderstood):
        tidy_weeks("52")


def test_weeks_that_differ_are_kept_and_removed(farm: BegunFarm, trade) -> None:
    species = trade[0]["OY"].id
    fair = DemandEvent(
        0, " Winter fair ", "2026W50", "", None, species, None, Decimal(1), 5_000_000
    )
    kept = do(farm, lambda act: save_demand_event(act, fair))
    assert (kept.name, kept.from_week, kept.to_week) == ("Winter fair", "2026-W50", "2026-W50")
    changed = do(farm, lambda act: save_demand_event(act, replace(kept, to_week="2026-W51")))
    assert changed.to_week == "2026-W51"
    do(farm, lambda act: remove_demand_event(act, kept.id))
    with farm.store.reading() as reading:
        assert not reading.all(DemandEvent)


def test_weeks_that_say_nothing_are_refused(farm: BegunFarm, trade) -> None:
    pack = trade[2].id
    for event, expected in (
        (DemandEvent(0, "", "2026-W50", factor=Decimal(2)), {"name": "field_empty"}),
        (DemandEvent(0, "A", "2026-W50"), {"amount_mg": "demand_changes_nothing"}),
        (
            DemandEvent(0, "A", "2026-W50", "2026-W40", factor=Decimal(2)),
            {"to_week": "demand_ends_before"},
        ),
        (DemandEvent(0, "A", "W99", factor=Decimal(2)), {"from_week": "week_not_understood"}),
        (DemandEvent(0, "A", "2026-W50", factor=Decimal(99)), {"factor": "demand_factor_wrong"}),
        (DemandEvent(0, "A", "2026-W50", amount_mg=5), {"species": "demand_species_missing"}),
        (
            DemandEvent(0, "A", "2026-W50", product=pack, amount_mg=5),
            {"product": "demand_without_species"},
        ),
    ):
        with pytest.raises(Refused) as caught:
            do(farm, lambda act, event=event: save_demand_event(act, event))
        assert codes(caught) == expected


def wish(trade, **more) -> PlanWish:
    one = PlanWish(trade[0]["OY"].id, WEEK, 34, "2026-10-20", "2026-10-30", "2026-11-16",
                   "2026-12-08", "2026-12-21")  # fmt: skip
    return replace(one, **more)


def test_an_accepted_plan_makes_batches_and_is_taken_back_whole(farm: BegunFarm, trade) -> None:
    done = perform(
        farm.store, lambda act: accept_plan(act, [wish(trade), wish(trade, week="2027-W01")])
    )
    assert [one.status for one in done.result] == ["planned", "planned"]
    assert done.result[0].name.startswith("B-OY-")
    perform(farm.store, lambda act: undo_act(act, done.act))
    with farm.store.reading() as reading:
        assert not reading.all(PlannedBatch)


def test_a_second_plan_for_a_week_is_asked_back(farm: BegunFarm, trade) -> None:
    do(farm, lambda act: accept_plan(act, [wish(trade)]))
    with pytest.raises(Asked) as caught:
        do(farm, lambda act: accept_plan(act, [wish(trade)]))
    assert "34 blocks" in say_error(caught.value)
    do(farm, lambda act: accept_plan(act, [wish(trade)]), confirmed={"planned_already"})
    with farm.store.reading() as reading:
        assert len(reading.all(PlannedBatch)) == 2


def test_wishes_that_cannot_be_are_refused(farm: BegunFarm, trade) -> None:
    with farm.store.reading() as reading:
        other = next(s.id for s in reading.all(Strain) if s.species != trade[0]["OY"].id)
    for wrong, code in (
        ({"blocks": 0}, "planned_blocks_wrong"),
        ({"strain": other}, "planned_strain_wrong"),
        ({"inoculate_on": ""}, "demand_day_missing"),
        ({"open_on": "2026-01-01"}, "planned_days_wrong"),
    ):
        with pytest.raises(Refused) as caught:
            do(farm, lambda act, wrong=wrong: accept_plan(act, [wish(trade, **wrong)]))
        assert caught.value.problems[0].code == code
    with pytest.raises(Refused):
        do(farm, lambda act: accept_plan(act, []))


def test_a_planned_batch_is_changed_ticked_off_once_or_dropped(farm: BegunFarm, trade) -> None:
    one, two = do(farm, lambda act: accept_plan(act, [wish(trade), wish(trade, week="2027-W01")]))
    changed = do(
        farm,
        lambda act: change_planned(act, one.id, blocks=40, inoculate_on="2026-11-17",
                                   open_on="2026-12-09", note=" more "),
    )  # fmt: skip
    assert (changed.blocks, changed.inoculate_on, changed.note) == (40, "2026-11-17", "more")

    def make(act, code: str, name: str) -> int:
        strain = act.tx.all(Strain, species=trade[0][code].id)[0].id
        batch = Batch(act.next_id("batch"), name, strain, None, "2026-11-17", 40)
        return act.make("batch_inoculated", batch).id

    oyster = do(farm, lambda act: make(act, "OY", "OY01-0901"))
    shiitake = do(farm, lambda act: make(act, "SH", "SH01-0901"))
    with pytest.raises(Refused, match="planned_of_other_species"):
        do(farm, lambda act: tick_off(act, one.id, shiitake))
    made = do(farm, lambda act: tick_off(act, one.id, oyster))
    assert (made.status, made.batch) == ("made", oyster)
    with pytest.raises(Refused, match="batch_planned_twice"):
        do(farm, lambda act: tick_off(act, two.id, oyster))
    assert do(farm, lambda act: drop_planned(act, [two.id]))[0].status == "dropped"
    with pytest.raises(Refused, match="planned_closed"):
        do(farm, lambda act: tick_off(act, two.id))


def test_the_plans_figures_are_kept_once(farm: BegunFarm) -> None:
    do(farm, lambda act: save_plan_setting(act, PlanSetting(0, promise_percent=80)))
    do(farm, lambda act: save_plan_setting(act, PlanSetting(0, blocks_per_run=120)))
    with farm.store.reading() as reading:
        assert reading.all(PlanSetting) == [PlanSetting(1, blocks_per_run=120)]
    with pytest.raises(Refused) as caught:
        do(farm, lambda act: save_plan_setting(act, PlanSetting(0, promise_percent=100)))
    assert codes(caught) == {"promise_percent": "plan_figure_wrong"}
