"""Stock, what is coming and what is promised: how much of a product is free on a day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from farmdesk.arithmetic.available import find_available
from farmdesk.domain.catalogue import Product, Species
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.trade import Order, OrderLine
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.forecast import FarmForecast, read_forecast
from farmdesk.store.sales import delivered_of_order, lots_with_stock, still_wanted
from farmdesk.store.sales_lists import delivered_of_orders, lines_of_orders, open_orders
from farmdesk.store.transaction import Reading

_MG = 1_000_000
"""Milligrams in a kilogram."""


@dataclass
class FarmSupply:
    """Stock, what is coming and what is promised, to answer how much is free on a day.

    A kilogram of a species is the same kilogram whether it is sold loose or filled into packs.
    """

    terms: FarmTerms
    products: Mapping[int, Product]
    lots: Sequence[Pick | Pack]
    forecast: FarmForecast | None
    species: Mapping[int, str]
    wanted: list[tuple[str, int, int]] = field(default_factory=list)
    """(day due, product, mg or packs) of all open orders."""
    asked: list[tuple[str, int, int, int, bool]] = field(default_factory=list)
    """The same with the order, and whether that was promised."""

    def free_loose(self, species: int | None, on: str, *, with_coming: bool = True) -> int:
        """Mg of a species that can be promised loose for a day; below nothing: too much is."""

        def coming(day: str) -> int:
            stock = sum(
                lot.left_mg for lot in self.lots
                if isinstance(lot, Pick) and lot.species == species and _is_good(lot, on)
            )  # fmt: skip
            return stock + (self._expected(species, day) if with_coming else 0)

        return find_available(coming, list(self._wanted_of(species, on)), on=on)

    def free_packs(self, product: Product, on: str, *, with_coming: bool = True) -> int:
        """Packs of a product that can be promised for a day, those to be filled counted in."""
        wanted = [(day, amount) for day, one, amount in self.wanted if one == product.id]
        made = find_available(lambda _: self._packs(product.id, on), wanted, on=on)
        if not with_coming or product.species is None or not product.pack_mg:
            return made
        loose = self.free_loose(product.species, on)
        return max(made, 0) + max(loose, 0) // product.pack_mg

    def free(self, product: Product, on: str, *, with_coming: bool = True) -> int:
        """Mg or packs of a product that can be promised for a day."""
        if product.unit == "pack":
            return self.free_packs(product, on, with_coming=with_coming)
        return self.free_loose(product.species, on, with_coming=with_coming)

    def promised(self, product: Product, on: str) -> int:
        """What is promised of a product until a day."""
        return sum(amount for day, one, amount in self.wanted if one == product.id and day <= on)

    def on_hand(self, product: Product, on: str) -> int:
        """What is on hand of a product that lasts until a day."""
        if product.unit == "pack":
            return self._packs(product.id, on)
        return sum(
            lot.left_mg for lot in self.lots
            if isinstance(lot, Pick) and lot.species == product.species and _is_good(lot, on)
        )  # fmt: skip

    def shelf_on(self, product: Product, on: str) -> str | None:
        """The earliest shelf date among the lots of a product that last until a day."""
        days = [
            lot.shelf_on for lot in self.lots
            if lot.shelf_on and _is_good(lot, on) and _is_of(lot, product)
        ]  # fmt: skip
        return min(days, default=None)

    def _packs(self, product: int, on: str) -> int:
        return sum(
            lot.left for lot in self.lots
            if isinstance(lot, Pack) and lot.product == product and _is_good(lot, on)
        )  # fmt: skip

    def _wanted_of(self, species: int | None, on: str) -> Iterator[tuple[str, int]]:
        """What orders take of the loose mushrooms of a species; packs that are there need none."""
        packs: dict[int, int] = {}
        for day, product_id, amount in sorted(self.wanted):
            product = self.products[product_id]
            if product.species != species:
                continue
            if product.unit != "pack":
                yield day, amount
                continue
            left = packs.setdefault(product_id, self._packs(product_id, on))
            packs[product_id] = max(0, left - amount)
            yield day, max(0, amount - left) * (product.pack_mg or 0)

    def _expected(self, species: int | None, day: str) -> int:
        """The low figure of what will be picked of a species by a day, mg."""
        if self.forecast is None or species is None:
            return 0
        name, today = self.species.get(species, ""), self.terms.today
        return sum(
            round(one.low_kg * _MG * _share_until(one.week, today, day))
            for one in self.forecast.forecast.weeks
            if one.species == name
        )


def read_supply(
    reading: Reading, *, now: str | None = None, with_forecast: bool = True
) -> FarmSupply:
    """Stock, forecast and open orders as they stand; lots that are held back are left out."""
    terms = read_terms(reading, now, for_others=True)
    supply = FarmSupply(
        terms=terms,
        products={one.id: one for one in reading.all(Product)},
        lots=[lot for lot in lots_with_stock(reading) if not lot.hold],
        forecast=read_forecast(reading, now=now) if with_forecast else None,
        species={one.id: one.name for one in reading.all(Species)},
    )
    orders = {one.id: one for one in open_orders(reading)}
    gone = delivered_of_orders(reading, orders)
    for line in lines_of_orders(reading, orders):
        due = max(orders[line.order].due_on, terms.today)
        if rest := still_wanted(line, gone):
            supply.wanted.append((due, line.product, rest))
            is_said = line.promised is not None
            supply.asked.append((due, line.product, rest, line.order, is_said))
    return supply


def free_for_lines(reading: Reading, order: Order, *, now: str | None = None) -> dict[int, int]:
    """How much of each line of an order can be promised, mg or packs, at most what was asked."""
    supply = read_supply(reading, now=now)
    day = max(order.due_on, supply.terms.today)
    gone = delivered_of_order(reading, order.id)
    lines = reading.all(OrderLine, order=order.id)
    # First come, first served: what was said counts, and what earlier orders ask for. Its own
    # lines share what they draw on.
    supply.wanted = [
        one[:3] for one in supply.asked
        if one[3] != order.id and (one[4] or (one[0], one[3]) < (day, order.id))
    ]  # fmt: skip
    found = {}
    for one in lines:
        product = supply.products[one.product]
        asked = still_wanted(replace(one, promised=None), gone)
        is_pack = product.unit == "pack"
        free = (
            supply.free_packs(product, day) if is_pack else supply.free_loose(product.species, day)
        )
        found[one.id] = max(0, min(asked, free))
        if found[one.id]:
            supply.wanted.append((day, one.product, found[one.id]))
    return found


def _is_good(lot: Pick | Pack, on: str) -> bool:
    return lot.shelf_on is None or lot.shelf_on >= on


def _is_of(lot: Pick | Pack, product: Product) -> bool:
    if isinstance(lot, Pack):
        return lot.product == product.id
    return product.unit != "pack" and lot.species == product.species


def _share_until(week: str, today: str, day: str) -> float:
    """How much of what a week will bring is there by a day: its days are taken as alike."""
    days = [one for one in IsoWeek.parse(week).days if one >= today]
    return sum(one <= day for one in days) / len(days) if days else 0.0
