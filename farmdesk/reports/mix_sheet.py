"""The mix of a recipe on screen and on paper: what to weigh, with boxes and room to write."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.arithmetic import substrate
from farmdesk.arithmetic.heat_loads import count_loads
from farmdesk.domain.catalogue import Ingredient, Recipe, RecipePart
from farmdesk.domain.mixing import Vessel
from farmdesk.errors import NotFound, Refused, problem
from farmdesk.paper.documents import Block, Details, Document, Heading, Note, SignLines
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.mass import MG_PER_KG
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.transaction import Reading
from farmdesk.wording.cautions import find_caution
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

BOX = "☐"
_POUND_UNITS = ("lb", "lb_oz", "oz")


@dataclass(frozen=True)
class MixLine:
    """One ingredient: its share of all dry matter, its own moisture, and what to weigh."""

    ingredient: int
    name: str
    share_percent: Decimal
    moisture_percent: Decimal
    as_is_mg: int
    dry_mg: int


@dataclass(frozen=True)
class MixPlan:
    """A mix worked out from a recipe for so many blocks, masses in mg."""

    recipe: Recipe
    blocks: int
    lines: tuple[MixLine, ...]
    mix: substrate.Mix

    @property
    def base(self) -> MixLine:
        """The ingredient with the largest share."""
        return max(self.lines, key=lambda one: one.share_percent)


def read_mix(reading: Reading, recipe: int, blocks: int) -> MixPlan:
    """The mix for so many blocks; Refused when shares or moistures cannot be."""
    known = reading.get(Recipe, recipe)
    if known is None:
        raise NotFound(problem("not_found", kind="recipe", id=recipe))
    names = {one.id: one for one in reading.all(Ingredient)}
    parts = [
        (names[one.ingredient], one.share_percent) for one in reading.all(RecipePart, recipe=recipe)
    ]
    try:
        mix = substrate.plan_mix(
            [substrate.RecipePart(one.name, share, one.moisture_percent) for one, share in parts],
            blocks=blocks,
            block_mg=known.block_mg,
            moisture_percent=known.moisture_percent,
        )
    except Refused as refused:
        raise _with_dry_stock(reading, known, [one for one, _ in parts], refused) from None
    lines = tuple(
        MixLine(one.id, one.name, share, one.moisture_percent, line.as_is_mg, line.dry_mg)
        for (one, share), line in zip(parts, mix.ingredients, strict=True)
    )
    return MixPlan(known, blocks, lines, mix)


def _with_dry_stock(
    reading: Reading, recipe: Recipe, ingredients: Sequence[Ingredient], refused: Refused
) -> Refused:
    """A mix too wet for its recipe is told with how much of its driest part would mend it."""
    stocks = [(one.name, one.moisture_percent) for one in ingredients]
    mended = substrate.suggest_dry_stock(
        refused, moisture_percent=recipe.moisture_percent, stocks=stocks
    )
    if mended is None:
        return refused
    stock, stock_mg = mended
    amount = read_terms(reading).formats.mass(stock_mg)
    facts = {**refused.problems[0].facts, "stock": stock, "amount": amount}
    return Refused(problem("mix_too_wet", **facts))


def load_mix(store: FarmStore, recipe: int, blocks: int) -> MixPlan:
    """The mix of a recipe, read in a transaction of its own."""
    with store.reading() as reading:
        return read_mix(reading, recipe, blocks)


def tell_supplements(plan: MixPlan, formats: Formats) -> list[str]:
    """Each supplement in both ways of saying it, with the words that tell them apart."""
    base = plan.base
    told = []
    for line in plan.lines:
        if line is base or not base.dry_mg:
            continue
        other = plan.mix.dry_mg - base.dry_mg - line.dry_mg
        share = substrate.measure_supplement(
            supplement_mg=line.dry_mg, base_mg=base.dry_mg, other_mg=other
        )
        told.append(
            tr("{name}: {total} of all dry matter, which is {part} of the {base} alone.").format(
                name=line.name,
                total=formats.percent(share.of_total_percent),
                part=formats.percent(share.of_base_percent),
                base=base.name,
            )
        )
    return told


def tell_water(water_mg: int, formats: Formats) -> str:
    """Water by weight, and by volume for a jug: litres, or gallons where pounds are used."""
    volume = substrate.measure_water(water_mg)
    if formats.mass_unit in _POUND_UNITS:
        jug = tr("{gallons} US gal").format(gallons=formats.number(volume.us_gallons, 1))
    else:
        jug = tr("{litres} L").format(litres=formats.number(volume.litres, 1))
    return f"{formats.mass(weighable(water_mg))} ({jug})"


def tell_loads(blocks: int, vessels: Sequence[Vessel], formats: Formats) -> list[str]:
    """How many loads of each vessel a batch is, and how long they take."""
    told = []
    for vessel in vessels:
        loads = count_loads(blocks, blocks_per_load=vessel.blocks, hours_per_load=vessel.hours)
        count = formats.count(loads.loads, "load", "loads")
        hours = formats.number(loads.hours, 1)
        if loads.last_blocks and loads.last_blocks < vessel.blocks:
            text = tr("{vessel}: {loads}, {last} of {room} in the last; {hours} h in all.")
        else:
            text = tr("{vessel}: {loads}, all full; {hours} h in all.")
        told.append(
            text.format(
                vessel=vessel.name, loads=count, last=formats.number(loads.last_blocks),
                room=formats.number(vessel.blocks), hours=hours,
            )
        )  # fmt: skip
    return told


def weighable(mg: int) -> int:
    """A mass to be weighed in: from a kilogram on, to the nearest 10 g."""
    return round(mg, -4) if mg >= MG_PER_KG else mg


def mix_sheet(
    reading: Reading,
    recipe: int,
    blocks: int,
    *,
    formats: Formats,
    run: str = "",
    now: str | None = None,
) -> Document:
    """The sheet that lies beside the mixer; masses are in the unit of `formats`."""
    plan = read_mix(reading, recipe, blocks)
    terms = read_terms(reading, now)
    vessels = [one for one in reading.all(Vessel) if not one.retired]
    blocks_of: list[Block] = [
        Details(_facts(plan, terms, formats, run)),
        Heading(tr("To weigh")),
        _weighing_table(plan, formats),
        *(Note(one) for one in tell_supplements(plan, formats)),
        Heading(tr("Heat run")),
        _heat_table(plan),
        *(Note(one) for one in tell_loads(blocks, vessels, formats)),
        *(
            Note(find_caution(topic).line, is_caution=True)
            for topic in ("dust", "hot_water", "pressure", "heat_run")
        ),
        SignLines((tr("Mixed by"), tr("Heated by"), tr("Moisture measured"))),
    ]
    title = tr("Mix sheet: {recipe}").format(recipe=plan.recipe.name)
    return Document(
        title=title,
        blocks=blocks_of,
        footer=f"{terms.farm.name} · {title}",
        author=terms.farm.name,
    )


def _facts(plan: MixPlan, terms: FarmTerms, formats: Formats, run: str) -> list[tuple[str, str]]:
    mix = plan.mix
    facts = [
        (tr("Day"), formats.day(terms.today)),
        (tr("Blocks"), tr("{blocks} of {block}").format(
            blocks=formats.number(plan.blocks), block=formats.mass(mix.block_mg))),
        (tr("Whole mix"), tr("{total}, of which {dry} dry").format(
            total=formats.mass(mix.total_mg), dry=formats.mass(mix.dry_mg))),
        (tr("Moisture wanted"), tr("{wet} of the whole weight (water is {dry} of dry)").format(
            wet=formats.percent(mix.moisture_percent),
            dry=formats.percent(substrate.find_dry_basis(mix.moisture_percent), 0))),
    ]  # fmt: skip
    return [(tr("Heat run"), run), *facts] if run else facts


def _weighing_table(plan: MixPlan, formats: Formats) -> Table:
    columns = (
        Column("done", ""),
        Column("name", tr("Ingredient")),
        Column("share", tr("Of dry matter"), "percent"),
        Column("moisture", tr("Its moisture"), "percent"),
        Column("weigh", tr("Weigh"), "mass"),
        Column("weighed", tr("Weighed"), width=14),
        Column("lot", tr("Lot"), width=14),
    )
    rows: list[tuple[object, ...]] = [
        (BOX, one.name, one.share_percent, one.moisture_percent, weighable(one.as_is_mg), None,
         None)
        for one in plan.lines
    ]  # fmt: skip
    rows.append((BOX, tr("Water"), None, None, tell_water(plan.mix.water_mg, formats), None, None))
    return Table("to_weigh", tr("To weigh"), columns, rows)


def _heat_table(plan: MixPlan) -> Table:
    columns = (
        Column("done", ""),
        Column("what", plan.recipe.treatment or tr("Step")),
        Column("at", tr("Time"), width=16),
        Column("warm", tr("Temperature"), width=16),
        Column("where", tr("Where in the load"), width=20),
    )
    steps = (tr("Started"), tr("At temperature"), tr("Probe"), tr("Probe"), tr("Ended"))
    return Table("heat", tr("Heat run"), columns, [(BOX, one, None, None, None) for one in steps])
