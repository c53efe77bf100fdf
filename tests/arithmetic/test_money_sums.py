from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic import money_sums
from farmdesk.arithmetic.money_sums import Taxed
from farmdesk.errors import Refused

CURRENCIES = st.sampled_from(["USD", "EUR", "JPY", "KWD"])
LINES = st.lists(
    st.builds(
        Taxed,
        st.decimals(-10_000, 10_000, places=3),
        st.sampled_from([Decimal(0), Decimal(7), Decimal("8.875"), Decimal(19)]),
    ),
    max_size=12,
)


@given(lines=LINES, currency=CURRENCIES, included=st.booleans())
def test_an_invoice_adds_up_as_printed(lines, currency, included):
    totals = money_sums.total_invoice(lines, currency=currency, prices_include_tax=included)
    assert totals.net + totals.tax == totals.total
    assert sum(tax.tax for tax in totals.taxes) == totals.tax
    printed = sum(money_sums.round_money(line.amount, currency) for line in lines)
    assert (totals.total if included else totals.net) == printed


def test_half_a_cent_goes_up():
    def total(quantity, price, currency="USD"):
        return money_sums.bill_line(
            Decimal(quantity), unit="kg", unit_price=Decimal(price), currency=currency
        ).total

    assert total("0.5", "0.05") == Decimal("0.03")
    assert total("1", "1.005") == Decimal("1.01")
    assert total("1", "2.675") == Decimal("2.68")
    assert total("-1", "1.005") == Decimal("-1.01")
    assert total("0.750", "330", "JPY") == Decimal("248")
    assert str(total("1", "330", "JPY")) == "330"
    assert str(total("1", "1.2345", "KWD")) == "1.235"


@given(mg=st.integers(0, 10**9), unit=st.sampled_from(["kg", "lb"]))
def test_the_printed_quantity_is_within_half_of_its_last_digit(mg, unit):
    quantity = money_sums.find_quantity(unit, mass_mg=mg)
    factor = {"kg": Decimal(1_000_000), "lb": Decimal("453592.37")}[unit]
    digit = {"kg": Decimal("0.001"), "lb": Decimal("0.01")}[unit]
    assert abs(quantity - mg / factor) <= digit / 2 + Decimal("1e-20")


def test_a_weight_is_billed_by_its_printed_quantity():
    line = money_sums.bill_mass(3_756_312, unit="lb", unit_price=Decimal("12.00"), currency="USD")
    assert (line.quantity, line.total) == (Decimal("8.28"), Decimal("99.36"))
    line = money_sums.bill_mass(3_756_500, unit="kg", unit_price=Decimal("26.00"), currency="EUR")
    assert (line.quantity, line.total) == (Decimal("3.757"), Decimal("97.68"))


def test_packs_are_billed_whole():
    assert money_sums.find_quantity("pack", packs=7) == 7


def test_tax_is_found_once_for_each_rate():
    lines = [Taxed(Decimal("0.10"), Decimal("5"))] * 3 + [Taxed(Decimal("10"), Decimal(0))]
    totals = money_sums.total_invoice(lines, currency="USD")
    assert totals.net == Decimal("10.30")
    assert [(one.tax_percent, one.net, one.tax) for one in totals.taxes] == [
        (Decimal(5), Decimal("0.30"), Decimal("0.02"))
    ]
    assert totals.total == Decimal("10.32")


def test_included_tax_is_taken_out():
    totals = money_sums.total_invoice(
        [Taxed(Decimal("119.00"), Decimal(19))], currency="EUR", prices_include_tax=True
    )
    assert (totals.net, totals.tax, totals.total) == (100, 19, 119)


def test_an_invoice_without_lines_is_zero():
    totals = money_sums.total_invoice([], currency="JPY")
    assert (totals.net, totals.taxes, totals.total) == (0, (), 0)


def test_the_price_of_a_pound_and_a_kilo():
    assert money_sums.find_price_per_mass(
        Decimal("4.50"), 226_796, unit="lb", currency="USD"
    ) == Decimal("9.00")
    assert money_sums.find_price_per_mass(
        Decimal("4.50"), 250_000, unit="kg", currency="EUR"
    ) == Decimal("18.00")


def test_what_cannot_be_billed_is_refused():
    with pytest.raises(Refused):
        money_sums.find_quantity("stone", mass_mg=5)
    with pytest.raises(Refused):
        money_sums.find_price_per_mass(Decimal(1), 5, unit="pack", currency="USD")
    with pytest.raises(Refused):
        money_sums.bill_line(Decimal("NaN"), unit="kg", unit_price=Decimal(1), currency="USD")
    with pytest.raises(Refused):
        money_sums.bill_line(Decimal(1), unit="kg", unit_price=Decimal(-1), currency="USD")
