"""Mixes and heat runs: planned from the recipe, recorded as they were."""

from __future__ import annotations

from decimal import Decimal

import pytest
from begun_farm import BegunFarm

from farmdesk.actions.catalogue import save, save_recipe
from farmdesk.actions.heat_runs import Probe, RunPlan, plan_run, record_heat, record_run
from farmdesk.domain.catalogue import Ingredient, Recipe, RecipePart
from farmdesk.domain.lab import HeatRun, ProbeReading, RunIngredient
from farmdesk.errors import Asked, FarmdeskError, Refused
from farmdesk.wording.sentences import SENTENCES, say_error

KG = 1_000_000


def recipe(farm: BegunFarm, name: str = "Pellets and bran") -> Recipe:
    return farm.all(Recipe, name=name)[0]


def plan(farm: BegunFarm, blocks: int, **fields: int) -> RunPlan:
    with farm.store.reading() as reading:
        return plan_run(reading, recipe(farm).id, blocks, **fields)


def codes(caught: pytest.ExceptionInfo[FarmdeskError]) -> list[str]:
    assert all(one.code in SENTENCES for one in caught.value.problems)
    return [one.code for one in caught.value.problems]


def test_a_plan_adds_up_to_its_blocks(farm: BegunFarm) -> None:
    found = plan(farm, 40, strain=farm.strain().id)
    assert found.total_mg == 40 * found.block_mg == 100 * KG
    assert sum(one.as_is_mg for one in found.ingredients) + found.water_mg == found.total_mg
    assert sum(one.dry_mg for one in found.ingredients) == found.dry_mg == 38 * KG
    # Mass balance by hand: 79 % of 38 kg dry as pellets at 8 % moisture is 32.630 kg as is.
    assert found.ingredients[0].as_is_mg == round(38 * KG * 0.79 / 0.92)
    # 5 % of the wet weight: common practice, no source.
    assert found.spawn.total_mg == 5 * KG
    assert found.water_litres == Decimal(found.water_mg) / KG


def test_a_run_is_recorded_as_planned(farm: BegunFarm) -> None:
    wanted = plan(farm, 40)
    run = farm.do(lambda act: record_run(act, recipe=recipe(farm).id, blocks=40))
    assert (run.name, run.status, run.run_on) == ("R-0001", "mixed", "2026-03-02")
    lines = farm.all(RunIngredient, run=run.id)
    assert [(one.ingredient, one.amount_mg) for one in lines] == [
        (one.ingredient, one.as_is_mg) for one in wanted.ingredients
    ]
    farm.undo()
    assert farm.all(HeatRun) == farm.all(RunIngredient) == []


def test_a_run_keeps_what_was_weighed_and_its_lots(farm: BegunFarm) -> None:
    parts = plan(farm, 40).ingredients
    weighed = {one.ingredient: one.as_is_mg + 1000 for one in parts}
    lots = {parts[0].ingredient: "=Lot 7"}
    run = farm.do(
        lambda act: record_run(
            act, recipe=recipe(farm).id, blocks=40, weighed=weighed, lots=lots, note="windy"
        )
    )
    lines = farm.all(RunIngredient, run=run.id)
    assert {one.ingredient: one.amount_mg for one in lines} == weighed
    assert [one.lot for one in lines] == ["=Lot 7", "", ""]


def test_a_mix_that_fills_fewer_blocks_is_asked_about(farm: BegunFarm) -> None:
    weighed = {one.ingredient: one.as_is_mg // 2 for one in plan(farm, 40).ingredients}

    def record(confirmed: list[str]) -> HeatRun:
        return farm.do(
            lambda act: record_run(act, recipe=recipe(farm).id, blocks=40, weighed=weighed),
            confirmed=confirmed,
        )

    with pytest.raises(Asked) as caught:
        record([])
    assert codes(caught) == ["mix_does_not_fit_blocks"]
    assert "20" in say_error(caught.value) or "19" in say_error(caught.value)
    assert record(codes(caught)).blocks == 40


def test_too_wet_a_mix_says_how_much_dry_stock_to_add(farm: BegunFarm) -> None:
    """10 kg at 70 % to 60 % with stock at 10 %: (0.4 x 10 - 3) / (0.9 - 0.4) = 2 kg."""
    wet = farm.do(lambda act: save(act, Ingredient(0, "Wet chips", Decimal(70))))
    dry = farm.do(lambda act: save(act, Ingredient(0, "Dry chips", Decimal(10))))
    mix = farm.do(
        lambda act: save_recipe(
            act,
            Recipe(0, "Chips", Decimal(60), 2 * KG, "Sterilise"),
            [RecipePart(0, 0, wet.id, Decimal(50)), RecipePart(0, 0, dry.id, Decimal(50))],
        )
    )
    weighed = {wet.id: 10 * KG, dry.id: 1}
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: record_run(act, recipe=mix.id, blocks=5, weighed=weighed))
    assert codes(caught) == ["mix_too_wet"]
    sentence = say_error(caught.value)
    assert "Dry chips" in sentence
    assert "2.00 kg" in sentence
    assert farm.all(HeatRun) == []


