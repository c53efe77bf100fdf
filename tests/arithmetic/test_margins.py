from decimal import Decimal

import pytest

from farmdesk.arithmetic.margins import Selling, find_margin
from farmdesk.errors import Refused

D = Decimal


def test_a_market_day_by_hand():
    # 240.00 - 15 x 13.43 - 3 x 13.43 - 6.00 - 8.00 - 20.00 - 12.00 = -47.74; /240 = -19.9 %
    selling = Selling(D(240), D(15), D("13.43"), D(3), D(6), D(8), D(20), D(12))
    found = find_margin(selling, currency="USD")
    assert (found.grown, found.unsold, found.selling) == (D("201.45"), D("40.29"), D("46.00"))
    assert (found.margin, found.percent) == (D("-47.74"), D("-19.9"))


def test_a_standing_order_by_hand():
    # 264.55 - 10 x 13.43 - 44.00 = 86.25; / 264.55 = 32.6 %
    selling = Selling(D("264.55"), D(10), D("13.43"), D(0), D(4), D(15), D(25), D(0))
    found = find_margin(selling, currency="USD")
    assert (found.margin, found.percent) == (D("86.25"), D("32.6"))


def test_nothing_sold_has_no_percent():
    found = find_margin(Selling(D(0), D(0), D("13.43"), unsold_kg=D(1)), currency="USD")
    assert (found.margin, found.percent) == (D("-13.43"), None)


def test_below_zero_is_refused():
    with pytest.raises(Refused) as caught:
        find_margin(Selling(D(1), D(-1), D(1)), currency="USD")
    assert caught.value.problems[0].code == "amount_negative"
