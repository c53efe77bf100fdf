"""What goods cost when they were used: ingredients by heat run, supplies by block, spawn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from farmdesk.arithmetic.costs import (
    Issued,
    PricedIssue,
    Pricing,
    Received,
    left_of_receipts,
    price_issues,
)
from farmdesk.domain.catalogue import Ingredient
from farmdesk.domain.costs import FIFO, FOR_BLOCKS, FOR_PACKS, CostSetting, Purchase, Supply
from farmdesk.quantities.mass import MG_PER_KG
from farmdesk.store.costs import RunUse, packs_made, run_uses
from farmdesk.store.transaction import Reading

MILLI = 1_000
"""Pieces are counted in thousandths, so that half a label for each block can be said."""


@dataclass(frozen=True)
class Use:
    """An amount that went out on a day, for a run, a batch or a pack; mg or thousandths."""

    day: str
    key: int
    amount: int


@dataclass(frozen=True)
class UsedPrice:
    """What one use cost, and whether something had not been bought or has no price at all."""

    key: int
    what: str
    amount: int
    cost: Decimal
    short: int
    is_priced: bool


@dataclass(frozen=True)
class Goods:
    """All goods: each use priced, each purchase with what is left of it."""

    by_run: Mapping[int, tuple[UsedPrice, ...]]
    by_batch: Mapping[int, tuple[UsedPrice, ...]]
    left: Mapping[int, int]
    """By purchase: mg or pieces left when the oldest is used first."""
    stock_cost: Mapping[tuple[str, int], tuple[int, Decimal]]
    """By ('ingredient' or 'supply', id): what is left (mg or thousandths) and its cost."""
    named: Mapping[tuple[int, str], int] = field(default_factory=dict)
    """By (ingredient, lot text): mg that heat runs named of that lot."""
    packing: Mapping[str, Decimal] = field(default_factory=dict)
    """By day: what supplies for packs cost."""


def read_setting(reading: Reading) -> CostSetting:
    """How the farm counts its costs; the usual way before it was chosen."""
    return reading.first(CostSetting) or CostSetting(0)


def read_goods(reading: Reading, blocks: Sequence[tuple[int, str, int]], currency: str) -> Goods:
    """Goods priced by the farm's method; `blocks` are (batch, day, blocks made)."""
    setting = read_setting(reading)
    purchases = sorted(reading.all(Purchase), key=lambda one: (one.received_on, one.id))
    uses = run_uses(reading)
    pricer = _Pricer(purchases, setting.method == FIFO, currency)
    by_run: dict[int, list[UsedPrice]] = {}
    for one in reading.all(Ingredient):
        mine = [Use(use.run_on, use.run, use.amount_mg) for use in uses if use.ingredient == one.id]
        usual = None if one.cost_per_kg is None else one.cost_per_kg / MG_PER_KG
        for used in pricer.price_ingredient(one.id, one.name, mine, usual):
            by_run.setdefault(used.key, []).append(used)
    by_batch: dict[int, list[UsedPrice]] = {}
    packing: dict[str, Decimal] = {}
    packed = list(packs_made(reading))
    for supply in reading.all(Supply):
        if supply.use == FOR_BLOCKS:
            mine = [Use(day, batch, round(made * supply.pieces * MILLI))
                    for batch, day, made in blocks if made]  # fmt: skip
            for used in pricer.price_supply(supply, mine):
                by_batch.setdefault(used.key, []).append(used)
        elif supply.use == FOR_PACKS:
            _price_packing(pricer, supply, packed, packing)
        else:
            pricer.price_supply(supply, [])
    return Goods(
        {key: tuple(found) for key, found in by_run.items()},
        {key: tuple(found) for key, found in by_batch.items()},
        pricer.left, pricer.stock_cost, _named(uses), packing,
    )  # fmt: skip


