import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic import shelf
from farmdesk.arithmetic.shelf import ShelfLife, ShelfNode, Stay
from farmdesk.errors import Refused

NODES = [ShelfNode(0, 22), ShelfNode(5, 15), ShelfNode(10, 7), ShelfNode(20, 3.5)]
TEMPERATURES = st.floats(-30, 60)


@given(one=TEMPERATURES, other=TEMPERATURES)
def test_a_warmer_place_never_lengthens_life(one, other):
    colder, warmer = sorted((one, other))
    assert (
        shelf.find_shelf_life(NODES, colder).days
        >= shelf.find_shelf_life(NODES, warmer).days - 1e-9
    )


@given(temperature=TEMPERATURES)
def test_life_stays_within_the_known_days_and_says_when_it_is_outside(temperature):
    life = shelf.find_shelf_life(NODES, temperature)
    assert 3.5 <= life.days <= 22
    assert (life.clamp == "colder") is (temperature < 0)
    assert (life.clamp == "warmer") is (temperature > 20)


@pytest.mark.parametrize("node", NODES)
def test_a_known_temperature_has_its_known_life(node):
    assert shelf.find_shelf_life(NODES, node.temperature_c) == ShelfLife(node.days)


def test_outside_the_table_the_nearest_life_holds():
    assert shelf.find_shelf_life(NODES, -1) == ShelfLife(22, "colder")
    assert shelf.find_shelf_life(NODES, 35) == ShelfLife(3.5, "warmer")
    assert shelf.find_shelf_life([ShelfNode(4, 8)], 4) == ShelfLife(8)
    assert shelf.find_shelf_life([ShelfNode(4, 8)], 5) == ShelfLife(8, "warmer")


def test_half_the_way_in_degrees_is_the_geometric_mean_of_the_days():
    life = shelf.find_shelf_life([ShelfNode(0, 16), ShelfNode(10, 4)], 5)
    assert life.days == pytest.approx(8)


@given(hours=st.lists(st.floats(0, 500), min_size=1, max_size=5), temperature=TEMPERATURES)
def test_life_used_adds_up(hours, temperature):
    parts = shelf.use_life(NODES, [Stay(one, temperature) for one in hours])
    whole = shelf.use_life(NODES, [Stay(sum(hours), temperature)])
    assert parts.used == pytest.approx(whole.used)


def plan(**other):
    asked = {
        "picked_at": "2026-03-02T09:00:00Z",
        "store_c": 3,
        "zone": "UTC",
        "sell_by_percent": 70,
    } | other
    return shelf.plan_shelf(NODES, **asked)


@given(
    stays=st.lists(st.builds(Stay, st.floats(0, 200), TEMPERATURES), max_size=4),
    store=TEMPERATURES,
    percent=st.floats(1, 100),
    rule=st.sampled_from(["of_remaining", "of_total"]),
)
def test_sell_by_is_never_after_the_end_of_life(stays, store, percent, rule):
    planned = plan(history=stays, store_c=store, sell_by_percent=percent, rule=rule)
    assert planned.sell_by_at <= planned.ends_at
    assert planned.sell_by <= planned.ends_on
    assert planned.left_days >= 0


def test_a_lot_whose_life_is_used_ends_now():
    planned = plan(history=[Stay(24 * 30, 3)])
    assert planned.used > 1
    assert planned.left_days == 0
    assert planned.ends_on == planned.sell_by == "2026-04-01"


def test_the_day_is_the_farms_day_at_that_instant():
    nodes = [ShelfNode(3, 1)]
    asked = {"store_c": 3, "sell_by_percent": 100}
    late = {"picked_at": "2026-03-02T23:30:00Z", **asked}
    assert shelf.plan_shelf(nodes, zone="UTC", **late).ends_on == "2026-03-03"
    assert shelf.plan_shelf(nodes, zone="Europe/Berlin", **late).ends_on == "2026-03-04"
    assert shelf.plan_shelf(nodes, zone="America/New_York", **late).ends_on == "2026-03-03"


def test_a_temperature_outside_the_table_is_told():
    assert not plan(history=[Stay(1, 20)]).is_clamped
    assert plan(history=[Stay(1, 21)]).is_clamped
    assert plan(store_c=-1).is_clamped


@pytest.mark.parametrize(
    ("nodes", "code"),
    [
        ([], "shelf_life_unknown"),
        ([ShelfNode(4, 0)], "shelf_life_wrong"),
        ([ShelfNode(float("nan"), 5)], "shelf_life_wrong"),
        ([ShelfNode(4, 5), ShelfNode(4, 6)], "shelf_life_twice"),
    ],
)
def test_a_table_that_cannot_be_is_refused(nodes, code):
    with pytest.raises(Refused) as caught:
        shelf.find_shelf_life(nodes, 4)
    assert caught.value.problems[0].code == code


@pytest.mark.parametrize(
    "wrong",
    [
        {"sell_by_percent": 0},
        {"sell_by_percent": 101},
        {"store_c": float("nan")},
        {"history": [Stay(-1, 3)]},
    ],
)
def test_figures_that_cannot_be_are_refused(wrong):
    with pytest.raises(Refused):
        plan(**wrong)
