"""Substrate and spawn sums against a published mass balance and worked examples."""

from decimal import Decimal

import pytest
from oracle_tables import read_table

from farmdesk.arithmetic import spawn, substrate
from farmdesk.arithmetic.substrate import RecipePart, Weighed

KG = 1_000_000
LB = Decimal("453592.37")


def in_kg(mg, places=2):
    return round(Decimal(mg) / KG, places)


def in_lb(mg, places=2):
    return round(Decimal(mg) / LB, places)


# Wet-basis mass balance, water = m (Mt - Mi) / (1 - Mt); status: computed.
@pytest.mark.parametrize("row", read_table("hydration"))
def test_water_to_add_follows_the_wet_basis_mass_balance(row):
    stock = Weighed(
        "stock",
        int(Decimal(row["mass_in"]) * KG),
        100 * Decimal(row["moisture_in_wb"]),
    )
    answer = substrate.add_water([stock], moisture_percent=100 * Decimal(row["target_wb"]))
    assert in_kg(answer.water_mg, 4) == Decimal(row["water_to_add"])
    assert in_kg(answer.total_mg, 4) == Decimal(row["total_out"])
    assert in_kg(answer.dry_mg, 4) == Decimal(row["dry_matter"])


# Worked example, computed: 20.0 kg pellets at 8 %, 3.0 kg bran at 12 %, 0.2 kg gypsum, to 60 %.
def test_water_for_pellets_and_bran_in_kilograms():
    weighed = [
        Weighed("pellets", 20 * KG, Decimal(8)),
        Weighed("bran", 3 * KG, Decimal(12)),
        Weighed("gypsum", KG // 5, Decimal(0)),
    ]
    answer = substrate.add_water(weighed, moisture_percent=Decimal(60))
    assert in_kg(answer.dry_mg) == Decimal("21.24")
    assert in_kg(answer.total_mg) == Decimal("53.10")
    assert in_kg(answer.water_mg) == Decimal("29.90")
    assert in_lb(answer.water_mg, 1) == Decimal("65.9")
    volume = substrate.measure_water(answer.water_mg)
    assert round(volume.litres, 1) == Decimal("29.9")
    assert round(volume.us_gallons, 2) == Decimal("7.90")
    count = substrate.count_blocks(answer.total_mg, 2_500_000)
    assert (count.blocks, in_kg(count.remainder_mg)) == (21, Decimal("0.60"))


# The same example with the stock taken as bone dry: 63.4 % in truth; worked example, computed.
def test_taking_the_stock_as_bone_dry_makes_it_too_wet():
    dry = [Weighed("all", 23_200_000, Decimal(0))]
    water = substrate.add_water(dry, moisture_percent=Decimal(60)).water_mg
    assert in_kg(water) == Decimal("34.80")
    truth = substrate.blend_moisture(
        [
            Weighed("pellets", 20 * KG, Decimal(8)),
            Weighed("bran", 3 * KG, Decimal(12)),
            Weighed("gypsum", KG // 5, Decimal(0)),
            Weighed("water", water, Decimal(100)),
        ]
    )
    assert round(truth, 1) == Decimal("63.4")


# Worked example, computed: 40 lb pellets at 7 %, 6 lb bran at 12 %, 0.5 lb gypsum, to 60 %.
def test_water_for_pellets_and_bran_in_pounds():
    weighed = [
        Weighed("pellets", int(40 * LB), Decimal(7)),
        Weighed("bran", int(6 * LB), Decimal(12)),
        Weighed("gypsum", int(LB / 2), Decimal(0)),
    ]
    answer = substrate.add_water(weighed, moisture_percent=Decimal(60))
    assert in_lb(answer.dry_mg) == Decimal("42.98")
    assert in_lb(answer.total_mg) == Decimal("107.45")
    assert in_lb(answer.water_mg) == Decimal("60.95")
    volume = substrate.measure_water(answer.water_mg)
    assert round(volume.us_gallons, 2) == Decimal("7.30")
    assert round(volume.litres, 1) == Decimal("27.6")


# Worked example, computed: 20 kg pellets at 8 % with 45 kg water, target 62 %.
def test_dry_stock_for_a_mix_that_is_too_wet():
    dry_mg = substrate.find_dry_mass(20 * KG, Decimal(8))
    assert round(substrate.measure_moisture(wet_mg=65 * KG, dry_mg=dry_mg), 1) == Decimal("71.7")
    added = substrate.find_dry_stock(
        total_mg=65 * KG,
        dry_mg=dry_mg,
        moisture_percent=Decimal(62),
        stock_moisture_percent=Decimal(8),
    )
    assert in_kg(added) == Decimal("11.67")
    assert in_kg(65 * KG + added) == Decimal("76.67")


# Oven dry-down, moisture = (wet - dry) / wet by definition; worked example, computed.
def test_moisture_of_a_sample_from_its_dry_down():
    assert substrate.measure_moisture(wet_mg=100_000, dry_mg=38_600) == Decimal("61.4")


# Wet basis 60 % is dry basis 150 %; worked example, computed.
def test_moisture_on_dry_basis():
    assert substrate.find_dry_basis(Decimal(60)) == 150


# Worked example, computed: 40 blocks of 2.5 kg at 62 %, dry shares 79 / 20 / 1.
def test_ingredients_for_forty_blocks():
    mix = substrate.plan_mix(
        [
            RecipePart("pellets", Decimal(79), Decimal(8)),
            RecipePart("bran", Decimal(20), Decimal(12)),
            RecipePart("gypsum", Decimal(1), Decimal(0)),
        ],
        blocks=40,
        block_mg=2_500_000,
        moisture_percent=Decimal(62),
    )
    assert in_kg(mix.total_mg) == 100
    assert in_kg(mix.dry_mg) == 38
    assert [in_kg(one.dry_mg) for one in mix.ingredients] == [
        Decimal("30.02"),
        Decimal("7.60"),
        Decimal("0.38"),
    ]
    assert [in_kg(one.as_is_mg) for one in mix.ingredients] == [
        Decimal("32.63"),
        Decimal("8.64"),
        Decimal("0.38"),
    ]
    assert in_kg(mix.water_mg) == Decimal("58.35")


# 20 % of the whole is 25 % of the base; with 1 % mineral it is 25.3 %; worked example, computed.
def test_a_supplement_said_both_ways():
    assert substrate.convert_supplement_to_base(Decimal(20)) == 25
    assert substrate.convert_supplement_to_total(Decimal(25)) == 20
    measured = substrate.measure_supplement(
        supplement_mg=7_600_000, base_mg=30_020_000, other_mg=380_000
    )
    assert measured.of_total_percent == 20
    assert round(measured.of_base_percent, 1) == Decimal("25.3")


# Shiitake logs of 2.7 and 3.2 kg, best at 55 % (Bioresource Technol. 2008 99:8212, seen); dry
# weights computed. A block of 2.5 kg at 60 %: worked example, computed.
@pytest.mark.parametrize(
    ("wet_kg", "moisture", "dry_kg"),
    [("2.7", 55, "1.215"), ("3.2", 55, "1.44"), ("2.5", 60, "1.00")],
)
def test_dry_matter_of_logs_and_blocks(wet_kg, moisture, dry_kg):
    dry_mg = substrate.find_dry_mass(int(Decimal(wet_kg) * KG), Decimal(moisture))
    assert Decimal(dry_mg) / KG == Decimal(dry_kg)


# 5 % of 2.5 kg is 125 g, 12.5 % of its dry matter at 60 %; worked example, computed.
def test_spawn_rates_on_wet_and_dry_substrate():
    rate = spawn.measure_rate(spawn_mg=125_000, substrate_mg=2_500_000, dry_mg=1_000_000)
    assert (rate.of_substrate_percent, rate.of_dry_percent) == (5, Decimal("12.5"))


# 0.15 kg in 2.85 kg: 5.26 % of substrate, 5.00 % of both together; worked example, computed.
def test_spawn_rates_on_substrate_and_on_both():
    rate = spawn.measure_rate(spawn_mg=150_000, substrate_mg=2_850_000, dry_mg=1_140_000)
    assert round(rate.of_substrate_percent, 2) == Decimal("5.26")
    assert rate.of_total_percent == 5


# The trade's rule "1 lb to a 5-lb block" is 20 %: common practice, no source.
def test_a_pound_to_a_five_pound_block_is_twenty_percent():
    rate = spawn.measure_rate(spawn_mg=453_592, substrate_mg=2_267_962, dry_mg=907_185)
    assert round(rate.of_substrate_percent, 2) == 20


# A bag of 2.3 kg at 125 g a block: 18 blocks and 50 g; worked example, computed.
def test_blocks_that_a_bag_of_spawn_serves():
    assert spawn.count_served_blocks(2_300_000, 125_000) == spawn.Serving(18, 50_000)


# 34 x 125 g = 4.25 kg, with 10 % reserve 4.68 kg, from 0.47 kg at 1:10; worked example, computed.
def test_spawn_need_with_reserve_and_its_master():
    need = spawn.find_need(
        blocks=34, block_mg=2_500_000, rate_percent=Decimal(5), reserve_percent=Decimal(10)
    )
    assert need.per_block_mg == 125_000
    assert in_kg(need.total_mg) == Decimal("4.25")
    assert need.with_reserve_mg == 4_675_000
    assert in_kg(spawn.find_parent_need(need.with_reserve_mg, Decimal(10))) == Decimal("0.47")


# 125 g of grain at 45 % adds 0.069 kg dry to the block; worked example, computed.
def test_dry_matter_that_spawn_adds():
    assert in_kg(substrate.find_dry_mass(125_000, Decimal(45)), 3) == Decimal("0.069")
