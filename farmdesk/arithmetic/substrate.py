"""Substrate sums: what to weigh, how much water, how many blocks.

Moisture is wet basis (water / whole weight) everywhere, in percent. Formulas are the wet-basis
mass balance: dry D = sum w(1 - m), whole F = D / (1 - M), water W = F - sum w.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from farmdesk.arithmetic.limits import (
    HUNDRED,
    check_not_negative,
    check_percent,
    check_positive,
    round_half_up,
)
from farmdesk.arithmetic.portions import split_exactly
from farmdesk.errors import Problem, Refused, problem, refuse_any

# Three thirds typed as 33.33 % still add up; 99.9 % does not.
SHARES_TOLERANCE_PERCENT = Decimal("0.05")
MG_PER_LITRE_OF_WATER = Decimal(1_000_000)
LITRES_PER_US_GALLON = Decimal("3.785411784")


@dataclass(frozen=True)
class RecipePart:
    """One ingredient of a recipe: its share of the dry mass and its own moisture, percent."""

    name: str
    share_percent: Decimal
    moisture_percent: Decimal


@dataclass(frozen=True)
class Weighed:
    """An ingredient as it lies on the scale, with its own moisture, percent of wet weight."""

    name: str
    as_is_mg: int
    moisture_percent: Decimal

    @property
    def dry_mg(self) -> int:
        """Its dry matter, mg."""
        return find_dry_mass(self.as_is_mg, self.moisture_percent)


@dataclass(frozen=True)
class Ingredient:
    """One line of the weighing list: as-is weight and the dry matter in it, mg."""

    name: str
    as_is_mg: int
    dry_mg: int


@dataclass(frozen=True)
class Mix:
    """A whole mix; as-is weights and water add up to `total_mg` exactly."""

    blocks: int
    block_mg: int
    total_mg: int
    dry_mg: int
    water_mg: int
    moisture_percent: Decimal
    ingredients: tuple[Ingredient, ...]


@dataclass(frozen=True)
class WaterToAdd:
    """Water for weights that were given: `total_mg` = `as_is_mg` + `water_mg`."""

    as_is_mg: int
    dry_mg: int
    water_mg: int
    total_mg: int


@dataclass(frozen=True)
class BlockCount:
    """How many whole blocks there are, and what is left over."""

    blocks: int
    remainder_mg: int


@dataclass(frozen=True)
class SupplementShare:
    """A supplement in both ways of saying it; percent of dry mass."""

    of_total_percent: Decimal
    of_base_percent: Decimal


@dataclass(frozen=True)
class WaterVolume:
    """Water by volume, 1 kg taken as 1 L."""

    litres: Decimal
    us_gallons: Decimal


def plan_mix(
    parts: Sequence[RecipePart],
    *,
    blocks: int,
    block_mg: int,
    moisture_percent: Decimal,
    loss_percent: Decimal = Decimal(0),
) -> Mix:
    """What to weigh for so many blocks of one wet weight at a target moisture.

    `loss_percent` is what stays in the hopper, percent of the whole mix. Refused when shares
    don't add up, a figure is out of range, or the ingredients are wetter than the target.
    """
    refuse_any(
        [
            check_positive("blocks", blocks),
            check_positive("block weight", block_mg),
            check_percent("target moisture", moisture_percent),
            check_percent("loss", loss_percent),
            *check_recipe(parts),
        ]
    )
    total_mg = round_half_up(blocks * block_mg * HUNDRED / (HUNDRED - loss_percent))
    dry_mg = find_dry_mass(total_mg, moisture_percent)
    dry_by_part = split_exactly(dry_mg, [part.share_percent for part in parts])
    ingredients = tuple(
        Ingredient(part.name, _find_as_is_mass(part_dry, part.moisture_percent), part_dry)
        for part, part_dry in zip(parts, dry_by_part, strict=True)
    )
    as_is_mg = sum(one.as_is_mg for one in ingredients)
    if as_is_mg > total_mg:
        raise Refused(_say_too_wet(as_is_mg, dry_mg, moisture_percent))
    return Mix(
        blocks=blocks,
        block_mg=block_mg,
        total_mg=total_mg,
        dry_mg=dry_mg,
        water_mg=total_mg - as_is_mg,
        moisture_percent=moisture_percent,
        ingredients=ingredients,
    )


def check_recipe(parts: Sequence[RecipePart]) -> tuple[Problem, ...]:
    """Everything that is wrong with a recipe's shares and moistures; empty when it is sound."""
    if not parts:
        return (problem("recipe_empty"),)
    found = [
        one
        for part in parts
        for one in (
            check_percent(f"share of {part.name}", part.share_percent, whole_allowed=True),
            check_percent(f"moisture of {part.name}", part.moisture_percent),
        )
        if one is not None
    ]
    if not found:
        total = sum((part.share_percent for part in parts), Decimal(0))
        if abs(total - HUNDRED) > SHARES_TOLERANCE_PERCENT:
            found.append(
                problem("recipe_shares_off", total_percent=total, off_percent=abs(total - HUNDRED))
            )
    return tuple(found)


