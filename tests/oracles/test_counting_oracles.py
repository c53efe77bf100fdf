"""Rates, incubation curves and proposals against published tables and other libraries."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle_tables import read_table

from farmdesk.arithmetic.allocation import LotOffer, Wanted, propose_lots
from farmdesk.arithmetic.incubation import BagRun, estimate_incidence
from farmdesk.arithmetic.rates import estimate_rate, find_upper_limit

BAG_RUNS = st.lists(
    st.builds(BagRun, st.integers(1, 40), st.sampled_from(["colonised", "running"])),
    min_size=1,
    max_size=40,
)


# Newcombe, Stat. Med. 1998 17:857, first four from memory, recomputed with statsmodels 0.15.0.
@pytest.mark.parametrize("row", read_table("wilson"))
def test_wilson_intervals(row):
    rate = estimate_rate(int(row["x"]), int(row["n"]))
    assert rate.low == pytest.approx(float(row["wilson95_lo"]), abs=0.00006)
    assert rate.high == pytest.approx(float(row["wilson95_hi"]), abs=0.00006)


# Worked examples, computed, percent.
@pytest.mark.parametrize(
    ("count", "of", "low", "high"), [(3, 40, 2.6, 19.9), (0, 20, 0, 16.1), (11, 118, 5.3, 15.9)]
)
def test_contamination_rates_as_printed(count, of, low, high):
    rate = estimate_rate(count, of)
    assert (round(100 * rate.low, 1), round(100 * rate.high, 1)) == (low, high)


# The exact limit for nothing in n is 1 - 0.05^(1/n) by definition (Clopper and Pearson 1934).
@pytest.mark.parametrize("of", [1, 12, 20, 300])
def test_none_contaminated_is_not_zero(of):
    assert find_upper_limit(0, of) == pytest.approx(1 - 0.05 ** (1 / of))


def test_none_of_twenty_may_be_nearly_fourteen_percent():
    assert round(100 * find_upper_limit(0, 20), 1) == 13.9  # worked example, computed


# Worked example, computed: twelve bags watched daily, three still running on day 18.
TWELVE_BAGS = [
    *(BagRun(day, "contaminated") for day in (9, 13)),
    *(BagRun(day, "colonised") for day in (12, 14, 14, 15, 16, 16, 18)),
    *[BagRun(18, "running")] * 3,
]


def test_twelve_bags_day_by_day():
    found = estimate_incidence(TWELVE_BAGS)
    in_twelfths = [
        (
            step.day,
            step.at_risk,
            step.colonised,
            step.contaminated,
            round(12 * step.share_colonised, 9),
            round(12 * step.share_contaminated, 9),
            round(12 * step.share_running, 9),
        )
        for step in found.steps
    ]
    assert in_twelfths == [
        (9, 12, 0, 1, 0, 1, 11),
        (12, 11, 1, 0, 1, 1, 10),
        (13, 10, 0, 1, 1, 2, 9),
        (14, 9, 2, 0, 3, 2, 7),
        (15, 7, 1, 0, 4, 2, 6),
        (16, 6, 2, 0, 6, 2, 4),
        (18, 4, 1, 0, 7, 2, 3),
    ]
    assert found.median_day == 16


# 6-MP arm (Freireich 1963; Cox 1972), Kaplan-Meier from lifelines 0.30.3: with no competing
# event the cumulative incidence is 1 - S.
def test_a_published_survival_curve():
    bags = [
        BagRun(int(row["week"]), "colonised" if row["event"] == "1" else "running")
        for row in read_table("km_6mp_data")
        if row["arm"] == "6-MP"
    ]
    assert len(bags) == 21
    found = estimate_incidence(bags)
    published = read_table("km_6mp")
    assert len(found.steps) == len(published)
    for step, row in zip(found.steps, published, strict=True):
        assert (step.day, step.at_risk) == (int(row["week"]), int(row["at_risk"]))
        assert step.colonised == int(row["events"])
        assert step.share_running == pytest.approx(float(row["S"]), abs=1e-6)
        assert step.share_colonised == pytest.approx(1 - float(row["S"]), abs=1e-6)
    assert found.median_day == 23


# scipy.stats.ecdf with CensoredData is Kaplan-Meier by another hand.
@settings(deadline=None, max_examples=50)
@given(bags=BAG_RUNS)
def test_without_contamination_it_is_kaplan_meier(bags):
    from scipy.stats import CensoredData, ecdf

    survival = ecdf(
        CensoredData(
            uncensored=[bag.day for bag in bags if bag.outcome == "colonised"],
            right=[bag.day for bag in bags if bag.outcome == "running"],
        )
    ).sf
    for step in estimate_incidence(bags).steps:
        assert step.share_running == pytest.approx(float(survival.evaluate(step.day)))


# scipy.sparse.csgraph.maximum_flow says how much could be shipped at most.
@settings(deadline=None, max_examples=50)
@given(
    free=st.lists(st.tuples(st.integers(1, 9), st.integers(0, 30)), min_size=1, max_size=6),
    asked=st.lists(
        st.tuples(st.integers(1, 9), st.integers(0, 40), st.integers(0, 3)), min_size=1, max_size=6
    ),
)
def test_no_other_choice_of_lots_ships_more(free, asked):
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import maximum_flow

    lots = [LotOffer(place, "A", f"2026-03-{day:02}", mg) for place, (day, mg) in enumerate(free)]
    wanted = [
        Wanted(place, "A", mg, f"2026-03-{day:02}", life)
        for place, (day, mg, life) in enumerate(asked)
    ]
    sink = len(lots) + len(wanted) + 1
    edges = {(0, 1 + lot.id): lot.free for lot in lots}
    for line in wanted:
        at = 1 + len(lots) + line.id
        edges[at, sink] = line.amount
        edges |= {(1 + lot.id, at): 999 for lot in lots if lot.shelf_on >= line.lasts_until}
    rows, columns = zip(*edges, strict=True)
    network = csr_array((list(edges.values()), (rows, columns)), shape=(sink + 1, sink + 1))
    most = maximum_flow(network.astype("int32"), 0, sink).flow_value
    shipped = sum(take.amount for line in propose_lots(lots, wanted) for take in line.takes)
    assert shipped == most
