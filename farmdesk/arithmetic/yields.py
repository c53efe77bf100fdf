"""Yield sums: biological efficiency by flush, kg per block, and a crate shared over its bags.

Biological efficiency is fresh weight picked / dry substrate, in percent; above 100 is normal. It
is given on opened blocks (how the room did) and on made blocks (how the farm did).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from farmdesk.arithmetic.limits import HUNDRED, check_not_negative, check_positive
from farmdesk.arithmetic.portions import split_exactly
from farmdesk.errors import Problem, problem, refuse_any

Basis = Literal["measured", "allocated"]


@dataclass(frozen=True)
class Blocks:
    """What yield is divided by: blocks and their dry matter (mg), as made and as opened."""

    made: int
    opened: int
    dry_made_mg: int
    dry_opened_mg: int


@dataclass(frozen=True)
class Yield:
    """One amount picked, over opened and over made blocks; None where there are no blocks."""

    picked_mg: int
    efficiency_opened_percent: Decimal | None
    efficiency_made_percent: Decimal | None
    per_opened_mg: Decimal | None
    per_made_mg: Decimal | None


@dataclass(frozen=True)
class FlushYield:
    """One flush alone, everything up to and with it, and its share of all picked so far."""

    flush: int
    alone: Yield
    cumulative: Yield
    share_percent: Decimal


@dataclass(frozen=True)
class BatchYield:
    """All flushes in order and the whole."""

    flushes: tuple[FlushYield, ...]
    whole: Yield


@dataclass(frozen=True)
class BagYield:
    """What one bag of a crate gave: measured when it was alone in it, else allocated."""

    bag: int
    picked_mg: int
    basis: Basis


@dataclass(frozen=True)
class FlushStay:
    """What a flush gives per opened block, mg, and the days on the shelf it takes for it.

    The days run from the last pick before, or from opening for the first flush.
    """

    flush: int
    per_block_mg: Decimal
    days: Decimal


@dataclass(frozen=True)
class FlushWorth:
    """A flush in mg for each place and week: alone, with all before it, and a fresh block."""

    flush: int
    alone_mg: Decimal
    so_far_mg: Decimal
    fresh_mg: Decimal

    @property
    def is_worth_waiting(self) -> bool:
        """Whether the place gives no less with this flush than with a fresh block."""
        return self.alone_mg >= self.fresh_mg


def make_blocks(*, made: int, opened: int, dry_per_block_mg: int) -> Blocks:
    """Blocks that all have the same dry matter."""
    return Blocks(made, opened, made * dry_per_block_mg, opened * dry_per_block_mg)


def sum_blocks(blocks: Iterable[Blocks]) -> Blocks:
    """Several batches as one denominator."""
    every = tuple(blocks)
    return Blocks(
        made=sum(one.made for one in every),
        opened=sum(one.opened for one in every),
        dry_made_mg=sum(one.dry_made_mg for one in every),
        dry_opened_mg=sum(one.dry_opened_mg for one in every),
    )


def measure_yields(picked_by_flush: Mapping[int, int], blocks: Blocks) -> BatchYield:
    """Yields of a batch from mg picked by flush number."""
    refuse_any(
        [
            *_check_blocks(blocks),
            *(check_positive("flush number", flush) for flush in picked_by_flush),
            *(check_not_negative("picked weight", mg) for mg in picked_by_flush.values()),
        ]
    )
    total_mg = sum(picked_by_flush.values())
    flushes = []
    so_far_mg = 0
    for flush, picked_mg in sorted(picked_by_flush.items()):
        so_far_mg += picked_mg
        flushes.append(
            FlushYield(
                flush=flush,
                alone=measure_yield(picked_mg, blocks),
                cumulative=measure_yield(so_far_mg, blocks),
                share_percent=_divide(HUNDRED * picked_mg, total_mg) or Decimal(0),
            )
        )
    return BatchYield(tuple(flushes), measure_yield(total_mg, blocks))


def measure_yield(picked_mg: int, blocks: Blocks) -> Yield:
    """One amount picked over its blocks."""
    refuse_any([*_check_blocks(blocks), check_not_negative("picked weight", picked_mg)])
    return Yield(
        picked_mg=picked_mg,
        efficiency_opened_percent=_divide(HUNDRED * picked_mg, blocks.dry_opened_mg),
        efficiency_made_percent=_divide(HUNDRED * picked_mg, blocks.dry_made_mg),
        per_opened_mg=_divide(Decimal(picked_mg), blocks.opened),
        per_made_mg=_divide(Decimal(picked_mg), blocks.made),
    )


def measure_place_week(picked_mg: int, *, places: int, weeks: Decimal) -> Decimal:
    """Milligrams picked for each shelf place and week occupied: tells when to clear a shelf."""
    refuse_any(
        [
            check_not_negative("picked weight", picked_mg),
            check_positive("shelf places", places),
            check_positive("weeks", weeks),
        ]
    )
    return picked_mg / (places * weeks)


def measure_work(picked_mg: int, *, minutes: int) -> Decimal | None:
    """Milligrams picked for each hour of work, to the milligram; None without work."""
    refuse_any(
        [check_not_negative("picked weight", picked_mg), check_not_negative("work", minutes)]
    )
    rate = _divide(Decimal(60) * picked_mg, minutes)
    return None if rate is None else rate.quantize(Decimal(1))


def rate_flushes(flushes: Sequence[FlushStay]) -> tuple[FlushWorth, ...]:
    """What each flush is worth for the place it takes, against a fresh block in the same place.

    A fresh block gives what a whole cycle gives on average when it is cleared at the best time:
    the stop after which (kg so far) / (weeks so far) is highest. A flush that gives less than
    that for its own weeks is better not waited for (the marginal value theorem, Charnov 1976).
    """
    refuse_any(
        [
            *(check_not_negative("picked weight", one.per_block_mg) for one in flushes),
            *(check_positive("days", one.days) for one in flushes),
        ]
    )
    so_far_mg, so_far_days = Decimal(0), Decimal(0)
    rates: list[Decimal] = []
    for one in flushes:
        so_far_mg, so_far_days = so_far_mg + one.per_block_mg, so_far_days + one.days
        rates.append(7 * so_far_mg / so_far_days)
    fresh_mg = max(rates, default=Decimal(0))
    return tuple(
        FlushWorth(one.flush, 7 * one.per_block_mg / one.days, rate, fresh_mg)
        for one, rate in zip(flushes, rates, strict=True)
    )


def measure_production_rate(efficiency_percent: Decimal, *, days: int) -> Decimal:
    """Biological efficiency for each day of the cycle, percent a day."""
    refuse_any([check_positive("days", days)])
    return efficiency_percent / days


def share_crate(
    net_mg: int, bags: Sequence[int], weights: Mapping[int, int] | None = None
) -> tuple[BagYield, ...]:
    """Share a crate's net weight over its bags to the milligram.

    In proportion to weights (a bag without one counts as 0), or evenly when none are given. One
    bag alone was measured; several are allocated, and every figure says which.
    """
    refuse_any([_check_unlike(bags)])
    basis: Basis = "measured" if len(bags) == 1 else "allocated"
    proportions = [weights.get(bag, 0) if weights else 1 for bag in bags]
    shares = split_exactly(net_mg, proportions)
    return tuple(BagYield(bag, mg, basis) for bag, mg in zip(bags, shares, strict=True))


def _check_blocks(blocks: Blocks) -> Iterable[Problem | None]:
    more_opened = blocks.opened > blocks.made or blocks.dry_opened_mg > blocks.dry_made_mg
    return (
        check_not_negative("blocks made", blocks.made),
        check_not_negative("blocks opened", blocks.opened),
        check_not_negative("dry weight made", blocks.dry_made_mg),
        check_not_negative("dry weight opened", blocks.dry_opened_mg),
        problem("more_opened_than_made", made=blocks.made, opened=blocks.opened)
        if more_opened
        else None,
    )


def _check_unlike(bags: Sequence[int]) -> Problem | None:
    if len(set(bags)) == len(bags):
        return None
    return problem("bag_twice_in_crate")


def _divide(amount: Decimal, divisor: int) -> Decimal | None:
    return amount / divisor if divisor else None
