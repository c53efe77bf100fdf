"""A mix is planned, weighed with its water, heated bit by bit; vessels say how many loads."""

from __future__ import annotations

from decimal import Decimal

import pytest
from begun_farm import NOW, BegunFarm

from farmdesk.actions.heat_runs import Probe, note_heat, record_heat
from farmdesk.actions.inoculation import SpawnUse, inoculate
from farmdesk.actions.mixing import (
    drop_mix,
    plan_mix_run,
    retire_vessel,
    save_vessel,
    weigh_mix,
)
from farmdesk.domain.catalogue import Ingredient, Recipe
from farmdesk.domain.lab import HeatRun, ProbeReading, RunIngredient
from farmdesk.domain.mixing import MixingNote, Vessel
from farmdesk.errors import Asked, Refused

KG = 1_000_000


def plan(farm: BegunFarm, blocks: int = 40) -> HeatRun:
    recipe = farm.all(Recipe, name="Pellets and bran")[0]
    strain = farm.strain().id
    return farm.do(lambda act: plan_mix_run(act, recipe=recipe.id, blocks=blocks, strain=strain))


def wanted(farm: BegunFarm) -> dict[int, int]:
    """40 blocks of 2.5 kg at 62 %: 38 kg dry as 79 % pellets (8 % wet), 20 % bran (12 %), gypsum.

    By hand, wet-basis mass balance: 30.02 / 0.92, 7.6 / 0.88 and 0.38 kg as they are; what is
    missing to 100 kg is water (58.35 kg).
    """
    by_name = {one.name: one.id for one in farm.all(Ingredient)}
    return {
        by_name["Oak pellets"]: 32_630_435,
        by_name["Wheat bran"]: 8_636_364,
        by_name["Gypsum"]: 380_000,
    }


def test_a_plan_keeps_recipe_strain_and_blocks_and_nothing_weighed(farm: BegunFarm) -> None:
    run = plan(farm)
    note = farm.all(MixingNote, run=run.id)[0]
    assert (run.status, run.blocks, run.block_mg) == ("planned", 40, 2_500_000)
    assert (note.strain, note.water_mg) == (farm.strain().id, 0)
    assert farm.all(RunIngredient) == []


def test_weighing_works_the_water_out(farm: BegunFarm) -> None:
    run = plan(farm)
    kept = farm.do(lambda act: weigh_mix(act, run.id, weighed=wanted(farm)))
    assert kept.status == "mixed"
    assert farm.all(MixingNote)[0].water_mg == pytest.approx(58_353_201, abs=10)
    assert sum(one.amount_mg for one in farm.all(RunIngredient)) == sum(wanted(farm).values())


def test_weighing_again_stands_instead(farm: BegunFarm) -> None:
    run = plan(farm)
    amounts = wanted(farm)
    farm.do(lambda act: weigh_mix(act, run.id, weighed=amounts))
    pellets = next(iter(amounts))
    amounts[pellets] += 300_000
    farm.do(lambda act: weigh_mix(act, run.id, weighed=amounts, lots={pellets: "Lot 9"}))
    kept = {one.ingredient: one for one in farm.all(RunIngredient)}
    assert kept[pellets].amount_mg == amounts[pellets]
    assert kept[pellets].lot == "Lot 9"
    assert len(kept) == 3
    farm.undo()
    assert {one.amount_mg for one in farm.all(RunIngredient)} == set(wanted(farm).values())
    assert farm.differences() == []


def test_water_that_leaves_the_mix_two_points_off_is_asked_back(farm: BegunFarm) -> None:
    run = plan(farm)
    with pytest.raises(Asked) as told:
        farm.do(lambda act: weigh_mix(act, run.id, weighed=wanted(farm), water_mg=50 * KG))
    assert told.value.problems[0].code == "water_off"
    # 91.65 kg in all with 38 kg dry is 58.5 % wet.
    assert told.value.problems[0].facts["percent"] == "58.5"
    near = farm.do(lambda act: weigh_mix(act, run.id, weighed=wanted(farm), water_mg=58 * KG))
    assert near.status == "mixed"


