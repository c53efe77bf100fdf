"""Spawn sums: rates, needs, what a bag serves, and which spawn ends in which block."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from farmdesk.arithmetic.limits import (
    HUNDRED,
    check_not_negative,
    check_percent,
    check_positive,
    round_half_up,
)
from farmdesk.arithmetic.portions import split_evenly
from farmdesk.errors import refuse_any


@dataclass(frozen=True)
class SpawnRate:
    """One amount of spawn in the three ways of saying it, percent."""

    of_substrate_percent: Decimal
    of_dry_percent: Decimal
    of_total_percent: Decimal


@dataclass(frozen=True)
class SpawnNeed:
    """Spawn for a batch: each block's part, all blocks, and with the reserve on top, mg."""

    per_block_mg: int
    total_mg: int
    with_reserve_mg: int


@dataclass(frozen=True)
class Serving:
    """How many blocks an amount of spawn serves, and what is left over."""

    blocks: int
    remainder_mg: int


@dataclass(frozen=True)
class SpawnLeft:
    """One bag or jar of spawn and what is left in it, mg."""

    id: int
    left_mg: int


@dataclass(frozen=True)
class Take:
    """An amount taken from one bag of spawn, mg."""

    spawn: int
    amount_mg: int


@dataclass(frozen=True)
class Draw:
    """What is taken from which bag, in the order asked, and what is then still missing."""

    takes: tuple[Take, ...]
    short_mg: int


@dataclass(frozen=True)
class Portion:
    """Spawn of one bag in one block; blocks count from 0."""

    block: int
    spawn: int
    amount_mg: int


def measure_rate(*, spawn_mg: int, substrate_mg: int, dry_mg: int) -> SpawnRate:
    """A spawn rate on wet substrate, on dry substrate, and on substrate and spawn together."""
    refuse_any(
        [
            check_not_negative("spawn", spawn_mg),
            check_positive("substrate", substrate_mg),
            check_positive("dry substrate", dry_mg),
        ]
    )
    spawn = HUNDRED * spawn_mg
    return SpawnRate(spawn / substrate_mg, spawn / dry_mg, spawn / (substrate_mg + spawn_mg))


def find_need(
    *,
    blocks: int,
    block_mg: int,
    rate_percent: Decimal,
    reserve_percent: Decimal = Decimal(0),
) -> SpawnNeed:
    """Spawn for so many blocks at a rate on wet substrate; the reserve is rounded up."""
    refuse_any(
        [
            check_positive("blocks", blocks),
            check_positive("block weight", block_mg),
            check_percent("spawn rate", rate_percent, whole_allowed=True),
            check_not_negative("reserve", reserve_percent),
        ]
    )
    per_block_mg = round_half_up(block_mg * rate_percent / HUNDRED)
    total_mg = per_block_mg * blocks
    with_reserve = total_mg * (HUNDRED + reserve_percent) / HUNDRED
    return SpawnNeed(
        per_block_mg, total_mg, int(with_reserve.to_integral_value(rounding=ROUND_CEILING))
    )


def find_parent_need(spawn_mg: int, expansion: Decimal) -> int:
    """Master or older spawn that grows into an amount at an expansion such as 10 (1:10), mg."""
    refuse_any([check_not_negative("spawn", spawn_mg), check_positive("expansion", expansion)])
    return int((spawn_mg / expansion).to_integral_value(rounding=ROUND_CEILING))


def count_served_blocks(spawn_mg: int, per_block_mg: int) -> Serving:
    """How many blocks an amount of spawn serves, and what is left over."""
    refuse_any(
        [check_not_negative("spawn", spawn_mg), check_positive("spawn per block", per_block_mg)]
    )
    return Serving(*divmod(spawn_mg, per_block_mg))


def draw_spawn(need_mg: int, bags: Sequence[SpawnLeft]) -> Draw:
    """Take what is needed from bags in the order given, emptying each before the next."""
    refuse_any([check_not_negative("spawn needed", need_mg)])
    refuse_any(check_not_negative("spawn left", bag.left_mg) for bag in bags)
    takes = []
    for bag in bags:
        amount_mg = min(need_mg, bag.left_mg)
        if amount_mg:
            takes.append(Take(bag.id, amount_mg))
            need_mg -= amount_mg
    return Draw(tuple(takes), need_mg)


def pour_spawn(takes: Sequence[Take], blocks: int) -> tuple[Portion, ...]:
    """Which spawn goes in which block when equal parts are poured bag after bag.

    All portions add up to all takes exactly. A block where one bag ran out and the next began
    has two portions: a mix. No block without spawn unless there is less than a mg for each.
    """
    refuse_any([check_positive("blocks", blocks)])
    refuse_any(check_positive("spawn", take.amount_mg) for take in takes)
    room = list(split_evenly(sum(take.amount_mg for take in takes), blocks))
    portions = []
    block = 0
    for take in takes:
        left_mg = take.amount_mg
        while left_mg:
            if not room[block]:
                block += 1
                continue
            amount_mg = min(left_mg, room[block])
            portions.append(Portion(block, take.spawn, amount_mg))
            room[block] -= amount_mg
            left_mg -= amount_mg
    return tuple(portions)
