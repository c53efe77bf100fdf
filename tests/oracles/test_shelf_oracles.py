"""Shelf life by temperature against published storage lives and a worked example."""

from math import sqrt

import pytest
from oracle_tables import read_table

from farmdesk.arithmetic import shelf
from farmdesk.arithmetic.shelf import ShelfNode, Stay

STORAGE = [row for row in read_table("storage") if row["quantity"] == "storage life"]


def nodes_of(source):
    """The published storage lives of one source; a range counts by its middle."""
    found = []
    for row in STORAGE:
        if source in row["source"] and row["temp_c"]:
            ends = [float(end) for end in row["value"].split("-")]
            found.append(ShelfNode(float(row["temp_c"]), sum(ends) / len(ends)))
    return found


# UC Davis Postharvest produce facts, Mushroom (Suslow & Cantwell), seen: 5-7 d at 1.5 C, 2 at 4.5.
def test_two_close_published_lives_are_never_extrapolated():
    nodes = nodes_of("UC Davis")
    assert shelf.find_shelf_life(nodes, 1.5).days == 6
    assert shelf.find_shelf_life(nodes, 4.5).days == 2
    assert shelf.find_shelf_life(nodes, 3).days == pytest.approx(sqrt(6 * 2))
    assert shelf.find_shelf_life(nodes, 0) == shelf.ShelfLife(6, "colder")
    assert shelf.find_shelf_life(nodes, 20) == shelf.ShelfLife(2, "warmer")


# Proc. APEC postharvest symposium, Bangkok 2003 p. 275 (abstract, seen): 10 d at 1, 3 and 5 C.
def test_equal_published_lives_stay_equal_between():
    nodes = nodes_of("APEC")
    assert [shelf.find_shelf_life(nodes, c).days for c in (1, 2, 3, 4, 5)] == [10] * 5
    assert shelf.find_shelf_life(nodes, 15).days == pytest.approx(sqrt(10 * 4))


# Q10 from those lives (10 d at 1 C, 4 d at 25 C), computed: log-linear means one Q10 throughout.
def test_log_linear_interpolation_keeps_the_q10_of_its_ends():
    (row,) = [row for row in read_table("q10") if "25->1 C" in row["pair"]]
    nodes = [node for node in nodes_of("APEC") if node.temperature_c in (1, 25)]
    for temperature in (2, 8, 14):
        life = shelf.find_shelf_life(nodes, temperature).days
        warmer = shelf.find_shelf_life(nodes, temperature + 10).days
        assert life / warmer == pytest.approx(float(row["q10"]), abs=0.001)


# Shiitake 20-24 d at 0 C, 15 at 5, 6-8 at 10, 3-4 at 20 (middles of published ranges);
# the lives between and the dates are a worked example, computed.
SHIITAKE = [ShelfNode(0, 22), ShelfNode(5, 15), ShelfNode(10, 7), ShelfNode(20, 3.5)]
HISTORY = [Stay(3, 20), Stay(60, 3), Stay(9, 10)]


@pytest.mark.parametrize(("temperature", "days"), [(2, 18.88), (3, 17.48), (4, 16.19)])
def test_life_between_known_temperatures(temperature, days):
    assert shelf.find_shelf_life(SHIITAKE, temperature).days == pytest.approx(days, abs=0.005)


def test_life_used_by_a_warm_bench_a_cold_store_and_a_van():
    assert shelf.use_life(SHIITAKE, HISTORY).used == pytest.approx(0.2323, abs=0.00005)


@pytest.mark.parametrize(
    ("rule", "sell_by"), [("of_remaining", "2026-03-14"), ("of_total", "2026-03-13")]
)
def test_shelf_date_from_a_temperature_history(rule, sell_by):
    plan = shelf.plan_shelf(
        SHIITAKE,
        picked_at="2026-03-02T09:00:00Z",
        store_c=3,
        zone="UTC",
        sell_by_percent=70,
        history=HISTORY,
        rule=rule,
    )
    assert plan.left_days == pytest.approx(13.42, abs=0.005)
    assert plan.ends_at.startswith("2026-03-18T19:0")
    assert plan.ends_on == "2026-03-18"
    assert plan.sell_by == sell_by
    assert not plan.is_clamped


def test_left_undisturbed_it_lasts_a_day_longer():
    plan = shelf.plan_shelf(
        SHIITAKE, picked_at="2026-03-02T09:00:00Z", store_c=3, zone="UTC", sell_by_percent=70
    )
    assert plan.ends_on == "2026-03-19"
