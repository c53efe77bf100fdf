from decimal import Decimal
from itertools import pairwise

import pytest

from farmdesk.arithmetic import net_contents, net_tables
from farmdesk.arithmetic.net_contents import AllowanceRow, SamplingRow
from farmdesk.errors import Refused

THREE = SamplingRow(3, 3, 3, Decimal("2.484"), 0, "", "")
ONE = SamplingRow(1, 1, 1, None, 0, "", "")


def judge(*errors, plan=THREE):
    return net_contents.judge_lot(
        [Decimal(error) for error in errors], maximum_shortage=Decimal(10), plan=plan
    )


@pytest.mark.parametrize(
    "rows", [net_tables.read_us_allowances(), net_tables.read_european_allowances()]
)
def test_a_table_has_no_gap_and_says_its_source(rows):
    for row, after in pairwise(rows):
        assert row.to == after.over
    for row in rows:
        assert (row.allowance is None) is not (row.percent is None)
        assert row.source
        assert row.status


def test_the_sampling_plan_has_no_gap():
    rows = net_tables.read_us_sampling()
    assert [row.lot_from for row in rows[1:]] == [row.lot_to + 1 for row in rows[:-1]]
    assert rows[-1].lot_to is None


def test_a_single_short_pack_fails_a_lot_whose_mean_is_good():
    verdict = judge(20, 20, -11)
    assert (verdict.is_average_passed, verdict.is_single_passed) == (True, False)
    assert not verdict.is_passed
    assert judge(20, 20, -10).is_passed


def test_a_lot_of_one_is_judged_by_its_single_pack():
    assert judge(-9, plan=ONE).is_passed
    assert not judge(-11, plan=ONE).is_passed


def test_a_mean_at_the_limit_passes():
    assert judge(0, 0, 0).is_passed
    assert not judge(-1, -1, -1).is_average_passed


def test_a_sample_of_another_size_is_refused():
    with pytest.raises(Refused) as caught:
        judge(1, 2)
    assert caught.value.problems[0].facts == {"wanted": 3, "weighed": 2}


@pytest.mark.parametrize(
    ("nets", "passed"),
    [
        ([100] * 50, True),
        ([101] * 49 + [95], True),
        ([101] * 48 + [95] * 2, False),
        ([102] * 49 + [90], False),
        ([100] * 49 + [99], False),
    ],
)
def test_a_european_batch(nets, passed):
    verdict = net_contents.judge_european_batch(
        [Decimal(net) for net in nets], nominal_g=Decimal(100), tolerable_error_g=Decimal("4.5")
    )
    assert verdict.is_passed is passed


def test_what_no_table_knows_is_refused():
    rows = [AllowanceRow(Decimal(5), Decimal(50), None, Decimal(9), "", "")]
    assert net_contents.find_maximum_shortage(Decimal(5), rows) == Decimal("0.45")
    for quantity in ("4.99", "50.01", "0"):
        with pytest.raises(Refused):
            net_contents.find_allowance(Decimal(quantity), rows)
    with pytest.raises(Refused):
        net_contents.find_sampling(4, [THREE])
    with pytest.raises(Refused):
        net_contents.find_correction_factor(1)
    with pytest.raises(Refused):
        net_contents.judge_european_batch([], nominal_g=Decimal(1), tolerable_error_g=Decimal(1))