def _price_packing(
    pricer: _Pricer,
    supply: Supply,
    packed: Iterable[tuple[int, str, int]],
    packing: dict[str, Decimal],
) -> None:
    uses = [
        Use(day, at, round(count * supply.pieces * MILLI))
        for at, (product, day, count) in enumerate(packed)
        if supply.product in (None, product)
    ]
    for use, used in zip(uses, pricer.price_supply(supply, uses), strict=True):
        packing[use.day] = packing.get(use.day, Decimal(0)) + used.cost


def _named(uses: Iterable[RunUse]) -> dict[tuple[int, str], int]:
    named: dict[tuple[int, str], int] = {}
    for use in uses:
        if use.lot.strip():
            key = use.ingredient, use.lot.strip().casefold()
            named[key] = named.get(key, 0) + use.amount_mg
    return named


class _Pricer:
    """Prices one good after the other, and keeps what is left of each purchase."""

    def __init__(self, purchases: Sequence[Purchase], is_fifo: bool, currency: str) -> None:
        self._purchases = purchases
        self._is_fifo = is_fifo
        self._currency = currency
        self.left: dict[int, int] = {}
        self.stock_cost: dict[tuple[str, int], tuple[int, Decimal]] = {}

    def price_ingredient(
        self, ingredient: int, name: str, uses: Sequence[Use], usual: Decimal | None
    ) -> list[UsedPrice]:
        bought = [one for one in self._purchases if one.ingredient == ingredient]
        amounts = [one.amount_mg for one in bought]
        pricing = self._price(bought, amounts, uses, usual)
        self._keep_left(bought, amounts, uses, 1)
        self.stock_cost["ingredient", ingredient] = pricing.left, pricing.left_cost
        return _used(name, uses, pricing.issues, has_price=usual is not None)

    def price_supply(self, supply: Supply, uses: Sequence[Use]) -> list[UsedPrice]:
        bought = [one for one in self._purchases if one.supply == supply.id]
        amounts = [one.pieces * MILLI for one in bought]
        # A piece that nobody noted buying costs what the last ones did.
        last = next((one for one in reversed(bought) if one.pieces), None)
        usual = None if last is None else last.price / (last.pieces * MILLI)
        pricing = self._price(bought, amounts, uses, usual)
        self._keep_left(bought, amounts, uses, MILLI)
        self.stock_cost["supply", supply.id] = pricing.left, pricing.left_cost
        return _used(supply.name, uses, pricing.issues, has_price=usual is not None)

    def _price(
        self,
        bought: Sequence[Purchase],
        amounts: Sequence[int],
        uses: Sequence[Use],
        usual: Decimal | None,
    ) -> Pricing:
        # Of one day what came counts before what went, as goods are carried in before the mix.
        received = [
            (one.received_on, 0, Received(amount, one.price))
            for one, amount in zip(bought, amounts, strict=True)
        ]
        issued = [(one.day, 1, Issued(one.amount)) for one in uses]
        moves: list[tuple[str, int, Received | Issued]] = [*received, *issued]
        moves.sort(key=lambda move: move[:2])
        return price_issues(
            [move for _, _, move in moves],
            first_in_first_out=self._is_fifo,
            currency=self._currency,
            usual_price=usual,
        )

    def _keep_left(
        self, bought: Sequence[Purchase], amounts: Sequence[int], uses: Sequence[Use], part: int
    ) -> None:
        gone = sum(use.amount for use in uses)
        for one, left in zip(bought, left_of_receipts(amounts, gone), strict=True):
            self.left[one.id] = left // part


def _used(
    what: str, uses: Sequence[Use], issues: Sequence[PricedIssue], *, has_price: bool
) -> list[UsedPrice]:
    """Each use with its price; issues stand in the order of days, and so do uses."""
    order = sorted(range(len(uses)), key=lambda at: uses[at].day)
    found: dict[int, UsedPrice] = {}
    for at, issue in zip(order, issues, strict=True):
        is_priced = has_price or not issue.short
        found[at] = UsedPrice(
            uses[at].key, what, uses[at].amount, issue.cost, issue.short, is_priced
        )
    return [found[at] for at in range(len(uses))]