def add_water(weighed: Sequence[Weighed], *, moisture_percent: Decimal) -> WaterToAdd:
    """Water that brings given as-is weights to a target moisture.

    Refused when they are already wetter: `find_dry_stock` then says how much dry stock to add.
    """
    _check_weighed(weighed)
    refuse_any([check_percent("target moisture", moisture_percent)])
    as_is_mg = sum(one.as_is_mg for one in weighed)
    dry = _sum_dry(weighed)
    total_mg = round_half_up(dry * HUNDRED / (HUNDRED - moisture_percent))
    if total_mg < as_is_mg:
        raise Refused(_say_too_wet(as_is_mg, round_half_up(dry), moisture_percent))
    return WaterToAdd(as_is_mg, round_half_up(dry), total_mg - as_is_mg, total_mg)


def find_dry_stock(
    *, total_mg: int, dry_mg: int, moisture_percent: Decimal, stock_moisture_percent: Decimal
) -> int:
    """Dry stock to add to a mix that is too wet, mg, rounded up; 0 when it is not too wet.

    y = ((1-M)T - D) / ((1-m) - (1-M)). Refused when the stock itself is as wet as the target.
    """
    refuse_any(
        [
            check_positive("total weight", total_mg),
            check_not_negative("dry weight", dry_mg),
            check_percent("target moisture", moisture_percent),
            check_percent("moisture of the dry stock", stock_moisture_percent),
        ]
    )
    if dry_mg > total_mg:
        raise Refused(problem("drier_than_dry"))
    if stock_moisture_percent >= moisture_percent:
        raise Refused(
            problem(
                "stock_not_dry_enough",
                stock_percent=stock_moisture_percent,
                target_percent=moisture_percent,
            )
        )
    missing = (HUNDRED - moisture_percent) * total_mg / HUNDRED - dry_mg
    gain = (moisture_percent - stock_moisture_percent) / HUNDRED
    return max(0, int((missing / gain).to_integral_value(rounding=ROUND_CEILING)))


def suggest_dry_stock(
    refused: Refused, *, moisture_percent: Decimal, stocks: Sequence[tuple[str, Decimal]]
) -> tuple[str, int] | None:
    """What would mend a mix that was refused as too wet: the driest stock and how much, mg.

    `stocks` are names with their moisture. None when it was refused for something else, or no
    stock is drier than the target.
    """
    wet = refused.problems[0]
    name, moisture = min(stocks, key=lambda one: one[1], default=("", moisture_percent))
    if wet.code != "substrate_too_wet" or moisture >= moisture_percent:
        return None
    amount_mg = find_dry_stock(
        total_mg=int(str(wet.facts["as_is_mg"])),
        dry_mg=int(str(wet.facts["dry_mg"])),
        moisture_percent=moisture_percent,
        stock_moisture_percent=moisture,
    )
    return name, amount_mg


def measure_moisture(*, wet_mg: int, dry_mg: int) -> Decimal:
    """Moisture of a sample from its dry-down, percent of wet weight: (wet - dry) / wet."""
    refuse_any([check_positive("wet weight", wet_mg), check_not_negative("dry weight", dry_mg)])
    if dry_mg > wet_mg:
        raise Refused(problem("drier_than_dry"))
    return HUNDRED * (wet_mg - dry_mg) / Decimal(wet_mg)


