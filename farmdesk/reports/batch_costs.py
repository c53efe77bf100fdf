"""What each batch cost so far: goods and spawn of its own, work and overhead as shares.

Materials, spawn, supplies and the work of making belong to the block; growing, picking and
overhead to its time on the shelf. Work that names no batch is shared: making over the blocks
made in the same month, growing and overhead over the place-days of the month.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from farmdesk.arithmetic.block_costs import share_overhead
from farmdesk.arithmetic.place_weeks import DAYS_OF_WEEK, month_of, months_between
from farmdesk.domain.codes import kind_of
from farmdesk.domain.costs import MAKING, SELLING, CostSetting, Labour, LabPurchase, Overhead
from farmdesk.quantities.mass import MG_PER_KG
from farmdesk.quantities.money import round_money
from farmdesk.quantities.times import day_plus
from farmdesk.reports.cost_prices import Goods, UsedPrice, read_goods, read_setting
from farmdesk.reports.cost_words import TASK_WORDS
from farmdesk.reports.sum_question import Cohort, SumQuestion, read_cohort
from farmdesk.store.costs import BagEnds, bag_ends, picked_shares, spawn_uses, wasted_of_picks
from farmdesk.store.outcomes import BatchFacts, batch_facts
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

FIRST_DAY = "1950-01-01"
BLOCK_KINDS = ("materials", "spawn", "supplies", "making")
SHELF_KINDS = ("growing", "overhead")
KINDS = BLOCK_KINDS + SHELF_KINDS
_MINUTES = 60


@dataclass(frozen=True)
class CostShare:
    """One line of a batch's costs: of what kind, what for, how it came about."""

    kind: str
    what: str
    how: str
    cost: Decimal


@dataclass
class BatchCost:
    """A batch, its blocks, all lines of its costs, what it gave, and what has no price."""

    batch: int
    name: str
    made: int = 0
    lost: int = 0
    alive: int = 0
    picked_mg: int = 0
    saleable_mg: int = 0
    shares: list[CostShare] = field(default_factory=list)
    unpriced: set[str] = field(default_factory=set)
    estimated: set[str] = field(default_factory=set)

    @property
    def good(self) -> int:
        """Blocks that were not lost before they gave anything."""
        return self.made - self.lost

    def cost_of(self, kinds: Iterable[str]) -> Decimal:
        """What the lines of some kinds add up to."""
        wanted = frozenset(kinds)
        return sum((one.cost for one in self.shares if one.kind in wanted), Decimal(0))

    def add(self, kind: str, what: str, how: str, cost: Decimal) -> None:
        """Add a line, unless it costs nothing."""
        if cost:
            self.shares.append(CostShare(kind, what, how, cost))


@dataclass(frozen=True)
class CostBook:
    """The batches of a question with their costs, how they were counted, and what was left out.

    `unshared` is what could not be given to any batch: work or overhead of a month without one.
    """

    cohort: Cohort
    setting: CostSetting
    batches: Mapping[int, BatchCost]
    unshared: Decimal
    unused_runs: Decimal


def read_costs(reading: Reading, question: SumQuestion, *, now: str | None = None) -> CostBook:
    """What the batches that were asked for cost so far."""
    cohort = read_cohort(reading, question, now=now)
    currency = cohort.terms.farm.currency
    today = cohort.terms.today
    facts = batch_facts(reading, FIRST_DAY, today)
    ends = bag_ends(reading, FIRST_DAY, today)
    book = _Book(facts, ends, cohort, currency)
    blocks = [(at, one.inoculated_on, book.made[at]) for at, one in facts.items()]
    goods = read_goods(reading, blocks, currency)
    setting = read_setting(reading)
    unused = book.add_materials(goods)
    book.add_supplies(goods)
    book.add_spawn(reading, setting)
    book.add_own_work(reading.all(Labour), setting)
    unshared = book.share_pools(reading, setting)
    book.add_picked(reading)
    return CostBook(cohort, setting, book.costs, unshared, unused)


