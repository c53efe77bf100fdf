"""Sums beside the mixer against hand-worked mass balances, in the units the person uses.

Wet basis: moisture is water over the whole weight (ASABE S358 defines it so for forages; the
balance itself is conservation of mass). 1 US gal is 3.785411784 L and 1 lb 0.45359237 kg (NIST
Handbook 44, appendix C).
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from databases import fresh_farm

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.actions.mixing import save_vessel
from farmdesk.arithmetic.heat_loads import count_loads
from farmdesk.domain.catalogue import Recipe, Species, Strain
from farmdesk.domain.lab import Spawn
from farmdesk.domain.mixing import Vessel
from farmdesk.errors import Refused
from farmdesk.paper.document_pages import lay_out_document
from farmdesk.paper.documents import write_document
from farmdesk.paper.pages import TextRun, extent_of
from farmdesk.reports.mix_sheet import MixPlan, mix_sheet, read_mix, tell_supplements, tell_water
from farmdesk.reports.mix_sums import (
    tell_blocks_from,
    tell_dry_down,
    tell_plan,
    tell_weighed,
    tell_wet_mix,
)
from farmdesk.reports.spawn_sums import BlockTerms, sum_spawn, tell_spawn
from farmdesk.wording.formats import Formats

KG = 1_000_000
KILOS = Formats(locale="en_GB", mass_unit="kg")
POUNDS = Formats(locale="en_US", mass_unit="lb")


@pytest.fixture
def farm(tmp_path: Path):
    with fresh_farm("sqlite", tmp_path) as store:
        perform(store, lambda act: begin_farm(act, name="Heron Lane", first_serial=5000))
        yield store


@pytest.fixture
def plan(farm) -> MixPlan:
    with farm.reading() as reading:
        recipe = reading.first(Recipe, name="Pellets and bran")
        return read_mix(reading, recipe.id, 40)


def test_supplements_are_said_of_the_total_and_of_the_base(plan: MixPlan) -> None:
    # 20 % of all dry matter beside 79 % base is 20 / 79 = 25.3 % of the base.
    told = tell_supplements(plan, KILOS)
    assert told[0].startswith("Wheat bran: 20.0% of all dry matter")
    assert "25.3% of the Oak pellets alone" in told[0]


def test_water_is_said_by_weight_and_by_jug(plan: MixPlan) -> None:
    assert tell_water(10 * KG, KILOS) == "10.00 kg (10.0 L)"
    # 10 kg is 22.05 lb; 10 L is 2.64 US gal.
    assert tell_water(10 * KG, POUNDS) == "22.05 lb (2.6 US gal)"
    assert "Total: 100.00 kg for 40 blocks of 2.50 kg, 62.0% moisture" in tell_plan(plan, KILOS)


def test_water_for_what_was_weighed(plan: MixPlan) -> None:
    pellets = plan.lines[0].ingredient
    # 10 kg of pellets at 8 % hold 9.2 kg dry; at 62 % that is 9.2 / 0.38 = 24.21 kg in all.
    told = tell_weighed(plan, {pellets: 10 * KG}, KILOS)
    assert "Add 14.21 kg (14.2 L) of water" in told
    assert "then 24.21 kg and fills 9 blocks" in told
    assert "first ingredient" in tell_weighed(plan, {}, KILOS)


def test_weights_that_are_too_wet_say_how_much_dry_stock_mends_them(plan: MixPlan) -> None:
    wet = replace(plan.lines[0], moisture_percent=Decimal(75))
    soaked = replace(plan, lines=(wet, *plan.lines[1:]))
    # 20 kg at 75 % hold 5 kg dry; y of gypsum (0 %) with (5 + y) / (20 + y) = 0.38 is 4.19 kg.
    told = tell_weighed(soaked, {wet.ingredient: 20 * KG}, KILOS)
    assert "4.19 kg of Gypsum brings it to 62.0%" in told


def test_a_ready_mix_is_told_what_it_lacks(plan: MixPlan) -> None:
    pellets = plan.lines[0]
    # 50 kg at 70 % hold 15 kg dry: (15 + 0.92 y) / (50 + y) = 0.38 gives y = 7.41 kg.
    assert "7.41 kg of Oak pellets" in tell_wet_mix(50 * KG, Decimal(70), plan, pellets, KILOS)
    # 50 kg at 55 % hold 22.5 kg dry: 22.5 / 0.38 - 50 = 9.21 kg of water.
    assert "add 9.21 kg (9.2 L)" in tell_wet_mix(50 * KG, Decimal(55), plan, pellets, KILOS)
    assert "at its target" in tell_wet_mix(50 * KG, Decimal(62), plan, pellets, KILOS)
    wet = replace(pellets, moisture_percent=Decimal(65))
    assert "⚠" in tell_wet_mix(50 * KG, Decimal(70), plan, wet, KILOS)


def test_dry_down_gives_moisture_on_both_bases() -> None:
    moisture, told = tell_dry_down(250_000, 95_000, KILOS)
    assert moisture == 62
    assert "62.0% of the wet weight (163% on dry basis)" in told
    assert tell_dry_down(95_000, 250_000, KILOS)[0] is None


def test_blocks_from_stock_come_back_to_the_stock(plan: MixPlan) -> None:
    # One block needs 0.95 kg x 79 % / 0.92 = 0.8158 kg of pellets: 20 kg give 24 and 0.42 kg.
    told = tell_blocks_from(plan, plan.lines[0], 20 * KG, KILOS)
    assert "enough for 24 blocks" in told
    assert "0.422 kg is left" in told


@pytest.mark.parametrize(
    ("blocks", "loads", "last", "hours"),
    [(96, 2, 48, 11), (97, 3, 1, Decimal("16.5")), (1, 1, 1, Decimal("5.5")), (0, 0, 0, 0)],
)
def test_loads_of_a_vessel(blocks: int, loads: int, last: int, hours: Decimal) -> None:
    found = count_loads(blocks, blocks_per_load=48, hours_per_load=Decimal("5.5"))
    assert (found.loads, found.last_blocks, found.hours) == (loads, last, hours)


def test_a_vessel_without_room_is_refused() -> None:
    with pytest.raises(Refused):
        count_loads(10, blocks_per_load=0, hours_per_load=Decimal(1))


@pytest.mark.parametrize("formats", [KILOS, POUNDS, Formats(mass_unit="lb_oz", paper="letter")])
def test_the_mix_sheet_has_boxes_room_to_write_and_cautions(
    farm, tmp_path: Path, formats: Formats
) -> None:
    perform(farm, lambda act: save_vessel(act, Vessel(0, "Drum", 48, Decimal("5.5"))))
    with farm.reading() as reading:
        recipe = reading.first(Recipe, name="Pellets and bran")
        sheet = mix_sheet(reading, recipe.id, 60, formats=formats, run="R-0004")
    pages = lay_out_document(sheet, formats, page="A4")
    texts = [mark.text for page in pages for mark in page.marks if isinstance(mark, TextRun)]
    told = " ".join(texts)
    for part in ("R-0004", "Oak pellets", "Water", "dust", "scald", "relief valve", "2 loads"):
        assert part.casefold() in told.casefold()
    assert texts.count("☐") == 9
    for page in pages:
        for mark in page.marks:
            left, top, right, bottom = extent_of(mark)
            assert left >= 13.5
            assert right <= page.width_mm - 13.5
            assert top >= 10
            assert bottom <= page.height_mm - 8
    assert write_document(sheet, tmp_path / "mix.pdf", formats=formats) >= 1


def test_spawn_is_summed_wet_and_dry_with_warnings(farm) -> None:
    with farm.reading() as reading:
        strain = reading.all(Strain)[0]
        species = reading.get(Species, strain.species)
    spawn = Spawn(20_000_001, "S-1", strain.id, generation=3, left_mg=2_300_000, made_mg=2_300_000)
    old = replace(spawn, id=20_000_002, name="S-2", generation=4, use_by="2026-01-01")
    terms = BlockTerms(40, 2_500_000, 950_000)
    sums = sum_spawn(
        terms, [(spawn, 2 * KG), (old, KG)], strain=strain,
        species=replace(species, spawn_percent=Decimal(5)), formats=KILOS, today="2026-03-02",
    )  # fmt: skip
    # 5 % of 100 kg is 5 kg, 125 g a block; 3 kg are 3 % of wet and 7.9 % of 38 kg dry.
    assert (sums.need.total_mg, sums.need.per_block_mg, sums.missing_mg) == (
        5 * KG,
        125_000,
        2 * KG,
    )
    told = tell_spawn(sums, terms, KILOS)
    assert "3.0% of wet and 7.9% of dry" in told[1]
    assert "S-1: 2.30 kg left serves 18 blocks." in told
    assert [one.code for one in sums.warnings] == [
        "spawn_last_generation",
        "spawn_past_generation",
        "spawn_past_use_by",
    ]