def blend_moisture(weighed: Sequence[Weighed]) -> Decimal:
    """Moisture of several things together, percent of wet weight: all water / all weight."""
    _check_weighed(weighed)
    as_is_mg = sum(one.as_is_mg for one in weighed)
    refuse_any([check_positive("total weight", as_is_mg)])
    return HUNDRED * (as_is_mg - _sum_dry(weighed)) / as_is_mg


def count_blocks(total_mg: int, block_mg: int) -> BlockCount:
    """How many whole blocks a mix fills, and what is left over."""
    refuse_any(
        [check_not_negative("total weight", total_mg), check_positive("block weight", block_mg)]
    )
    return BlockCount(*divmod(total_mg, block_mg))


def find_dry_mass(wet_mg: int, moisture_percent: Decimal) -> int:
    """Dry matter in a wet weight, mg; of a filled block it is the yield's denominator."""
    refuse_any(
        [
            check_not_negative("wet weight", wet_mg),
            check_percent("moisture", moisture_percent, whole_allowed=True),
        ]
    )
    return round_half_up(wet_mg * (HUNDRED - moisture_percent) / HUNDRED)


def find_dry_basis(moisture_percent: Decimal) -> Decimal:
    """Wet-basis moisture said on dry basis (water / dry matter), percent: 60 % is 150 %."""
    refuse_any([check_percent("moisture", moisture_percent)])
    return HUNDRED * moisture_percent / (HUNDRED - moisture_percent)


def convert_supplement_to_base(of_total_percent: Decimal) -> Decimal:
    """A share of total dry mass said as a share of the base, minerals aside: r = s / (1 - s)."""
    refuse_any([check_percent("supplement", of_total_percent)])
    return HUNDRED * of_total_percent / (HUNDRED - of_total_percent)


def convert_supplement_to_total(of_base_percent: Decimal) -> Decimal:
    """A share of the base said as a share of total dry mass, minerals aside: s = r / (1 + r)."""
    refuse_any([check_not_negative("supplement", of_base_percent)])
    return HUNDRED * of_base_percent / (HUNDRED + of_base_percent)


def measure_supplement(*, supplement_mg: int, base_mg: int, other_mg: int = 0) -> SupplementShare:
    """A supplement's share of all dry mass and of the base alone, from dry weights."""
    refuse_any(
        [
            check_not_negative("supplement", supplement_mg),
            check_positive("base", base_mg),
            check_not_negative("other dry matter", other_mg),
        ]
    )
    total = Decimal(supplement_mg + base_mg + other_mg)
    return SupplementShare(HUNDRED * supplement_mg / total, HUNDRED * supplement_mg / base_mg)


def measure_water(water_mg: int) -> WaterVolume:
    """Water by volume, for a farm that measures it with a jug."""
    litres = water_mg / MG_PER_LITRE_OF_WATER
    return WaterVolume(litres, litres / LITRES_PER_US_GALLON)


def _check_weighed(weighed: Sequence[Weighed]) -> None:
    refuse_any(
        found
        for one in weighed
        for found in (
            check_not_negative(f"weight of {one.name}", one.as_is_mg),
            check_percent(f"moisture of {one.name}", one.moisture_percent, whole_allowed=True),
        )
    )


def _sum_dry(weighed: Iterable[Weighed]) -> Decimal:
    return sum(
        (one.as_is_mg * (HUNDRED - one.moisture_percent) / HUNDRED for one in weighed), Decimal(0)
    )


def _find_as_is_mass(dry_mg: int, moisture_percent: Decimal) -> int:
    return round_half_up(dry_mg * HUNDRED / (HUNDRED - moisture_percent))


def _say_too_wet(as_is_mg: int, dry_mg: int, target_percent: Decimal) -> Problem:
    now = HUNDRED * (as_is_mg - dry_mg) / Decimal(as_is_mg)
    return problem(
        "substrate_too_wet",
        now_percent=round(now, 1),
        target_percent=target_percent,
        as_is_mg=as_is_mg,
        dry_mg=dry_mg,
    )
