"""What a block and a saleable kilogram cost: materials, labour, overhead and loss.

Each printed line is rounded to the currency's smallest unit and only printed lines are added.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.arithmetic.limits import HUNDRED, check_not_negative, check_percent, check_positive
from farmdesk.errors import Problem, Refused, problem, refuse_any
from farmdesk.quantities.money import round_money

KG_PER_LB = Decimal("0.45359237")


@dataclass(frozen=True)
class CostLine:
    """One thing that costs: an amount and the price of one; labour is hours and their wage."""

    name: str
    amount: Decimal
    unit_price: Decimal


@dataclass(frozen=True)
class BlockCost:
    """What a batch of blocks cost.

    `per_expected` spreads the cost over the blocks that remain after normal loss; blocks lost
    beyond that carry `abnormal_cost` (below zero when fewer were lost than is normal), and the
    rest, `good_cost`, is the worth of the good ones. Sums are None when there is nothing to
    divide by.
    """

    total: Decimal
    made: int
    good: int
    expected_good: Decimal
    per_made: Decimal
    per_good: Decimal | None
    per_expected: Decimal
    abnormal_lost: Decimal
    abnormal_cost: Decimal
    good_cost: Decimal


@dataclass(frozen=True)
class WeightCost:
    """The whole cost over what was saleable (kg), per kg and per lb."""

    total: Decimal
    saleable_kg: Decimal
    per_kg: Decimal
    per_lb: Decimal


def add_costs(lines: Iterable[CostLine], *, currency: str) -> Decimal:
    """The sum of rounded lines."""
    total = round_money(Decimal(0), currency)
    for line in lines:
        refuse_any([check_not_negative(line.name, line.amount)])
        refuse_any([check_not_negative(line.name, line.unit_price)])
        total += round_money(line.amount * line.unit_price, currency)
    return total


def cost_blocks(
    total: Decimal, *, made: int, good: int, normal_loss_percent: Decimal, currency: str
) -> BlockCost:
    """Cost per block made, per good block, and with loss parted into normal and abnormal."""
    refuse_any(_check_blocks(total, made, good, normal_loss_percent))
    expected = made * (HUNDRED - normal_loss_percent) / HUNDRED
    lost = expected - good
    abnormal_cost = round_money(total * lost / expected, currency)
    return BlockCost(
        total=total,
        made=made,
        good=good,
        expected_good=expected,
        per_made=round_money(total / made, currency),
        per_good=round_money(total / good, currency) if good else None,
        per_expected=round_money(total / expected, currency),
        abnormal_lost=lost,
        abnormal_cost=abnormal_cost,
        good_cost=total - abnormal_cost,
    )


def find_saleable(blocks: int, *, kg_per_block: Decimal, packout: Decimal) -> Decimal:
    """Saleable kg: blocks x kg picked of each x the share (0 to 1) that can be sold."""
    refuse_any([check_not_negative("blocks", blocks), check_not_negative("yield", kg_per_block)])
    if not 0 <= packout <= 1:
        raise Refused(problem("share_out_of_range", what="saleable share", share=packout))
    return blocks * kg_per_block * packout


def cost_weight(total: Decimal, *, saleable_kg: Decimal, currency: str) -> WeightCost:
    """Cost per saleable kg and lb: what was picked but not saleable is paid by the rest."""
    refuse_any([check_not_negative("cost", total)])
    if saleable_kg <= 0:
        raise Refused(problem("nothing_saleable"))
    exact = total / saleable_kg
    return WeightCost(
        total, saleable_kg, round_money(exact, currency), round_money(exact * KG_PER_LB, currency)
    )


def share_overhead(
    overhead: Decimal, place_weeks: Sequence[Decimal], *, currency: str
) -> tuple[Decimal, ...]:
    """Overhead by place-weeks on the shelf, so that the shares add up to it exactly."""
    refuse_any([check_not_negative("overhead", overhead)])
    refuse_any(check_not_negative("place-weeks", one) for one in place_weeks)
    refuse_any([check_positive("place-weeks", sum(place_weeks, Decimal(0)))])
    left, weeks_left, shares = overhead, sum(place_weeks, Decimal(0)), []
    for one in place_weeks:
        share = round_money(left * one / weeks_left, currency) if weeks_left else Decimal(0)
        shares.append(share)
        left -= share
        weeks_left -= one
    return tuple(shares)


def _check_blocks(
    total: Decimal, made: int, good: int, loss_percent: Decimal
) -> Iterable[Problem | None]:
    yield check_not_negative("cost", total)
    yield check_positive("blocks made", made)
    yield check_not_negative("good blocks", good)
    yield check_percent("normal loss", loss_percent)
    if good > made:
        yield problem("good_more_than_made", good=good, made=made)
