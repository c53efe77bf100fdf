"""Sums beside the mixer, said in words: water, too wet, dry-down, blocks from stock."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from farmdesk.arithmetic import substrate
from farmdesk.arithmetic.limits import HUNDRED, round_half_up
from farmdesk.errors import FarmdeskError, Refused
from farmdesk.reports.mix_sheet import MixLine, MixPlan, tell_water, weighable
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say_error


def tell_plan(plan: MixPlan, formats: Formats) -> list[str]:
    """What a mix takes, in lines: what to weigh, the water, and the whole."""
    mix = plan.mix
    lines = [
        tr("{name}: {amount}").format(name=one.name, amount=formats.mass(weighable(one.as_is_mg)))
        for one in plan.lines
    ]
    lines.append(tr("Water: {water}").format(water=tell_water(mix.water_mg, formats)))
    lines.append(
        tr("Total: {total} for {blocks} of {block}, {moisture} moisture").format(
            total=formats.mass(mix.total_mg),
            blocks=formats.count(plan.blocks, "block", "blocks"),
            block=formats.mass(mix.block_mg),
            moisture=formats.percent(mix.moisture_percent),
        )
    )
    return lines


def tell_weighed(plan: MixPlan, weighed: Mapping[int, int], formats: Formats) -> str:
    """Water for ingredients as they were weighed, and how many blocks that fills.

    `weighed` is mg by ingredient. A mix that is too wet is told with the dry stock to add.
    """
    lines = [
        substrate.Weighed(one.name, weighed[one.ingredient], one.moisture_percent)
        for one in plan.lines
        if weighed.get(one.ingredient)
    ]
    if not lines:
        return tr("Weigh the first ingredient.")
    try:
        water = substrate.add_water(lines, moisture_percent=plan.recipe.moisture_percent)
    except Refused as refused:
        return tell_too_wet(plan, refused, formats)
    filled = substrate.count_blocks(water.total_mg, plan.recipe.block_mg)
    return tr("Add {water} of water. The mix is then {total} and fills {blocks}.").format(
        water=tell_water(water.water_mg, formats),
        total=formats.mass(weighable(water.total_mg)),
        blocks=formats.count(filled.blocks, "block", "blocks"),
    )


def tell_too_wet(plan: MixPlan, refused: Refused, formats: Formats) -> str:
    """That a mix is too wet, and how much of its driest ingredient would mend it."""
    facts = refused.problems[0].facts
    driest = min(plan.lines, key=lambda one: one.moisture_percent)
    told = say_error(refused)
    if refused.problems[0].code != "substrate_too_wet":
        return f"⚠ {told}"
    target = plan.recipe.moisture_percent
    if driest.moisture_percent >= target:
        return f"⚠ {told}"
    stock = substrate.find_dry_stock(
        total_mg=int(str(facts["as_is_mg"])),
        dry_mg=int(str(facts["dry_mg"])),
        moisture_percent=target,
        stock_moisture_percent=driest.moisture_percent,
    )
    return tr("⚠ Too wet: add no water; {amount} of {stock} brings it to {target}.").format(
        amount=formats.mass(weighable(stock)), stock=driest.name, target=formats.percent(target)
    )


def tell_wet_mix(
    total_mg: int, measured_percent: Decimal, plan: MixPlan, stock: MixLine, formats: Formats
) -> str:
    """What a ready mix of measured moisture lacks: water, or dry stock when it is too wet."""
    target = plan.recipe.moisture_percent
    dry = substrate.find_dry_mass(total_mg, measured_percent)
    try:
        if measured_percent > target:
            more = substrate.find_dry_stock(
                total_mg=total_mg,
                dry_mg=dry,
                moisture_percent=target,
                stock_moisture_percent=stock.moisture_percent,
            )
            return tr("Too wet: add {amount} of {stock} to come to {target}.").format(
                amount=formats.mass(weighable(more)),
                stock=stock.name,
                target=formats.percent(target),
            )
        mix = substrate.Weighed("mix", total_mg, measured_percent)
        water = substrate.add_water([mix], moisture_percent=target)
    except FarmdeskError as error:
        return f"⚠ {say_error(error)}"
    if not water.water_mg:
        return tr("The mix is at its target.")
    return tr("Too dry: add {water} of water to come to {target}.").format(
        water=tell_water(water.water_mg, formats), target=formats.percent(target)
    )


def tell_dry_down(wet_mg: int, dry_mg: int, formats: Formats) -> tuple[Decimal | None, str]:
    """The moisture of a sample that was dried, and the same in words."""
    try:
        moisture = substrate.measure_moisture(wet_mg=wet_mg, dry_mg=dry_mg)
        on_dry = substrate.find_dry_basis(moisture)
    except FarmdeskError as error:
        return None, f"⚠ {say_error(error)}"
    told = tr("Moisture: {wet} of the wet weight ({dry} on dry basis).").format(
        wet=formats.percent(moisture), dry=formats.percent(on_dry, 0)
    )
    return moisture, told


def tell_blocks_from(plan: MixPlan, line: MixLine, stock_mg: int, formats: Formats) -> str:
    """How many blocks of the recipe an amount of one ingredient is enough for."""
    per_block = round_half_up(
        substrate.find_dry_mass(plan.recipe.block_mg, plan.recipe.moisture_percent)
        * line.share_percent
        / HUNDRED
    )
    if per_block <= 0:
        return tr("The recipe has none of it.")
    dry = substrate.find_dry_mass(stock_mg, line.moisture_percent)
    count = substrate.count_blocks(dry, per_block)
    left = round_half_up(count.remainder_mg * HUNDRED / (HUNDRED - line.moisture_percent))
    return tr("{stock} of {name} is enough for {blocks}; {left} is left.").format(
        stock=formats.mass(stock_mg),
        name=line.name,
        blocks=formats.count(count.blocks, "block", "blocks"),
        left=formats.mass(weighable(left)),
    )
