"""What a customer or a product leaves over once everything it costs is taken off."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.arithmetic.limits import HUNDRED, check_not_negative
from farmdesk.errors import refuse_any
from farmdesk.quantities.money import round_money


@dataclass(frozen=True)
class Selling:
    """Sales to one customer or of one product: weights in kg, everything else in money."""

    revenue: Decimal
    sold_kg: Decimal
    cost_per_kg: Decimal
    unsold_kg: Decimal = Decimal(0)
    packaging: Decimal = Decimal(0)
    delivery: Decimal = Decimal(0)
    labour: Decimal = Decimal(0)
    fees: Decimal = Decimal(0)


@dataclass(frozen=True)
class Margin:
    """What is left over, in money and as percent of revenue (None without revenue).

    `grown` and `unsold` are the growing cost of what was sold and of what was brought in vain.
    """

    revenue: Decimal
    grown: Decimal
    unsold: Decimal
    selling: Decimal
    margin: Decimal
    percent: Decimal | None


def find_margin(selling: Selling, *, currency: str) -> Margin:
    """Revenue less growing cost of sold and unsold, packaging, delivery, labour and fees."""
    refuse_any(
        check_not_negative(name.replace("_", " "), amount) for name, amount in vars(selling).items()
    )
    grown = round_money(selling.sold_kg * selling.cost_per_kg, currency)
    unsold = round_money(selling.unsold_kg * selling.cost_per_kg, currency)
    paid = selling.packaging + selling.delivery + selling.labour + selling.fees
    margin = selling.revenue - grown - unsold - paid
    percent = None
    if selling.revenue:
        percent = (HUNDRED * margin / selling.revenue).quantize(
            Decimal("0.1"), rounding="ROUND_HALF_UP"
        )
    return Margin(selling.revenue, grown, unsold, paid, margin, percent)
