"""Demand, plan, fit and the week's to-do on a small real farm, recomputed by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import partial

import pytest

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm, save
from farmdesk.actions.demand import save_demand_event, save_standing_order
from farmdesk.actions.mixing import save_vessel
from farmdesk.actions.orders import take_order
from farmdesk.actions.plans import PlanWish, accept_plan, save_plan_setting, tick_off
from farmdesk.domain.bags import Batch
from farmdesk.domain.catalogue import Customer, Farm, Product, Room, Species, Strain
from farmdesk.domain.demand import DemandEvent, StandingOrder, occurs_on
from farmdesk.domain.mixing import Vessel
from farmdesk.domain.plans import PlanSetting
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.demand import demand_tables, read_demand
from farmdesk.reports.demand_lists import list_demand, standing_table
from farmdesk.reports.plan import plan_table, read_plan
from farmdesk.reports.plan_batches import (
    list_candidates,
    list_planned,
    planned_table,
    todo_this_week,
)
from farmdesk.reports.plan_fit import read_fit
from farmdesk.reports.plan_fit_tables import fit_tables, say_misfits
from farmdesk.reports.today import list_today
from farmdesk.store.farm_store import FarmStore

NOW, TODAY = "2026-11-25T12:00:00Z", "2026-11-25"
THIS_WEEK = "2026-W48"


@pytest.fixture
def farm(store: FarmStore):
    def make(act):
        begin_farm(act, name="Heron Lane", first_serial=5000)
        species = {one.code: one for one in act.tx.all(Species)}
        kilo = save(act, Product(0, "Oyster, loose", species["OY"].id, "kg"))
        punnet = save(act, Product(0, "Oyster punnet", species["OY"].id, "pack", 200_000))
        mixed = save(act, Product(0, "Mixed share", None, "pack", 400_000))
        inn = save(act, Customer(0, "Harbour Inn"))
        return species, {"kilo": kilo, "punnet": punnet, "mixed": mixed}, inn

    return store, *perform(store, make, now=NOW).result


def do(store: FarmStore, action, **more):
    return perform(store, action, now=NOW, **more).result


def standing(farm, product: str, quantity: str, unit: str = "kg", **more) -> StandingOrder:
    store, _, products, inn = farm
    wanted = StandingOrder(
        0, inn.id, products[product].id, Decimal(quantity), unit, 4, "2026-11-02"
    )
    return do(store, lambda act: save_standing_order(act, replace(wanted, **more)))


def test_standing_orders_count_in_their_weeks_alone() -> None:
    one = StandingOrder(
        1, 1, 1, Decimal(5), "kg", 4, "2026-11-19", "2026-12-20", 2, "2026-W49"
    )  # Thursdays every other week from 19 November (week 47) to 20 December.
    assert [occurs_on(one, f"2026-W{week}") for week in range(46, 53)] == [
        None, "2026-11-19", None, None, None, "2026-12-17", None,
    ]  # fmt: skip
    assert occurs_on(replace(one, retired=1), "2026-W47") is None


def test_demand_is_standing_orders_times_factors_with_orders_in_their_place(farm) -> None:
    store, species, products, inn = farm
    standing(farm, "kilo", "6")
    standing(farm, "punnet", "10", "pack")
    standing(farm, "mixed", "3", "pack")
    oyster = species["OY"].id
    for event in (
        DemandEvent(0, "Holiday", "2026-W50", species=oyster, factor=Decimal("0.5")),
        DemandEvent(0, "Fair", "2026-W51", "2026-W52", species=oyster, amount_mg=4_000_000),
    ):
        do(store, lambda act, event=event: save_demand_event(act, event))
    line = (products["kilo"].id, Decimal(9), "kg", Decimal(1))
    do(store, lambda act: take_order(act, customer=inn.id, due_on="2026-12-04", lines=[line]))
    with store.reading() as reading:
        found = read_demand(reading, now=NOW)
        weeks, parts = demand_tables(reading, now=NOW)
    by_week = {week: mg for (_, week), mg in found.by_week().items()}
    assert by_week["2026-W48"] == 8_000_000  # 6 kg and ten punnets of 200 g
    assert by_week["2026-W49"] == 11_000_000  # 9 kg ordered instead of 6
    assert by_week["2026-W50"] == 4_000_000
    assert by_week["2026-W51"] == by_week["2026-W52"] == 12_000_000
    assert found.unplanned == ("Mixed share",)
    assert sum(row[3] for row in weeks.rows) == sum(row[4] for row in parts.rows)
    assert "Mixed share" in weeks.notes[-1]


def test_lists_say_what_is_next(farm) -> None:
    store = farm[0]
    standing(farm, "kilo", "6", every_weeks=2, pauses="2026-W48")
    with store.reading() as reading:
        found = list_demand(reading, now=NOW)
        rows = list(standing_table(reading, now=NOW).rows)
    assert found.standing[0].amount == "6 kg"
    # Every other week from week 45: 47, 49.
    assert found.standing[0].next_on == "2026-12-03"
    assert rows[0][:4] == ("Harbour Inn", "Oyster, loose", "6 kg", "Thursday")


def test_without_demand_there_is_no_plan(farm) -> None:
    store = farm[0]
    with store.reading() as reading:
        table = plan_table(reading, now=NOW)
        rooms, heat, hours = fit_tables(reading, now=NOW)
    assert not list(table.rows)
    assert not table.notes
    assert all(row[4] == 0 for row in rooms.rows)
    assert "Figures of the plan" in heat.notes[0]
    assert not list(hours.rows)


def test_a_week_is_planned_back_to_the_plate_at_a_promise(farm) -> None:
    store = farm[0]
    standing(farm, "kilo", "12", runs_from="2027-02-18", runs_to="2027-02-18")
    with store.reading() as reading:
        found = read_plan(reading, now=NOW)
        even = read_plan(reading, now=NOW, promise_percent=50)
    (line,) = [one for one in found.lines if one.found.week == "2027-W07"]
    need, dates = line.found.need, line.found.dates
    crop = found.forecast.learnt["Oyster"].crop
    each = crop.clean_share * crop.flushes[0].share * crop.flushes[0].kg_per_bag * 0.95 * 0.92
    assert need.even_blocks == -(-12 // each)
    assert need.chance >= 0.9 > need.even_chance > 0.4
    assert need.blocks > need.even_blocks
    assert even.lines[0].found.need.blocks <= need.even_blocks + 1
    # Back from Monday 15 February: 10 days to pins and picks, 18 to grow in, then to a Monday.
    assert dates.pick_on == "2027-02-15"
    assert IsoWeek.of(dates.inoculate_on).monday == dates.inoculate_on
    assert dates.inoculate_on <= "2027-01-18" < dates.open_on
    assert line.blocks == need.blocks


def test_a_week_too_near_says_from_when(farm) -> None:
    store = farm[0]
    standing(farm, "kilo", "12", runs_to="2026-12-01")
    with store.reading() as reading:
        found = read_plan(reading, now=NOW)
        (row,) = plan_table(reading, now=NOW).rows
    (line,) = found.lines
    assert line.blocks == 0
    assert not line.found.in_time
    assert line.found.possible_week > THIS_WEEK
    assert line.found.possible_week in row[5]


def test_later_flushes_of_a_plan_serve_later_weeks(farm) -> None:
    store = farm[0]
    standing(farm, "kilo", "12", runs_from="2027-01-25")
    with store.reading() as reading:
        found = read_plan(reading, now=NOW)
    blocks = [one.blocks for one in found.lines if one.found.in_time]
    assert len(blocks) >= 4
    assert blocks[0] > 0
    # Two weeks on the second flush of the first blocks comes, so fewer are needed.
    assert min(blocks[1:]) < blocks[0]


def test_a_plan_that_does_not_fit_says_where_and_what_would(farm) -> None:
    store = farm[0]
    standing(farm, "kilo", "60", runs_from="2027-01-25")
    setting = PlanSetting(0, blocks_per_run=40, runs_per_day=2, hours_per_week=Decimal(10))
    do(store, lambda act: save_plan_setting(act, setting))

    def shrink(act) -> None:
        for room in act.tx.all(Room):
            if room.use == "incubation":
                save(act, replace(room, capacity=30))

    do(store, shrink)
    with store.reading() as reading:
        fit = read_fit(reading, now=NOW)
        tables = fit_tables(reading, now=NOW)
    told = " ".join(say_misfits(fit))
    incubation = [one for one in fit.rooms if one.room.use == "incubation"]
    assert any(not one.use.fits for one in incubation)
    assert "has 30 places" in told
    assert "80 blocks fit" in told
    assert "hours" in told
    assert max(day.loads for day in fit.heat) > 2
    assert tables[0].notes[0] == told
    # New blocks go where most places are left: no room is full while another has places.
    assert all(one.use.peak > 0 for one in incubation)


def test_vessels_say_how_many_blocks_a_run_heats(farm) -> None:
    store = farm[0]
    standing(farm, "kilo", "60", runs_from="2027-01-25")
    with store.reading() as reading:
        unknown = fit_tables(reading, now=NOW)[1]
    assert list(unknown.rows) == []
    assert "Enter the vessels" in unknown.notes[-1]
    for name, blocks, hours in (("Retort", 30, "4.5"), ("Barrel", 12, "14"), ("Old drum", 50, "9")):
        vessel = Vessel(0, name, blocks, Decimal(hours), retired=int(name == "Old drum"))
        do(store, partial(save_vessel, vessel=vessel))
    with store.reading() as reading:
        fit = read_fit(reading, now=NOW)
        table = fit_tables(reading, now=NOW)[1]
    assert fit.blocks_per_run == 42
    assert [one.loads for one in fit.heat] == [-(-one.blocks // 42) for one in fit.heat]
    assert max(one.loads for one in fit.heat) > 1
    assert "42 blocks fit. Heat the other" in " ".join(say_misfits(fit))
    assert "Retort (30), Barrel (12), at the same time, 14.0 h a run" in table.notes[-1]
    do(store, lambda act: save_plan_setting(act, PlanSetting(0, runs_per_day=2)))
    with store.reading() as reading:
        assert "do not fit into a day" in fit_tables(reading, now=NOW)[1].notes[-1]
    do(store, lambda act: save_plan_setting(act, PlanSetting(0, blocks_per_run=20)))
    with store.reading() as reading:
        assert read_fit(reading, now=NOW).blocks_per_run == 20


def plan_one(farm, **more):
    store, species, _, _ = farm
    wish = PlanWish(species["OY"].id, "2027-W01", 34, "2026-11-02", "2026-11-24", "2026-11-26",
                    "2026-12-15", "2027-01-04")  # fmt: skip
    return do(store, lambda act: accept_plan(act, [replace(wish, **more)]))[0]


def test_the_week_says_what_is_due(farm) -> None:
    store = farm[0]
    planned = plan_one(farm)
    with store.reading() as reading:
        todo = todo_this_week(reading, TODAY)
        earlier = todo_this_week(reading, "2026-11-20")
        later = todo_this_week(reading, "2026-12-10")
        rows = [row for row in list_today(reading, now=NOW) if row.section == "Plan"]
    assert [(one.due, one.planned) for one in todo] == [
        ("2026-11-24", planned.id), ("2026-11-26", planned.id),
    ]  # fmt: skip
    assert "34 labels" in todo[1].reason
    assert not earlier
    assert "overdue" in later[0].reason
    assert [row.name for row in rows] == [planned.name] * 2


def test_a_batch_of_the_week_is_suggested_and_ticked_off(farm) -> None:
    store, species, _, _ = farm
    planned = plan_one(farm)

    def make(act) -> int:
        strain = act.tx.all(Strain, species=species["OY"].id)[0].id
        batch = Batch(act.next_id("batch"), "OY01-0901", strain, None, "2026-11-23", 34)
        return act.make("batch_inoculated", batch).id

    batch = do(store, make)
    with store.reading() as reading:
        (row,) = list_planned(reading, now=NOW)
        todo = todo_this_week(reading, TODAY)
        offered = list_candidates(reading, planned.id)
    assert row.suggested is not None
    assert row.suggested.id == batch
    assert [one.id for one in offered] == [batch]
    assert "OY01-0901" in todo[0].reason
    do(store, partial(tick_off, planned=planned.id, batch=batch))
    with store.reading() as reading:
        (row,) = list_planned(reading, now=NOW)
        assert not todo_this_week(reading, TODAY)
        assert not list_candidates(reading, planned.id)
        (cells,) = planned_table(reading, now=NOW).rows
    assert "OY01-0901" in row.state
    assert row.made_as == "OY01-0901"
    assert cells[0] == planned.name


def test_planned_batches_count_in_the_plan(farm) -> None:
    store, _, _, _ = farm
    standing(farm, "kilo", "12", runs_from="2027-01-04", runs_to="2027-01-10")
    with store.reading() as reading:
        before = read_plan(reading, now=NOW).lines[0]
    plan_one(farm)
    with store.reading() as reading:
        plan = read_plan(reading, now=NOW)
    after = plan.lines[0]
    crop = plan.forecast.learnt["Oyster"].crop
    flush = crop.flushes[0]
    kg = 34 * crop.clean_share * flush.share * flush.kg_per_bag * 0.95 * 0.92
    assert after.planned_kg == pytest.approx(kg)
    assert after.found.expected_kg - before.found.expected_kg == pytest.approx(kg)
    assert isinstance(plan.terms.farm, Farm)