class _Book:
    """The costs of the asked batches while they are gathered; all batches share the pools."""

    def __init__(
        self,
        facts: Mapping[int, BatchFacts],
        ends: Sequence[BagEnds],
        cohort: Cohort,
        currency: str,
    ) -> None:
        self._facts, self._ends, self._cohort, self._currency = facts, ends, cohort, currency
        self.made = dict.fromkeys(facts, 0)
        self.costs = {at: BatchCost(at, one.name) for at, one in cohort.facts.items()}
        for one in ends:
            self.made[one.batch] += one.bags
            cost = self.costs.get(one.batch)
            if cost is not None:
                cost.made += one.bags
                cost.lost += one.bags if one.is_lost else 0
                cost.alive += one.bags if one.ended_on is None else 0

    def add_materials(self, goods: Goods) -> Decimal:
        """Each run's ingredients by its blocks; gives the cost of runs that nothing came from."""
        by_run: dict[int, list[int]] = {}
        for at, one in self._facts.items():
            if one.run is not None:
                by_run.setdefault(one.run, []).append(at)
        unused = Decimal(0)
        for run, used in goods.by_run.items():
            batches = [at for at in by_run.get(run, []) if self.made[at]]
            if not batches:
                unused += sum((one.cost for one in used), Decimal(0))
                continue
            if any(at in self.costs for at in batches):
                self._share_run(batches, used, self._cohort.runs.get(run, ""))
        return unused

    def _share_run(self, batches: Sequence[int], used: Sequence[UsedPrice], run: str) -> None:
        weights = [Decimal(self.made[at]) for at in batches]
        blocks = sum(self.made[at] for at in batches)
        mass = self._cohort.terms.formats.mass
        for one in used:
            shares = share_overhead(one.cost, weights, currency=self._currency)
            for at, share in zip(batches, shares, strict=True):
                cost = self.costs.get(at)
                if cost is None:
                    continue
                how = tr("{amount} in {run}, for {made} of {blocks} blocks").format(
                    amount=mass(one.amount), run=run, made=self.made[at], blocks=blocks
                )
                cost.add("materials", one.what, how, share)
                _doubt(cost, one)

    def add_supplies(self, goods: Goods) -> None:
        """Bags, filters, labels: pieces for each block made."""
        for at, cost in self.costs.items():
            for one in goods.by_batch.get(at, ()):
                pieces = self._cohort.terms.formats.number(Decimal(one.amount) / 1000, 1)
                how = tr("{pieces} pieces for {made} blocks").format(pieces=pieces, made=cost.made)
                cost.add("supplies", one.what, how, one.cost)
                _doubt(cost, one)

    def add_spawn(self, reading: Reading, setting: CostSetting) -> None:
        """Spawn by weight: at what was paid for its bag, else at the farm's own cost of a kg."""
        bought = {one.subject: one.price for one in reading.all(LabPurchase)}
        question = self._cohort.question
        mass = self._cohort.terms.formats.mass
        for use in spawn_uses(reading, question.first, question.last):
            cost = self.costs.get(use.batch)
            if cost is None:
                continue
            if use.spawn in bought and use.made_mg:
                price = bought[use.spawn] * use.amount_mg / use.made_mg
                how = tr("{amount} of a bought bag of {made}").format(
                    amount=mass(use.amount_mg), made=mass(use.made_mg)
                )
            elif setting.home_spawn_per_kg:
                price = setting.home_spawn_per_kg * use.amount_mg / MG_PER_KG
                how = tr("{amount}, made at home").format(amount=mass(use.amount_mg))
            else:
                cost.unpriced.add(tr("spawn"))
                continue
            cost.add("spawn", tr("Spawn"), how, round_money(price, self._currency))

    def add_own_work(self, labour: Sequence[Labour], setting: CostSetting) -> None:
        """Work that names its batch."""
        for one in labour:
            cost = self.costs.get(one.batch or 0)
            if cost is not None and one.task not in SELLING:
                kind = "making" if one.task in MAKING else "growing"
                how = tr("{minutes} min of its own").format(minutes=one.minutes)
                cost.add(kind, TASK_WORDS[one.task], how, self._wage(one.minutes, setting))

    def share_pools(self, reading: Reading, setting: CostSetting) -> Decimal:
        """Share what names no batch, month by month; gives what no batch could be given."""
        pools = self._pools(reading, setting)
        first = month_of(min((one.inoculated_on for one in self._cohort.facts.values()),
                             default=self._cohort.terms.today))  # fmt: skip
        # Before the farm's first batch there is none to bear it; later, other batches do.
        begun = month_of(min((one.inoculated_on for one in self._facts.values()), default=first))
        by_month = self._place_days(first)
        unshared = Decimal(0)
        for (kind, what, month), amount in sorted(pools.items()):
            if month < first:
                if month < begun:
                    unshared += amount
                continue
            if kind == "making":
                weights = {at: Decimal(self.made[at]) for at, one in self._facts.items()
                           if month_of(one.inoculated_on) == month and self.made[at]}  # fmt: skip
                unit = tr("blocks")
            else:
                weights = by_month.get(month, {})
                unit = tr("place-days")
            if not weights:
                unshared += amount
                continue
            self._share_pool(kind, what, month, amount, weights, unit)
        return unshared

    def _share_pool(
        self, kind: str, what: str, month: str, amount: Decimal,
        weights: Mapping[int, Decimal], unit: str,
    ) -> None:  # fmt: skip
        shares = share_overhead(amount, list(weights.values()), currency=self._currency)
        whole, number = sum(weights.values()), self._cohort.terms.formats.number
        for at, share in zip(weights, shares, strict=True):
            cost = self.costs.get(at)
            if cost is not None:
                how = tr("{month}: {part} of {whole} {unit}").format(
                    month=month, part=number(weights[at]), whole=number(whole), unit=unit
                )
                cost.add(kind, what, how, share)

    def _pools(self, reading: Reading, setting: CostSetting) -> dict[tuple[str, str, str], Decimal]:
        minutes: dict[tuple[str, str, str], int] = {}
        for one in reading.all(Labour):
            if one.batch is None and one.task not in SELLING:
                kind = "making" if one.task in MAKING else "growing"
                key = kind, TASK_WORDS[one.task], month_of(one.day)
                minutes[key] = minutes.get(key, 0) + one.minutes
        pools = {key: self._wage(amount, setting) for key, amount in minutes.items()}
        for bought in reading.all(LabPurchase):
            if kind_of(bought.subject) == "culture":
                key = "making", tr("Bought cultures"), month_of(bought.bought_on)
                pools[key] = pools.get(key, Decimal(0)) + bought.price
        today = self._cohort.terms.today
        for overhead in reading.all(Overhead):
            last = day_plus(min(overhead.to_on or today, today), 1)
            for month, days in months_between(overhead.from_on, last):
                key = "overhead", overhead.name, month
                amount = round_money(overhead.per_week * days / DAYS_OF_WEEK, self._currency)
                pools[key] = pools.get(key, Decimal(0)) + amount
        return pools

    def _place_days(self, first_month: str) -> dict[str, dict[int, Decimal]]:
        """Place-days of every batch by month, from a month on."""
        found: dict[str, dict[int, int]] = {}
        today = day_plus(self._cohort.terms.today, 1)
        start = f"{first_month}-01"
        for one in self._ends:
            end = one.ended_on or today
            if end < start:
                continue
            since = max(self._facts[one.batch].inoculated_on, start)
            for month, days in months_between(since, end):
                by_batch = found.setdefault(month, {})
                by_batch[one.batch] = by_batch.get(one.batch, 0) + days * one.bags
        return {month: {at: Decimal(days) for at, days in by_batch.items()}
                for month, by_batch in found.items()}  # fmt: skip

    def add_picked(self, reading: Reading) -> None:
        """What was picked, and what of it was not thrown away."""
        question = self._cohort.question
        wasted = wasted_of_picks(reading)
        for one in picked_shares(reading, question.first, question.last):
            cost = self.costs.get(one.batch)
            if cost is not None:
                gone = min(wasted.get(one.pick, 0), one.net_mg)
                cost.picked_mg += one.amount_mg
                lost = one.amount_mg * gone // one.net_mg if one.net_mg else 0
                cost.saleable_mg += one.amount_mg - lost

    def _wage(self, minutes: int, setting: CostSetting) -> Decimal:
        return round_money(setting.wage_per_hour * minutes / _MINUTES, self._currency)


def _doubt(cost: BatchCost, one: UsedPrice) -> None:
    if not one.is_priced:
        cost.unpriced.add(one.what)
    elif one.short:
        cost.estimated.add(one.what)
