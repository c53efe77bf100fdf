"""The band of time to colonise against published standard errors."""

import pytest
from oracle_tables import read_table

from farmdesk.arithmetic.incubation import BagRun, estimate_incidence
from farmdesk.arithmetic.survival import LookedAt, find_band, measure_time


# 6-MP arm (Freireich 1963; Cox 1972), Greenwood errors from lifelines 0.30.3.
def test_greenwood_errors():
    bags = [
        BagRun(int(row["week"]), "colonised" if row["event"] == "1" else "running")
        for row in read_table("km_6mp_data")
        if row["arm"] == "6-MP"
    ]
    published = read_table("km_6mp")
    for step, row in zip(find_band(estimate_incidence(bags), z=1.959964), published, strict=True):
        assert step.error == pytest.approx(float(row["greenwood_se"]), abs=1e-6)
        assert 1 - step.low == pytest.approx(float(row["plain95_hi"]), abs=6e-5)
        assert 1 - step.high == pytest.approx(float(row["plain95_lo"]), abs=6e-5)


# Worked example, computed: twelve bags looked at daily, three still running on day 18.
def test_daily_looks_leave_nothing_open():
    found = measure_time(
        [
            *(LookedAt(day - 1, day, "contaminated") for day in (9, 13)),
            *(LookedAt(day - 1, day, "colonised") for day in (12, 14, 14, 15, 16, 16, 18)),
            *[LookedAt(18, 18, "running")] * 3,
        ]
    )
    assert found.early == found.late
    assert (found.tenth, found.median) == ((14, 14), (16, 16))
    assert found.nine_tenths == (None, None)
