"""The lists of the costs: goods bought, supplies, prices of the lab, hours of work, overhead."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.bags import Batch
from farmdesk.domain.catalogue import Ingredient, Person, Product
from farmdesk.domain.costs import CostSetting, Labour, LabPurchase, Overhead, Purchase, Supply
from farmdesk.domain.lab import Culture, Spawn
from farmdesk.quantities.times import day_plus
from farmdesk.reports.cost_prices import MILLI, read_goods, read_setting
from farmdesk.reports.farm_terms import read_terms
from farmdesk.store.costs import bag_ends
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.outcomes import batch_facts
from farmdesk.store.transaction import Reading

_FIRST_DAY = "1950-01-01"
Choices = tuple[tuple[int, str], ...]


@dataclass(frozen=True)
class PurchaseRow:
    """A lot that was bought: its price for one kilogram or piece, what is left, what was named."""

    id: int
    what: str
    lot: str
    amount_mg: int
    pieces: int
    price: Decimal
    per_unit: Decimal
    received_on: str
    use_by: str | None
    left_mg: int
    left_pieces: int
    named_mg: int
    seller: str
    note: str
    thing: Purchase


@dataclass(frozen=True)
class SupplyRow:
    """A supply with what is on hand of it, and its cost there."""

    id: int
    name: str
    use: str
    pieces: Decimal
    product: str
    left: Decimal
    left_cost: Decimal
    thing: Supply


@dataclass(frozen=True)
class LabPriceRow:
    """A culture or bag of spawn with what it cost, None for one without a noted price."""

    id: int
    name: str
    kind: str
    origin: str
    made_on: str
    price: Decimal | None


@dataclass(frozen=True)
class LabourRow:
    """Hours of work; `is_running` while its clock runs."""

    id: int
    day: str
    person: str
    task: str
    batch: str
    minutes: int
    is_running: bool
    note: str
    thing: Labour


@dataclass(frozen=True)
class CostLists:
    """All of the lists, and what their forms choose from."""

    setting: CostSetting
    purchases: tuple[PurchaseRow, ...]
    supplies: tuple[SupplyRow, ...]
    lab_prices: tuple[LabPriceRow, ...]
    labour: tuple[LabourRow, ...]
    overheads: tuple[Overhead, ...]
    ingredients: Choices
    products: Choices
    people: Choices
    batches: Choices


def load_cost_lists(store: FarmStore, since: str = "") -> CostLists:
    """The lists as they stand, with work from a day on, read in a transaction of their own."""
    with store.reading() as reading:
        return read_cost_lists(reading, since=since)


def read_cost_lists(reading: Reading, *, since: str = "", now: str | None = None) -> CostLists:
    """The lists as they stand, newest first; work of the last year unless a day is named."""
    terms = read_terms(reading, now)
    batches = reading.all(Batch)
    names = {one.id: one.name for one in batches}
    return CostLists(
        setting=read_setting(reading),
        purchases=_purchases(reading, terms.farm.currency),
        supplies=_supplies(reading, terms.farm.currency),
        lab_prices=_lab_prices(reading),
        labour=_labour(reading, names, since or day_plus(terms.today, -365)),
        overheads=tuple(sorted(reading.all(Overhead), key=lambda one: one.from_on, reverse=True)),
        ingredients=_choices(reading.all(Ingredient)),
        products=_choices(reading.all(Product)),
        people=_choices(reading.all(Person)),
        batches=tuple((one.id, one.name) for one in reversed(batches)),
    )


def _blocks(reading: Reading) -> list[tuple[int, str, int]]:
    last = "9999-12-31"
    made: dict[int, int] = {}
    for one in bag_ends(reading, _FIRST_DAY, last):
        made[one.batch] = made.get(one.batch, 0) + one.bags
    facts = batch_facts(reading, _FIRST_DAY, last)
    return [(at, one.inoculated_on, made.get(at, 0)) for at, one in facts.items()]


def _purchases(reading: Reading, currency: str) -> tuple[PurchaseRow, ...]:
    goods = read_goods(reading, _blocks(reading), currency)
    ingredients = {one.id: one.name for one in reading.all(Ingredient)}
    supplies = {one.id: one.name for one in reading.all(Supply)}
    rows = []
    for one in reading.all(Purchase):
        is_weighed = one.ingredient is not None
        what = ingredients.get(one.ingredient or 0) or supplies.get(one.supply or 0, "")
        kilograms = Decimal(one.amount_mg) / 1_000_000
        amount = kilograms if is_weighed else Decimal(one.pieces)
        left = goods.left.get(one.id, 0)
        key = one.ingredient or 0, one.lot.casefold()
        rows.append(
            PurchaseRow(
                one.id, what, one.lot, one.amount_mg, one.pieces, one.price,
                one.price / amount if amount else Decimal(0), one.received_on, one.use_by,
                left if is_weighed else 0, 0 if is_weighed else left,
                goods.named.get(key, 0) if one.lot else 0, one.seller, one.note, one,
            )
        )  # fmt: skip
    return tuple(sorted(rows, key=lambda row: (row.received_on, row.id), reverse=True))


def _supplies(reading: Reading, currency: str) -> tuple[SupplyRow, ...]:
    goods = read_goods(reading, _blocks(reading), currency)
    products = {one.id: one.name for one in reading.all(Product)}
    rows = []
    for one in reading.all(Supply):
        left, cost = goods.stock_cost.get(("supply", one.id), (0, Decimal(0)))
        rows.append(
            SupplyRow(
                one.id, one.name, one.use, one.pieces, products.get(one.product or 0, ""),
                Decimal(left) / MILLI, cost, one,
            )
        )  # fmt: skip
    return tuple(row for row in rows if not row.thing.retired)


def _lab_prices(reading: Reading) -> tuple[LabPriceRow, ...]:
    prices = {one.subject: one.price for one in reading.all(LabPurchase)}
    rows = [
        LabPriceRow(one.id, one.name, kind, one.origin, one.made_on, prices.get(one.id))
        for kind, things in (("spawn", reading.all(Spawn)), ("culture", reading.all(Culture)))
        for one in things
        # What was grown here has parents, and no price of its own.
        if one.origin or one.id in prices
    ]
    return tuple(sorted(rows, key=lambda row: (row.made_on, row.name), reverse=True))


def _labour(reading: Reading, batches: dict[int, str], since: str) -> tuple[LabourRow, ...]:
    people = {one.id: one.name for one in reading.all(Person)}
    rows = [
        LabourRow(
            one.id, one.day, people.get(one.person or 0, ""), one.task,
            batches.get(one.batch or 0, ""), one.minutes,
            one.started_at is not None and one.ended_at is None, one.note, one,
        )
        for one in reading.all(Labour)
        if one.day >= since
    ]  # fmt: skip
    return tuple(sorted(rows, key=lambda row: (row.is_running, row.day, row.id), reverse=True))


def _choices(things: list[Ingredient] | list[Product] | list[Person]) -> Choices:
    pairs = [(one.id, one.name) for one in things if not one.retired]
    return tuple(sorted(pairs, key=lambda pair: pair[1].casefold()))