def test_a_recipe_wetter_than_its_target_is_refused_when_planned(farm: BegunFarm) -> None:
    wet = farm.do(lambda act: save(act, Ingredient(0, "Wet chips", Decimal(70))))
    mix = farm.do(
        lambda act: save_recipe(
            act,
            Recipe(0, "Chips", Decimal(60), 2 * KG, "Sterilise"),
            [RecipePart(0, 0, wet.id, Decimal(100))],
        )
    )
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: plan_run(act.tx, mix.id, 5))
    assert codes(caught) == ["substrate_too_wet"]


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"blocks": 0}, "blocks_out_of_range"),
        ({"blocks": 100_000}, "blocks_out_of_range"),
        ({"run_on": "2026-03-03"}, "day_in_future"),
        ({"weighed": {}}, "nothing_weighed"),
        ({"weighed": {1: -5}}, "weighed_amount_wrong"),
        ({"note": "\x07"}, "text_not_printable"),
    ],
)
def test_a_run_that_cannot_be_is_refused(
    farm: BegunFarm, fields: dict[str, object], code: str
) -> None:
    wanted: dict[str, object] = {"recipe": recipe(farm).id, "blocks": 40, **fields}
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: record_run(act, **wanted))  # type: ignore[arg-type]
    assert codes(caught) == [code]


def heat(farm: BegunFarm, run: HeatRun, confirmed: list[str], **fields: object) -> HeatRun:
    wanted: dict[str, object] = {
        "status": "passed",
        "started_at": "2026-03-02T05:00:00Z",
        "hot_at": "2026-03-02T05:40:00Z",
        "ended_at": "2026-03-02T08:00:00Z",
        "readings": [("2026-03-02T06:00:00Z", Decimal("121.0"), "middle")],
        **fields,
    }
    return farm.do(lambda act: record_heat(act, run.id, **wanted), confirmed=confirmed)  # type: ignore[arg-type]


def test_heat_is_recorded_with_its_readings(farm: BegunFarm) -> None:
    run = farm.do(lambda act: record_run(act, recipe=recipe(farm).id, blocks=40))
    kept = heat(farm, run, [], measured_percent=Decimal("61.3"))
    assert farm.get(HeatRun, run.id) == kept
    assert (kept.status, kept.measured_percent) == ("passed", Decimal("61.3"))
    again = heat(farm, kept, [], readings=[Probe("2026-03-02T07:00:00Z", Decimal(120))])
    assert again.measured_percent == Decimal("61.3")
    assert [one.celsius for one in farm.all(ProbeReading)] == [Decimal("121.0"), Decimal(120)]
    assert farm.differences() == []


def test_a_run_without_readings_passes_only_when_it_is_meant(farm: BegunFarm) -> None:
    run = farm.do(lambda act: record_run(act, recipe=recipe(farm).id, blocks=40))
    with pytest.raises(Asked) as caught:
        heat(farm, run, [], readings=[])
    assert codes(caught) == ["run_passed_unread"]
    assert heat(farm, run, codes(caught), readings=[]).status == "passed"
    assert heat(farm, run, [], readings=[], status="held").status == "held"


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"status": "sterile"}, "not_one_of"),
        ({"hot_at": "2026-03-02T04:00:00Z"}, "run_time_out_of_order"),
        ({"started_at": "2026-03-01T04:00:00Z"}, "run_time_out_of_order"),
        ({"ended_at": "2026-03-02T09:00:00Z"}, "run_time_in_future"),
        ({"readings": [Probe("2026-03-02T06:00:00Z", Decimal(900))]}, "probe_out_of_range"),
        ({"readings": [Probe("2026-03-02T06:00:00Z", Decimal("NaN"))]}, "probe_out_of_range"),
        ({"measured_percent": Decimal(100)}, "percent_out_of_range"),
    ],
)
def test_heat_that_cannot_be_is_refused(
    farm: BegunFarm, fields: dict[str, object], code: str
) -> None:
    run = farm.do(lambda act: record_run(act, recipe=recipe(farm).id, blocks=40))
    with pytest.raises(Refused) as caught:
        heat(farm, run, [], **fields)
    assert codes(caught) == [code]
    assert farm.get(HeatRun, run.id) == run
