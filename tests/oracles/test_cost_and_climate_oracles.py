"""Costs, mean kinetic temperature and air against textbooks, USP and ASHRAE formulas."""

from decimal import Decimal
from math import exp, log

import pytest
from oracle_tables import read_table

from farmdesk.arithmetic.air import Ventilation, describe_air, find_co2, find_steady_co2
from farmdesk.arithmetic.costs import (
    Issued,
    Received,
    cost_first_in_first_out,
    cost_moving_average,
)
from farmdesk.arithmetic.mean_kinetic import find_mean_kinetic
from farmdesk.arithmetic.shelf import Stay


def bought(amount, unit_cost):
    return Received(amount, Decimal(amount * unit_cost))


TEXTBOOK = [bought(10, 91), bought(15, 106), Issued(20), bought(20, 115), bought(10, 119)]
PERPETUAL = [*TEXTBOOK, Issued(23)]
PERIODIC = [one for one in TEXTBOOK if isinstance(one, Received)] + [Issued(43)]
OPENSTAX = [bought(150, 21), bought(225, 27), bought(210, 33), Issued(300)]


# Each row of the table names its textbook and says what was recomputed.
@pytest.mark.parametrize(
    ("place", "method", "cost", "moves"),
    [
        (0, "perpetual FIFO", cost_first_in_first_out, PERPETUAL),
        (1, "perpetual moving average", cost_moving_average, PERPETUAL),
        (3, "periodic weighted average", cost_moving_average, PERIODIC),
        (4, "periodic FIFO", cost_first_in_first_out, OPENSTAX),
        (6, "periodic weighted average", cost_moving_average, OPENSTAX),
    ],
)
def test_textbook_inventories(place, method, cost, moves):
    row = read_table("inventory")[place]
    assert row["method"] == method
    costing = cost(moves, currency="USD")
    assert costing.issued_cost == Decimal(row["cogs"])
    assert costing.left_cost == Decimal(row["ending_inventory"])


# Formula and constants USP29-NF24 <1160>, seen; figures computed from it.
@pytest.mark.parametrize("row", read_table("mkt"))
def test_mean_kinetic_temperature(row):
    history = [
        Stay(float(hours), float(temperature))
        for hours, temperature in zip(row["weights_h"].split(), row["temps_c"].split(), strict=True)
    ]
    assert find_mean_kinetic(history) == pytest.approx(float(row["mkt_c"]), abs=0.0001)


def celsius(fahrenheit):
    return (fahrenheit - 32) / 1.8


# psychrolib 2.5.0 (ASHRAE Handbook of Fundamentals) in inch-pound units at 14.696 psia, library.
@pytest.mark.parametrize("row", read_table("psychro"))
def test_room_air_in_other_units(row):
    air = describe_air(celsius(float(row["dry_bulb_f"])), float(row["rh_percent"]))
    assert air.dew_point_c == pytest.approx(float(row["dew_point_c"]), abs=0.006)
    assert air.wet_bulb_c == pytest.approx(celsius(float(row["wet_bulb_f"])), abs=0.006)
    assert air.water_g_per_kg == pytest.approx(
        1_000 * float(row["humidity_ratio_lb_per_lb"]), rel=0.001
    )
    assert air.vapour_deficit_kpa == pytest.approx(float(row["vpd_kpa"]), rel=0.001)


# Magnus formula with 0.61094 kPa, 17.625 and 243.04 C (Alduchov and Eskridge 1996, from memory):
# an approximation by another hand, within 0.3 % and 0.01 C.
@pytest.mark.parametrize(("fahrenheit", "humidity"), [(65, 90), (72, 90), (65, 60), (72, 60)])
def test_room_air_agrees_with_the_magnus_formula(fahrenheit, humidity):
    temperature = celsius(fahrenheit)
    saturated = 0.61094 * exp(17.625 * temperature / (243.04 + temperature))
    gamma = log(humidity / 100) + 17.625 * temperature / (243.04 + temperature)
    air = describe_air(temperature, humidity)
    assert air.vapour_deficit_kpa == pytest.approx(saturated * (1 - humidity / 100), rel=0.003)
    assert air.dew_point_c == pytest.approx(243.04 * gamma / (17.625 - gamma), abs=0.01)


# Single-zone fully mixed balance as in IJERPH 2017 14:145 (model seen); figures computed.
@pytest.mark.parametrize("row", read_table("co2_balance"))
def test_co2_of_a_mixed_room(row):
    room = Ventilation(
        float(row["volume_m3"]),
        float(row["airflow_m3_h"]),
        float(row["cout_ppm"]),
        float(row["co2_m3_per_h"]),
    )
    assert find_steady_co2(room) == pytest.approx(float(row["steady_ppm"]), abs=0.005)
    after = find_co2(room, start_ppm=float(row["c0_ppm"]), hours=float(row["t_h"]))
    assert after == pytest.approx(float(row["c_at_t_ppm"]), abs=0.005)
