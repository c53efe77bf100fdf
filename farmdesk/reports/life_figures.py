"""The figures of one thing: where it stands, how long it took, what it gave and what it cost."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from farmdesk.arithmetic.yields import make_blocks, measure_yields
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Recipe
from farmdesk.domain.codes import kind_of
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.lab import Culture, HeatRun, Spawn
from farmdesk.domain.stages import ALIVE
from farmdesk.quantities.times import age_days, from_iso, local_day
from farmdesk.reports.batch_costs import read_costs
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.sum_question import SumQuestion, read_cohort
from farmdesk.reports.yields import read_groups
from farmdesk.store.life_spans import picks_of_bags
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_state

Figure = tuple[str, str]
"""What it is, and how much or which."""


def life_figures(reading: Reading, thing: int, *, now: str | None = None) -> tuple[Figure, ...]:
    """The figures of a thing, those first that are asked for most."""
    terms = read_terms(reading, now)
    say = {
        "bag": _bag, "batch": _batch, "spawn": _spawn, "pick": _pick, "pack": _pack,
        "culture": _culture, "run": _run,
    }.get(kind_of(thing))  # fmt: skip
    return tuple(one for one in say(reading, thing, terms) if one[1]) if say is not None else ()


def _bag(reading: Reading, thing: int, terms: FarmTerms) -> Iterator[Figure]:
    bag = reading.get(Bag, thing)
    batch = reading.get(Batch, bag.batch) if bag is not None else None
    if bag is None or batch is None:
        return
    formats, zone = terms.formats, terms.farm.zone
    since = formats.day(local_day(bag.stage_since, zone))
    yield tr("Stage"), tr("{stage} since {day}").format(stage=say_state(bag.stage), day=since)
    if bag.stage in ALIVE:
        yield tr("Place"), f"{terms.room_name(bag.room)} {bag.shelf}".strip()
        yield tr("Age"), _days(age_days(batch.inoculated_on, terms.today), terms)
    if bag.colonised_on:
        yield tr("To colonise"), _days(age_days(batch.inoculated_on, bag.colonised_on), terms)
    if bag.pinned_on:
        yield tr("To pins"), _days(age_days(batch.inoculated_on, bag.pinned_on), terms)
    by_flush: dict[int, int] = {}
    for one in picks_of_bags(reading, [thing]):
        by_flush[one.flush or 1] = by_flush.get(one.flush or 1, 0) + one.amount_mg
    if by_flush:
        yield from _say_yield(by_flush, batch, terms)


def _say_yield(by_flush: dict[int, int], batch: Batch, terms: FarmTerms) -> Iterator[Figure]:
    formats = terms.formats
    dry = batch.dry_mg + (batch.spawn_dry_mg if terms.farm.with_spawn_dry else 0)
    found = measure_yields(by_flush, make_blocks(made=1, opened=1, dry_per_block_mg=dry))
    parts = [
        tr("flush {number}: {mass}").format(
            number=one.flush, mass=formats.mass(one.alone.picked_mg)
        )
        for one in found.flushes
    ]
    yield tr("Picked"), f"{formats.mass(found.whole.picked_mg)} ({', '.join(parts)})"
    if found.whole.efficiency_opened_percent is not None:
        yield (
            tr("BE"),
            f"{formats.percent(found.whole.efficiency_opened_percent)} ({_basis(terms)})",
        )


def _batch(reading: Reading, thing: int, terms: FarmTerms) -> Iterator[Figure]:
    batch = reading.get(Batch, thing)
    if batch is None:
        return
    formats = terms.formats
    day = batch.inoculated_on
    question = SumQuestion("batch", first=day, last=day)
    group = read_groups(reading, read_cohort(reading, question)).get(batch.name)
    yield (
        tr("Inoculated"),
        tr("{day}, {days} ago").format(
            day=formats.day(day), days=_days(age_days(day, terms.today), terms)
        ),
    )
    if group is None:
        return
    whole, found = group.whole, group.measure()
    yield (
        tr("Bags"),
        tr("{made} made, {opened} opened, {alive} alive").format(
            made=whole.made, opened=whole.opened, alive=group.alive
        ),
    )
    if group.picked_mg and found.whole.efficiency_opened_percent is not None:
        yield tr("Picked"), formats.mass(group.picked_mg)
        made = found.whole.efficiency_made_percent or Decimal(0)
        yield (
            tr("BE"),
            tr("{opened} on opened, {made} on made bags ({basis})").format(
                opened=formats.percent(found.whole.efficiency_opened_percent),
                made=formats.percent(made),
                basis=_basis(terms),
            ),
        )
        if found.whole.per_made_mg is not None:
            yield tr("Per bag made"), formats.mass(round(found.whole.per_made_mg))
    cost = read_costs(reading, question).batches.get(thing)
    total = sum((one.cost for one in cost.shares), Decimal(0)) if cost is not None else Decimal(0)
    if total:
        yield tr("Costs so far"), formats.money(total)


def _spawn(reading: Reading, thing: int, terms: FarmTerms) -> Iterator[Figure]:
    spawn = reading.get(Spawn, thing)
    if spawn is None:
        return
    formats = terms.formats
    yield tr("State"), say_state(spawn.status)
    yield (
        tr("Left"),
        tr("{left} of {made}").format(
            left=formats.mass(spawn.left_mg), made=formats.mass(spawn.made_mg)
        ),
    )
    yield tr("Generation"), formats.number(spawn.generation)
    yield tr("Made on"), formats.day(spawn.made_on)
    yield tr("Use by"), formats.day(spawn.use_by) if spawn.use_by else ""
    yield tr("Grain"), spawn.grain


def _pick(reading: Reading, thing: int, terms: FarmTerms) -> Iterator[Figure]:
    pick = reading.get(Pick, thing)
    if pick is None:
        return
    formats = terms.formats
    yield tr("Picked on"), formats.day(local_day(pick.picked_at, terms.farm.zone))
    if pick.net_mg is not None:
        yield (
            tr("Net"),
            tr("{net}, {left} left").format(
                net=formats.mass(pick.net_mg), left=formats.mass(pick.left_mg)
            ),
        )
    yield tr("Grade"), pick.grade
    yield tr("Flush"), formats.number(pick.flush)
    yield tr("Shelf date"), formats.day(pick.shelf_on) if pick.shelf_on else ""
    yield tr("Place"), terms.room_name(pick.room) if pick.left_mg else ""


def _pack(reading: Reading, thing: int, terms: FarmTerms) -> Iterator[Figure]:
    pack = reading.get(Pack, thing)
    if pack is None:
        return
    formats = terms.formats
    yield tr("Packed on"), formats.day(pack.packed_on)
    yield tr("Packs"), tr("{left} of {made} left").format(left=pack.left, made=pack.count)
    yield tr("Net of one"), formats.mass(round(pack.net_mg / pack.count)) if pack.count else ""
    yield tr("Shelf date"), formats.day(pack.shelf_on) if pack.shelf_on else ""
    yield tr("Place"), terms.room_name(pack.room) if pack.left else ""


def _culture(reading: Reading, thing: int, terms: FarmTerms) -> Iterator[Figure]:
    culture = reading.get(Culture, thing)
    if culture is None:
        return
    yield tr("State"), say_state(culture.status)
    yield tr("Transfers"), terms.formats.number(culture.transfers)
    yield tr("Made on"), terms.formats.day(culture.made_on)
    yield tr("From"), culture.origin


def _run(reading: Reading, thing: int, terms: FarmTerms) -> Iterator[Figure]:
    run = reading.get(HeatRun, thing)
    if run is None:
        return
    formats = terms.formats
    recipe = reading.get(Recipe, run.recipe)
    yield tr("State"), say_state(run.status)
    yield tr("Recipe"), recipe.name if recipe is not None else ""
    yield (
        tr("Blocks"),
        tr("{blocks} of {mass}").format(blocks=run.blocks, mass=formats.mass(run.block_mg)),
    )
    moisture = run.moisture_percent if run.measured_percent is None else run.measured_percent
    yield tr("Moisture"), formats.percent(moisture)
    if run.hot_at and run.ended_at:
        hot = (from_iso(run.ended_at) - from_iso(run.hot_at)).total_seconds() / 60
        yield tr("Hot for"), tr("{minutes} min, as entered").format(minutes=round(hot))


def _basis(terms: FarmTerms) -> str:
    """What the efficiency is divided by."""
    if terms.farm.with_spawn_dry:
        return tr("over dry substrate and dry spawn")
    return tr("over dry substrate, without spawn")


def _days(number: int, terms: FarmTerms) -> str:
    return terms.formats.count(number, tr("day"), tr("days"))