def test_a_heated_mix_keeps_its_weights(farm: BegunFarm) -> None:
    run = plan(farm)
    farm.do(lambda act: weigh_mix(act, run.id, weighed=wanted(farm)))
    farm.do(lambda act: note_heat(act, run.id, started_at=NOW))
    with pytest.raises(Refused) as told:
        farm.do(lambda act: weigh_mix(act, run.id, weighed=wanted(farm)))
    assert told.value.problems[0].code == "run_heated_already"


def test_heat_is_noted_bit_by_bit_and_the_outcome_stays_open(farm: BegunFarm) -> None:
    run = plan(farm)
    farm.do(lambda act: weigh_mix(act, run.id, weighed=wanted(farm)))
    farm.do(lambda act: note_heat(act, run.id, started_at="2026-03-02T06:00:00Z"))
    farm.do(lambda act: note_heat(act, run.id, hot_at="2026-03-02T06:50:00Z"))
    probe = Probe("2026-03-02T07:00:00Z", Decimal(121), "middle")
    kept = farm.do(lambda act: note_heat(act, run.id, readings=[probe]))
    assert (kept.started_at, kept.hot_at, kept.ended_at, kept.status) == (
        "2026-03-02T06:00:00Z",
        "2026-03-02T06:50:00Z",
        None,
        "mixed",
    )
    assert [one.celsius for one in farm.all(ProbeReading, run=run.id)] == [Decimal(121)]
    with pytest.raises(Refused):
        farm.do(lambda act: note_heat(act, run.id, ended_at="2026-03-02T06:20:00Z"))


def test_a_planned_mix_is_neither_heated_nor_inoculated(farm: BegunFarm) -> None:
    run = plan(farm, 4)
    spawn = farm.spawn()[0]
    uses = [SpawnUse(spawn.id, 400_000)]
    for action in (
        lambda act: note_heat(act, run.id, started_at=NOW),
        lambda act: record_heat(act, run.id, status="passed"),
        lambda act: inoculate(act, strain=spawn.strain, spawn=uses, bags=4, run=run.id),
    ):
        with pytest.raises(Refused) as told:
            farm.do(action, confirmed=["run_passed_unread"])
        assert told.value.problems[0].code == "run_not_weighed"


def test_a_plan_can_be_dropped_and_a_weighed_mix_cannot(farm: BegunFarm) -> None:
    run = plan(farm)
    farm.do(lambda act: drop_mix(act, run.id))
    assert farm.all(HeatRun) == []
    assert farm.all(MixingNote) == []
    farm.undo()
    assert farm.differences() == []
    farm.do(lambda act: weigh_mix(act, run.id, weighed=wanted(farm)))
    with pytest.raises(Refused):
        farm.do(lambda act: drop_mix(act, run.id))


def test_vessels_are_kept_changed_and_retired(farm: BegunFarm) -> None:
    made = farm.do(lambda act: save_vessel(act, Vessel(0, "Drum", 48, Decimal("5.5"))))
    farm.do(lambda act: save_vessel(act, Vessel(made.id, "Drum", 60, Decimal(6), "Two tiers")))
    farm.do(lambda act: retire_vessel(act, made.id))
    kept = farm.all(Vessel)[0]
    assert (kept.blocks, kept.hours, kept.note, kept.retired) == (60, Decimal(6), "Two tiers", 1)
    assert farm.differences() == []


@pytest.mark.parametrize(
    ("vessel", "code"),
    [
        (Vessel(0, "Drum", 0), "vessel_blocks_wrong"),
        (Vessel(0, "Drum", 10, Decimal(0)), "vessel_hours_wrong"),
        (Vessel(0, "", 10), "field_empty"),
        (Vessel(0, " boiler ", 10), "name_taken"),
    ],
)
def test_a_vessel_that_cannot_be_is_refused(farm: BegunFarm, vessel: Vessel, code: str) -> None:
    farm.do(lambda act: save_vessel(act, Vessel(0, "Boiler", 24)))
    with pytest.raises(Refused) as told:
        farm.do(lambda act: save_vessel(act, vessel))
    assert told.value.problems[0].code == code
