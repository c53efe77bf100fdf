"""A price of a list for the unit that is asked: as it stands there, or from kg to lb and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.arithmetic.money_sums import find_price_per_mass
from farmdesk.quantities.mass import mg_from

_OTHER_UNIT = {"kg": "lb", "lb": "kg"}


@dataclass(frozen=True)
class ListPrice:
    """A price found for one `unit`; `list_unit` says what the list has, if it was converted."""

    price: Decimal
    unit: str
    list_price: Decimal
    list_unit: str

    @property
    def is_converted(self) -> bool:
        """Whether the list has another unit, so that this is worked out and rounded."""
        return self.unit != self.list_unit


def choose_price(prices: Mapping[str, Decimal], unit: str, currency: str) -> ListPrice | None:
    """The price for one unit out of a product's prices by unit: its own, else the converted one.

    A converted price uses the exact pound and is rounded to the cent, as it is printed.
    """
    if unit in prices:
        return ListPrice(prices[unit], unit, prices[unit], unit)
    other = _OTHER_UNIT.get(unit, "")
    if other not in prices:
        return None
    # A price for 100 lb is a price for 45,359,237 mg: whole milligrams, so nothing is lost.
    hundred = mg_from(100, other)
    price = find_price_per_mass(
        prices[other] * 100,
        hundred,
        unit=unit,  # type: ignore[arg-type]
        currency=currency,
    )
    return ListPrice(price, unit, prices[other], other)
