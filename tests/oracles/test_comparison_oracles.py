"""Comparing causes against published tables and worked examples."""

import json

import pytest
from oracle_tables import read_table

from farmdesk.arithmetic.comparison import (
    BagGroup,
    Stratum,
    compare_two,
    find_blame,
    stratify,
)
from farmdesk.arithmetic.growth_alarm import ColonySize, measure_growth


# Fisher's tea-tasting table, a common textbook table and scipy's own documentation.
@pytest.mark.parametrize("row", read_table("fisher"))
def test_exact_tables(row):
    (a, b), (c, d) = json.loads(row["table"])
    p = compare_two((a, a + b), (c, c + d))
    assert p == pytest.approx(float(row["p_two_sided"]), abs=5.1e-9)


# Worked examples, computed with scipy.
@pytest.mark.parametrize(
    ("first", "second", "p"), [((2, 60), (9, 58), 0.028), ((3, 40), (4, 42), 1.0)]
)
def test_two_spawn_lots(first, second, p):
    assert compare_two(first, second) == pytest.approx(p, abs=0.0005)


RUNS_AND_LOTS = [("1", "A", 30, 1), ("1", "B", 10, 1), ("2", "A", 10, 3), ("2", "B", 30, 9)]


# Worked example of confounding, computed with another library's stratified table.
def test_the_heat_run_is_to_blame_and_not_the_lot():
    lots = stratify([Stratum(1, 10, 1, 30), Stratum(9, 30, 3, 10)])
    inverse = stratify([Stratum(1, 30, 1, 10), Stratum(3, 10, 9, 30)])
    assert round(inverse.odds_ratio, 2) == 0.78
    assert lots.odds_ratio == pytest.approx(1 / inverse.odds_ratio)
    assert (round(lots.chi_square, 3), round(lots.p, 2)) == (0.126, 0.72)
    assert round(compare_two((4, 40), (10, 40)), 2) == 0.14
    assert round(compare_two((2, 40), (12, 40)), 3) == 0.006
    groups = [BagGroup({"spawn_lot": b, "heat_run": a}, n, x) for a, b, n, x in RUNS_AND_LOTS]
    found = find_blame(groups)
    assert (found.looks, found.likeliest.cause, found.likeliest.level) == (2, "heat_run", "2")


# Berkeley admissions 1973 (Bickel, Hammel and O'Connell, Science 1975 187:398), men and women
# admitted and refused by department; R's manual page of mantelhaen.test prints 1.5246 and 1.4269
# (p 0.2323) with odds ratio 0.9047. Data and results from memory.
DEPARTMENTS = [
    (512, 313, 89, 19),
    (353, 207, 17, 8),
    (120, 205, 202, 391),
    (138, 279, 131, 244),
    (53, 138, 94, 299),
    (22, 351, 24, 317),
]


def test_a_published_stratified_table():
    found = stratify([Stratum(a, a + b, c, c + d) for a, b, c, d in DEPARTMENTS])
    assert found.odds_ratio == pytest.approx(0.9046968, abs=1e-6)
    assert found.chi_square == pytest.approx(1.5246, abs=5e-5)
    assert found.corrected_chi_square == pytest.approx(1.4269, abs=5e-5)
    assert found.corrected_p == pytest.approx(0.2323, abs=5e-5)


# Anscombe, Am. Statistician 1973, sets I and III: the second holds one slipped point.
@pytest.mark.parametrize("row", read_table("trend"))
def test_growth_is_the_median_slope(row):
    days, sizes = (list(map(float, row[name].split())) for name in ("x", "y"))
    found = measure_growth([ColonySize(*pair) for pair in zip(days, sizes, strict=True)])
    assert found.mm_per_day == pytest.approx(float(row["theil_slope"]), abs=1e-6)
    assert found.low == pytest.approx(float(row["theil95_lo"]), abs=5e-5)
    assert found.high == pytest.approx(float(row["theil95_hi"]), abs=5e-5)
