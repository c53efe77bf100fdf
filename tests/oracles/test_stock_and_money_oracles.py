"""Balances, fill and money against worked examples and ISO 4217."""

from decimal import Decimal

import pytest

from farmdesk.arithmetic import balance, money_sums
from farmdesk.arithmetic.balance import Asked, LotAmounts


# Worked example, computed: 354 g of 18,420 g unexplained is 1.92 %, accepted; 6.26 % is not.
@pytest.mark.parametrize(
    ("missing_g", "percent", "flag"),
    [(354, "1.92", "accepted"), (1_153, "6.26", "too_much_missing")],
)
def test_a_lot_that_dried_and_a_lot_that_lost_more(missing_g, percent, flag):
    amounts = LotAmounts(18_420_000, sold_mg=15_876_000, on_hand_mg=2_544_000 - missing_g * 1_000)
    found = balance.balance_lot(amounts)
    assert round(found.unexplained_percent, 2) == Decimal(percent)
    assert found.flag == flag


# Worked example, computed: 3.20 kg fresh to 0.288 kg dry.
def test_drying_eleven_to_one():
    dried = balance.measure_drying(fresh_mg=3_200_000, dry_mg=288_000)
    assert dried.percent == 9
    assert round(dried.fresh_for_one_dry) == 11


# Worked examples, computed: 15,876 of 18,420 g sold; 18.3 of 19.5 kg and 2 of 3 lines filled.
def test_sell_through_and_fill():
    sold = balance.measure_sell_through(LotAmounts(18_420, sold_mg=15_876))
    assert round(sold.of_picked_percent, 1) == Decimal("86.2")
    fill = balance.measure_fill(
        [Asked(8_000_000, 8_000_000), Asked(6_500_000, 6_500_000), Asked(5_000_000, 3_800_000)]
    )
    assert round(fill.by_quantity_percent, 1) == Decimal("93.8")
    assert round(fill.by_line_percent, 1) == Decimal("66.7")


# 9 lb 6.5 oz gross less 1 lb 2 oz tare is 132.5 oz = 8.281 lb = 3,756 g; worked example, computed
# with 1 oz = 28.349523125 g exactly (international avoirdupois ounce).
def test_a_net_weight_as_billed():
    net_mg = round(Decimal("132.5") * Decimal("28349.523125"))
    assert net_mg // 1_000 == 3_756
    assert money_sums.find_quantity("lb", mass_mg=net_mg, decimals=3) == Decimal("8.281")
    assert money_sums.find_quantity("kg", mass_mg=net_mg) == Decimal("3.756")


# ISO 4217 minor units, from memory: JPY none, USD and EUR two, KWD three.
@pytest.mark.parametrize(
    ("currency", "total"),
    [("JPY", "1235"), ("USD", "1234.57"), ("EUR", "1234.57"), ("KWD", "1234.568")],
)
def test_totals_have_the_minor_unit_of_the_currency(currency, total):
    line = money_sums.bill_line(
        Decimal(1), unit="pack", unit_price=Decimal("1234.5678"), currency=currency
    )
    assert str(line.total) == total


# Worked example, computed: $13.43 a kilogram is $6.09 a pound.
def test_the_price_of_a_kilo_said_by_the_pound():
    price = money_sums.find_price_per_mass(Decimal("13.43"), 1_000_000, unit="lb", currency="USD")
    assert price == Decimal("6.09")
