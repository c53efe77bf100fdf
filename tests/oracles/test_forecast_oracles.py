"""The forecast against a worked example and closed forms."""

import numpy as np
import pytest
from scipy.stats import norm

from farmdesk.arithmetic.crops import Duration, spread_days
from farmdesk.arithmetic.forecast import WeekCohort, spread_cohorts


# Worked example, computed by hand: incubating, pinning and resting bags of one species.
def test_three_cohorts_week_by_week():
    cohorts = [
        WeekCohort(40, 0.93, 0.46, {3: 0.2, 4: 0.6, 5: 0.2}),
        WeekCohort(18, 0.99, 0.46, {0: 0.7, 1: 0.3}),
        WeekCohort(22, 0.97, 0.21, {1: 0.5, 2: 0.5}),
    ]
    found = spread_cohorts(cohorts, weeks=6)
    assert [round(kg, 2) for kg in found] == [5.74, 4.70, 2.24, 3.42, 10.27, 3.42]
    assert sum(found) == pytest.approx(29.79, abs=0.005)


# scipy.stats.norm: the chance of each day given survival, by another hand.
@pytest.mark.parametrize("elapsed", [0, 12, 21, 26])
def test_conditional_days(elapsed):
    found = spread_days(Duration(20, 3), 40, elapsed=elapsed)
    edges = norm.sf(np.arange(41) + elapsed - 0.5, 20, 3)
    assert found == pytest.approx((edges[:-1] - edges[1:]) / edges[0], abs=1e-9)
