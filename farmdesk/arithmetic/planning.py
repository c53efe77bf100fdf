"""From an order back to the blocks and days it takes, at a promise that is kept.

The expected number of blocks keeps a promise only every other time; the chance of having
enough is what is planned with.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from math import ceil, erf, exp, inf, lgamma, log, log1p, sqrt

from farmdesk.arithmetic.limits import HUNDRED, check_not_negative, check_positive
from farmdesk.arithmetic.spawn import find_parent_need
from farmdesk.errors import Problem, Refused, problem, refuse_any
from farmdesk.quantities.times import day_plus
from farmdesk.quantities.weeks import IsoWeek

MOST_BLOCKS = 20_000


@dataclass(frozen=True)
class BlockYield:
    """One block: share that crops, kg picked of those, share that can be sold, and variation.

    `block_cv` is from block to block, `batch_cv` of whole batches; both as shares of the mean.
    """

    share: float
    kg: float
    packout: float = 1.0
    block_cv: float = 0.25
    batch_cv: float = 0.0

    @property
    def expected_kg(self) -> float:
        """Saleable kg of a block inoculated, on average."""
        return self.share * self.kg * self.packout


@dataclass(frozen=True)
class BlockNeed:
    """Blocks for an amount at a promise (0 to 1), beside those that keep it half the time."""

    kg: float
    blocks: int
    chance: float
    even_blocks: int
    even_chance: float


@dataclass(frozen=True)
class LeadDays:
    """Days each step takes: plate, grain spawn, incubation, and opening to first pick."""

    plate: int
    spawn: int
    incubate: int
    open_to_pick: int


@dataclass(frozen=True)
class BackDates:
    """When to do what, 'YYYY-MM-DD', for a first pick on a day."""

    pick_on: str
    open_on: str
    inoculate_on: str
    spawn_on: str
    plate_on: str


@dataclass(frozen=True)
class SpawnPlan:
    """Spawn for the blocks, with reserve, and the master that grows into it, mg."""

    total_mg: int
    with_reserve_mg: int
    master_mg: int


@dataclass(frozen=True)
class Demand:
    """kg of a species wanted in an ISO week ('YYYY-Www')."""

    species: str
    week: str
    kg: float


@dataclass(frozen=True)
class PlannedWeek:
    """A week's demand, what stands already, the blocks for the rest, and its dates.

    `dates` is None when nothing is missing; `in_time` says whether they can still be kept, and
    `possible_week` is the first week that can be served by new blocks.
    """

    species: str
    week: str
    wanted_kg: float
    expected_kg: float
    need: BlockNeed | None
    dates: BackDates | None
    in_time: bool
    possible_week: str


def find_chance(blocks: int, kg: float, of: BlockYield) -> float:
    """Chance of at least so many kg, by the normal approximation to the sum of blocks."""
    if blocks <= 0:
        return 1.0 if kg <= 0 else 0.0
    mean = blocks * of.expected_kg
    square = of.share * (of.kg * of.packout) ** 2 * (1 + of.block_cv**2)
    variance = blocks * (square - of.expected_kg**2) + (mean * of.batch_cv) ** 2
    return _above(kg, mean, variance)


def find_exact_chance(blocks: int, kg: float, of: BlockYield) -> float:
    """Chance of at least so many kg, summed over how many blocks crop (binomial)."""
    if blocks <= 0:
        return 1.0 if kg <= 0 else 0.0
    each, found = of.kg * of.packout, 0.0
    for cropping in range(blocks + 1):
        mean = cropping * each
        variance = cropping * (each * of.block_cv) ** 2 + (mean * of.batch_cv) ** 2
        found += _binomial(cropping, blocks, of.share) * _above(kg, mean, variance)
    return min(found, 1.0)


def find_blocks(kg: float, of: BlockYield, *, promise: float = 0.9) -> BlockNeed:
    """The least number of blocks that keeps the promise, by the exact chance."""
    _check_yield(of)
    if not 0 < promise < 1:
        raise Refused(problem("share_out_of_range", what="promise", share=promise))
    even = max(0, ceil(kg / of.expected_kg - 1e-9))
    low, high = 0, max(1, even)
    while find_chance(high, kg, of) < promise:
        low, high = high, 2 * high
        if high > MOST_BLOCKS:
            raise Refused(
                problem("no_blocks_reach_the_promise", most=MOST_BLOCKS, promise=f"{promise:.0%}")
            )
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if find_chance(middle, kg, of) >= promise else (middle, high)
    blocks = high if kg > 0 else 0
    while blocks and find_exact_chance(blocks - 1, kg, of) >= promise:
        blocks -= 1
    while find_exact_chance(blocks, kg, of) < promise:
        blocks += 1
    chances = find_exact_chance(blocks, kg, of), find_exact_chance(even, kg, of)
    return BlockNeed(kg, blocks, chances[0], even, chances[1])


def find_dates(pick_on: str, lead: LeadDays, *, weekday: int | None = None) -> BackDates:
    """Dates back from a first pick; inoculation moves earlier to the farm's weekday (1 Monday).

    Opening stays where it is: blocks may wait a few days, the order may not.
    """
    refuse_any(check_not_negative(f"{name} days", days) for name, days in vars(lead).items())
    open_on = day_plus(pick_on, -lead.open_to_pick)
    inoculate_on = day_plus(open_on, -lead.incubate)
    if weekday is not None:
        _check_weekday(weekday)
        back = (date.fromisoformat(inoculate_on).isoweekday() - weekday) % 7
        inoculate_on = day_plus(inoculate_on, -back)
    spawn_on = day_plus(inoculate_on, -lead.spawn)
    return BackDates(pick_on, open_on, inoculate_on, spawn_on, day_plus(spawn_on, -lead.plate))


def find_first_pick(
    today: str, lead: LeadDays, *, weekday: int | None = None, spawn_ready: bool = False
) -> str:
    """The first day that blocks not yet made can be picked; a plate is at hand."""
    inoculate_on = today if spawn_ready else day_plus(today, lead.spawn)
    if weekday is not None:
        _check_weekday(weekday)
        ahead = (weekday - date.fromisoformat(inoculate_on).isoweekday()) % 7
        inoculate_on = day_plus(inoculate_on, ahead)
    return day_plus(inoculate_on, lead.incubate + lead.open_to_pick)


def find_spawn(
    blocks: int, *, per_block_mg: int, reserve_percent: Decimal, expansion: Decimal
) -> SpawnPlan:
    """Spawn for so many blocks and the master grain it grows from; reserves are rounded up."""
    refuse_any([check_not_negative("blocks", blocks), check_positive("spawn", per_block_mg)])
    refuse_any([check_not_negative("reserve", reserve_percent)])
    total = blocks * per_block_mg
    reserve = (total * (HUNDRED + reserve_percent) / HUNDRED).to_integral_value("ROUND_CEILING")
    return SpawnPlan(total, int(reserve), find_parent_need(int(reserve), expansion))


def plan_weeks(
    demands: Iterable[Demand],
    *,
    expected_kg: Mapping[tuple[str, str], float],
    yields: Mapping[str, BlockYield],
    leads: Mapping[str, LeadDays],
    today: str,
    weekday: int | None = None,
    promise: float = 0.9,
    spawn_ready: frozenset[str] = frozenset(),
) -> tuple[PlannedWeek, ...]:
    """Blocks and dates for each demand, after what standing bags are expected to give.

    First picks are aimed at the Monday of the week. `spawn_ready` names species whose spawn is
    at hand.
    """
    summed: dict[tuple[str, str], float] = {}
    for one in demands:
        summed[one.week, one.species] = summed.get((one.week, one.species), 0.0) + one.kg
    unknown = sorted({species for _, species in summed} - (set(yields) & set(leads)))
    if unknown:
        raise Refused(*(problem("species_without_crop", species=one) for one in unknown))
    planned = []
    for (week, species), kg in sorted(summed.items()):
        lead, standing = leads[species], expected_kg.get((species, week), 0.0)
        first = find_first_pick(today, lead, weekday=weekday, spawn_ready=species in spawn_ready)
        monday = IsoWeek.parse(week).monday
        possible = IsoWeek.of(first)
        if possible.monday < first:
            possible = possible.next()
        missing = kg - standing
        need = dates = None
        if missing > 0:
            need = find_blocks(missing, yields[species], promise=promise)
            dates = find_dates(monday, lead, weekday=weekday)
        in_time = missing <= 0 or first <= monday
        planned.append(
            PlannedWeek(species, week, kg, standing, need, dates, in_time, str(possible))
        )
    return tuple(planned)


def _above(kg: float, mean: float, variance: float) -> float:
    if variance <= 0:
        return 1.0 if mean >= kg - 1e-12 else 0.0
    return 0.5 * (1 + erf((mean - kg) / sqrt(2 * variance)))


def _binomial(count: int, of: int, share: float) -> float:
    if share >= 1:
        return 1.0 if count == of else 0.0
    ways = lgamma(of + 1) - lgamma(count + 1) - lgamma(of - count + 1)
    return exp(ways + count * log(share) + (of - count) * log1p(-share))


def _check_yield(of: BlockYield) -> None:
    refuse_any(_find_wrong(of))


def _find_wrong(of: BlockYield) -> Iterable[Problem | None]:
    if not 0 < of.share <= 1:
        yield problem("share_out_of_range", what="share that crops", share=of.share)
    if not 0 < of.packout <= 1:
        yield problem("share_out_of_range", what="saleable share", share=of.packout)
    yield check_positive("yield", Decimal(str(of.kg)) if of.kg < inf else Decimal(0))


def _check_weekday(weekday: int) -> None:
    if not 1 <= weekday <= 7:
        raise Refused(problem("weekday_wrong", weekday=weekday))
