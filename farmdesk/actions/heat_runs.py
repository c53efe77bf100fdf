"""Substrate mixes and heat runs: planned from a recipe, recorded as they were."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.arithmetic import substrate
from farmdesk.arithmetic.spawn import SpawnNeed, find_need
from farmdesk.domain.catalogue import Farm, Ingredient, Person, Recipe, RecipePart, Species, Strain
from farmdesk.domain.codes import name_for
from farmdesk.domain.lab import HeatRun, ProbeReading, RunIngredient
from farmdesk.errors import NotFound, Problem, Refused, problem, refuse_any
from farmdesk.quantities.mass import HEAVIEST_MG, format_mass
from farmdesk.quantities.times import day_start, from_iso
from farmdesk.store.transaction import Reading

MOST_BLOCKS = 2_000
PLANNED, MIXED, PASSED, HELD, FAILED = "planned", "mixed", "passed", "held", "failed"
OUTCOMES = (PASSED, HELD, FAILED)
_COLDEST_C, _HOTTEST_C = Decimal(-20), Decimal(200)
# What sticks to the mixer is 1 to 2 %; more than this is a slip (common practice, no source).
_MISSING_MIX_PERCENT = 5
# A usual rate where no strain is named, percent of wet substrate (common practice, no source).
_SPAWN_PERCENT = Decimal(5)


@dataclass(frozen=True)
class PlannedIngredient:
    """What to weigh of one ingredient, as it is and the dry matter in it, mg."""

    ingredient: int
    name: str
    as_is_mg: int
    dry_mg: int


@dataclass(frozen=True)
class RunPlan:
    """A heat run worked out from a recipe: what to weigh, water, and spawn for the blocks."""

    recipe: int
    name: str
    blocks: int
    block_mg: int
    moisture_percent: Decimal
    treatment: str
    ingredients: tuple[PlannedIngredient, ...]
    water_mg: int
    water_litres: Decimal
    total_mg: int
    dry_mg: int
    spawn: SpawnNeed


@dataclass(frozen=True)
class Probe:
    """A temperature read during a run: when (UTC), how warm, and where in the load."""

    at: str
    celsius: Decimal
    place: str = ""


def plan_run(reading: Reading, recipe: int, blocks: int, *, strain: int | None = None) -> RunPlan:
    """What so many blocks of a recipe need; spawn at the rate of the strain's species.

    Raises Refused when the recipe's shares don't add up, or its ingredients are too wet: then
    with how much dry stock to add.
    """
    known = reading.get(Recipe, recipe)
    if known is None:
        raise NotFound(problem("not_found", kind="recipe", id=recipe))
    if not 1 <= blocks <= MOST_BLOCKS:
        raise Refused(
            problem("blocks_out_of_range", field="blocks", blocks=blocks, most=f"{MOST_BLOCKS:,}")
        )
    ingredients = _ingredients_of(reading, recipe)
    mix = _plan_mix(reading, known, blocks, ingredients)
    return RunPlan(
        recipe=recipe,
        name=known.name,
        blocks=blocks,
        block_mg=known.block_mg,
        moisture_percent=known.moisture_percent,
        treatment=known.treatment,
        ingredients=tuple(
            PlannedIngredient(one.id, one.name, line.as_is_mg, line.dry_mg)
            for (one, _), line in zip(ingredients, mix.ingredients, strict=True)
        ),
        water_mg=mix.water_mg,
        water_litres=substrate.measure_water(mix.water_mg).litres,
        total_mg=mix.total_mg,
        dry_mg=mix.dry_mg,
        spawn=find_need(
            blocks=blocks,
            block_mg=known.block_mg,
            rate_percent=_spawn_rate(reading, strain),
        ),
    )


def plan_water(act: Act, recipe: Recipe, weighed: Mapping[int, int]) -> substrate.WaterToAdd:
    """Water for ingredients as they were weighed; Refused with dry stock to add when too wet."""
    if not weighed:
        raise Refused(problem("nothing_weighed", field="weighed"))
    ingredients = [act.need(Ingredient, one) for one in weighed]
    if any(not 0 < amount <= HEAVIEST_MG for amount in weighed.values()):
        raise Refused(problem("weighed_amount_wrong", field="weighed"))
    lines = [
        substrate.Weighed(one.name, weighed[one.id], one.moisture_percent) for one in ingredients
    ]
    try:
        return substrate.add_water(lines, moisture_percent=recipe.moisture_percent)
    except Refused as refused:
        raise _too_wet(act.tx, recipe, ingredients, refused) from None


def record_run(
    act: Act,
    *,
    recipe: int,
    blocks: int,
    run_on: str | None = None,
    weighed: Mapping[int, int] | None = None,
    lots: Mapping[int, str] | None = None,
    person: int | None = None,
    note: str = "",
) -> HeatRun:
    """Record a mix as it was weighed (by ingredient id, mg), or as the recipe plans it.

    Raises Refused when it is too wet to need water; asks when what was weighed does not fill
    so many blocks.
    """
    plan = plan_run(act.tx, recipe, blocks)
    known = act.need(Recipe, recipe)
    day = run_on or act.day
    if day > act.day:
        raise Refused(problem("day_in_future", field="run_on", day=day, today=act.day))
    refuse_any(list(check_text("note", note, needed=False, long=True)))
    if person is not None:
        act.need(Person, person)
    amounts = {one.ingredient: one.as_is_mg for one in plan.ingredients}
    if weighed is not None:
        amounts = {one: amount for one, amount in weighed.items() if amount}
        water = plan_water(act, known, amounts)
        act.ask(*ask_mix_fits(act, plan, water.total_mg))
    run_id = act.next_id("run")
    run = act.make(
        "run_mixed",
        HeatRun(
            id=run_id,
            name=name_for("run", act.running("run", run_id)),
            recipe=recipe,
            run_on=day,
            blocks=blocks,
            block_mg=plan.block_mg,
            moisture_percent=plan.moisture_percent,
            treatment=plan.treatment,
            status=MIXED,
            person=act.who.person if person is None else person,
            note=note.strip(),
        ),
    )
    named = lots or {}
    refuse_any([one for lot in named.values() for one in check_text("lot", lot, needed=False)])
    act.make_many(
        "ingredient_weighed",
        [
            RunIngredient(act.next_id("run_ingredient"), run_id, one, amount, named.get(one, ""))
            for one, amount in amounts.items()
        ],
    )
    return run


def record_heat(
    act: Act,
    run: int,
    *,
    status: str,
    started_at: str | None = None,
    hot_at: str | None = None,
    ended_at: str | None = None,
    readings: Sequence[Probe | tuple[str, Decimal, str]] = (),
    measured_percent: Decimal | None = None,
) -> HeatRun:
    """Record how a run was heated, and whether it passed, is held, or failed.

    Times are UTC instants. The record says what was entered; it proves nothing. Asks before a
    run without a reading or without times is passed.
    """
    known = act.need(HeatRun, run)
    probes = [one if isinstance(one, Probe) else Probe(*one) for one in readings]
    times = {"started_at": started_at, "hot_at": hot_at, "ended_at": ended_at}
    refuse_any(
        [
            *_check_weighed(known),
            *_check_outcome(status),
            *_check_times(act, known, times),
            *_check_probes(act, probes),
            *_check_moisture(measured_percent),
        ]
    )
    if status == PASSED:
        act.ask(*_ask_thin_record(act, known, times, probes))
    given = {name: text for name, text in times.items() if text is not None}
    moisture = known.measured_percent if measured_percent is None else measured_percent
    kept = act.change("run_heated", known, **given, status=status, measured_percent=moisture)
    _keep_probes(act, run, probes)
    return kept


def note_heat(
    act: Act,
    run: int,
    *,
    started_at: str | None = None,
    hot_at: str | None = None,
    ended_at: str | None = None,
    readings: Sequence[Probe] = (),
) -> HeatRun:
    """Note times and probe readings of a run that is still under way; its outcome stays open."""
    known = act.need(HeatRun, run)
    times = {"started_at": started_at, "hot_at": hot_at, "ended_at": ended_at}
    refuse_any(
        [
            *_check_weighed(known),
            *_check_times(act, known, times),
            *_check_probes(act, readings),
        ]
    )
    given = {name: text for name, text in times.items() if text is not None}
    kept = act.change("run_noted", known, **given) if given else known
    _keep_probes(act, run, readings)
    return kept


def _keep_probes(act: Act, run: int, probes: Sequence[Probe]) -> None:
    act.make_many(
        "probe_read",
        [
            ProbeReading(act.next_id("probe_reading"), run, one.at, one.celsius, one.place)
            for one in probes
        ],
    )


def _check_weighed(run: HeatRun) -> list[Problem]:
    return [problem("run_not_weighed", run=run.name)] if run.status == PLANNED else []


def _plan_mix(
    reading: Reading,
    recipe: Recipe,
    blocks: int,
    ingredients: Sequence[tuple[Ingredient, Decimal]],
) -> substrate.Mix:
    parts = [
        substrate.RecipePart(one.name, share, one.moisture_percent) for one, share in ingredients
    ]
    try:
        return substrate.plan_mix(
            parts,
            blocks=blocks,
            block_mg=recipe.block_mg,
            moisture_percent=recipe.moisture_percent,
        )
    except Refused as refused:
        raise _too_wet(reading, recipe, [one for one, _ in ingredients], refused) from None


def _ingredients_of(reading: Reading, recipe: int) -> list[tuple[Ingredient, Decimal]]:
    parts = reading.all(RecipePart, recipe=recipe)
    known = {one.id: one for one in reading.all(Ingredient)}
    return [(known[part.ingredient], part.share_percent) for part in parts]


def _spawn_rate(reading: Reading, strain: int | None) -> Decimal:
    known = reading.get(Strain, strain) if strain is not None else None
    species = reading.get(Species, known.species) if known is not None else None
    return species.spawn_percent if species is not None else _SPAWN_PERCENT


def _too_wet(
    reading: Reading, recipe: Recipe, ingredients: Sequence[Ingredient], refused: Refused
) -> Refused:
    """The same refusal, with how much of the driest ingredient would bring it to the target."""
    stocks = [(one.name, one.moisture_percent) for one in ingredients]
    mended = substrate.suggest_dry_stock(
        refused, moisture_percent=recipe.moisture_percent, stocks=stocks
    )
    if mended is None:
        return refused
    farm = reading.all(Farm)[0]
    stock, stock_mg = mended
    amount = format_mass(stock_mg, farm.mass_unit, farm.locale)
    wet = refused.problems[0]
    facts = {**wet.facts, "field": "weighed", "stock": stock, "amount": amount}
    return Refused(Problem("mix_too_wet", facts))


def ask_mix_fits(act: Act, run: RunPlan | HeatRun, total_mg: int) -> list[Problem]:
    """Whether what was weighed is as much as the blocks take, within five percent."""
    wanted_mg = run.blocks * run.block_mg
    if abs(total_mg - wanted_mg) * 100 <= wanted_mg * _MISSING_MIX_PERCENT:
        return []
    unit, locale = act.farm.mass_unit, act.farm.locale
    return [
        problem(
            "mix_does_not_fit_blocks",
            total=format_mass(total_mg, unit, locale),
            blocks=run.blocks,
            wanted=format_mass(wanted_mg, unit, locale),
            fills=total_mg // run.block_mg,
        )
    ]


def _ask_thin_record(
    act: Act, run: HeatRun, times: Mapping[str, str | None], probes: Sequence[Probe]
) -> list[Problem]:
    has_times = all(times[name] or getattr(run, name) for name in times)
    has_probe = bool(probes) or act.tx.first(ProbeReading, run=run.id) is not None
    return [] if has_times and has_probe else [problem("run_passed_unread", run=run.name)]


def _check_outcome(status: str) -> list[Problem]:
    if status in OUTCOMES:
        return []
    choices = ", ".join(OUTCOMES)
    return [problem("not_one_of", field="status", label="Outcome", text=status, choices=choices)]


def _check_times(act: Act, run: HeatRun, times: Mapping[str, str | None]) -> list[Problem]:
    """Start, at temperature and end must follow each other, from the run's day to now."""
    earliest = day_start(run.run_on, act.farm.zone)
    found = []
    for field, given in times.items():
        at = given or getattr(run, field)
        if at is None:
            continue
        from_iso(at)
        label = field.removesuffix("_at").replace("hot", "at temperature")
        if at > act.now:
            found.append(problem("run_time_in_future", field=field, label=label))
        elif at < earliest:
            found.append(problem("run_time_out_of_order", field=field, label=label))
        earliest = max(earliest, at)
    return found


def _check_probes(act: Act, probes: Sequence[Probe]) -> list[Problem]:
    found = []
    for one in probes:
        from_iso(one.at)
        if one.at > act.now:
            found.append(problem("run_time_in_future", field="readings", label="reading"))
        if not (one.celsius.is_finite() and _COLDEST_C <= one.celsius <= _HOTTEST_C):
            found.append(problem("probe_out_of_range", field="readings", celsius=one.celsius))
        found += check_text("place", one.place, needed=False)
    return found


def _check_moisture(percent: Decimal | None) -> list[Problem]:
    if percent is None or (percent.is_finite() and 0 <= percent < 100):
        return []
    return [
        problem(
            "percent_out_of_range",
            field="measured_percent",
            what="measured moisture",
            percent=percent,
        )
    ]
