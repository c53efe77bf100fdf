"""Money sums: a line is its printed quantity x price, an invoice is the sum of its printed lines.

Every amount that is printed is rounded to the currency's smallest unit, halves away from zero,
and only printed amounts are added, so a customer who adds up the paper gets the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import floor
from typing import Literal

from farmdesk.arithmetic.limits import HUNDRED, check_not_negative, check_positive
from farmdesk.errors import Refused, problem, refuse_any
from farmdesk.quantities.mass import amount_in
from farmdesk.quantities.money import round_money

PriceUnit = Literal["kg", "lb", "pack"]
MASS_DECIMALS = {"kg": 3, "lb": 2}


@dataclass(frozen=True)
class BillLine:
    """What is billed: the quantity as printed, its unit, the price of one, the rounded total."""

    quantity: Decimal
    unit: PriceUnit
    unit_price: Decimal
    total: Decimal


@dataclass(frozen=True)
class Taxed:
    """An amount and the tax rate it falls under, percent."""

    amount: Decimal
    tax_percent: Decimal = Decimal(0)


@dataclass(frozen=True)
class TaxLine:
    """One tax rate: the net amount under it and the tax on that."""

    tax_percent: Decimal
    net: Decimal
    tax: Decimal


@dataclass(frozen=True)
class InvoiceTotals:
    """net + every tax = total, to the smallest unit; taxes by rate, lowest first."""

    net: Decimal
    taxes: tuple[TaxLine, ...]
    total: Decimal

    @property
    def tax(self) -> Decimal:
        """All taxes together."""
        return self.total - self.net


def find_quantity(
    unit: PriceUnit, *, mass_mg: int = 0, packs: int = 0, decimals: int | None = None
) -> Decimal:
    """The quantity as printed: kg to 0.001, lb to 0.01 (halves up), or whole packs."""
    refuse_any([check_not_negative("weight", mass_mg), check_not_negative("packs", packs)])
    if unit == "pack":
        return Decimal(packs)
    if unit not in MASS_DECIMALS:
        raise Refused(problem("price_unit_unknown", unit=unit))
    return _round_fraction(
        amount_in(mass_mg, unit), MASS_DECIMALS[unit] if decimals is None else decimals
    )


def bill_line(
    quantity: Decimal, *, unit: PriceUnit, unit_price: Decimal, currency: str
) -> BillLine:
    """One line of a bill; a negative quantity is a credit, a negative price is refused."""
    refuse_any([check_not_negative("price", unit_price)])
    if not quantity.is_finite():
        raise Refused(problem("quantity_not_a_number"))
    return BillLine(quantity, unit, unit_price, round_money(quantity * unit_price, currency))


def bill_mass(mass_mg: int, *, unit: PriceUnit, unit_price: Decimal, currency: str) -> BillLine:
    """One line of a bill for a weight, priced by kg or lb."""
    quantity = find_quantity(unit, mass_mg=mass_mg)
    return bill_line(quantity, unit=unit, unit_price=unit_price, currency=currency)


def total_invoice(
    lines: Sequence[Taxed], *, currency: str, prices_include_tax: bool = False
) -> InvoiceTotals:
    """The totals of an invoice; tax is found once for each rate, on the sum of its lines.

    When prices include tax the tax is taken out of them: amount x rate / (100 + rate).
    """
    refuse_any(check_not_negative("tax rate", line.tax_percent) for line in lines)
    sums: dict[Decimal, Decimal] = {}
    for line in lines:
        sums[line.tax_percent] = sums.get(line.tax_percent, Decimal(0)) + round_money(
            line.amount, currency
        )
    taxes = tuple(
        _tax_line(rate, amount, currency, prices_include_tax)
        for rate, amount in sorted(sums.items())
    )
    zero = round_money(Decimal(0), currency)
    net = sum((tax.net for tax in taxes), zero)
    return InvoiceTotals(
        net, tuple(tax for tax in taxes if tax.tax_percent), sum((tax.tax for tax in taxes), net)
    )


def find_price_per_mass(total: Decimal, mass_mg: int, *, unit: PriceUnit, currency: str) -> Decimal:
    """What a total comes to for one kg or lb, rounded: "how much do I get for a pound"."""
    refuse_any([check_positive("weight", mass_mg)])
    if unit not in MASS_DECIMALS:
        raise Refused(problem("price_unit_unknown", unit=unit))
    exact = amount_in(mass_mg, unit)
    return round_money(total * exact.denominator / exact.numerator, currency)


def _tax_line(rate: Decimal, amount: Decimal, currency: str, prices_include_tax: bool) -> TaxLine:
    if prices_include_tax:
        tax = round_money(amount * rate / (HUNDRED + rate), currency)
        return TaxLine(rate, amount - tax, tax)
    return TaxLine(rate, amount, round_money(amount * rate / HUNDRED, currency))


def _round_fraction(exact: Fraction, decimals: int) -> Decimal:
    return Decimal(floor(exact * 10**decimals + Fraction(1, 2))).scaleb(-decimals)
