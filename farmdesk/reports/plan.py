"""From demand back to blocks and days, week by week, after what stands and what is planned."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from farmdesk.arithmetic.crops import Crop
from farmdesk.arithmetic.planning import (
    BlockYield,
    Demand,
    LeadDays,
    PlannedWeek,
    find_spawn,
    plan_weeks,
)
from farmdesk.domain.catalogue import Species
from farmdesk.domain.lab import Spawn
from farmdesk.domain.plans import PLANNED, PlannedBatch, PlanSetting
from farmdesk.errors import Refused
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import day_plus
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.demand import FarmDemand, read_demand
from farmdesk.reports.farm_terms import FarmTerms
from farmdesk.reports.forecast import (
    MG,
    FarmForecast,
    in_unit,
    read_forecast,
    short_week,
    unit_of,
)
from farmdesk.reports.forecast_basis import USUAL_DRY_KG, size_of
from farmdesk.store.lists import lots_on_hand
from farmdesk.store.plans import strain_species
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr, tr_count

_RESERVE_PERCENT = Decimal(10)
_EXPANSION = Decimal(10)
"""Spawn with a tenth in reserve, from master grain that grows tenfold: common practice."""
PLAN_RUNS = 500


@dataclass(frozen=True)
class PlanLine:
    """A week of a species: what is wanted and comes, and the blocks and days for the rest.

    `refusal` says why no number of blocks will do, if none does.
    """

    species: Species
    found: PlannedWeek
    planned_kg: float
    spawn_mg: int
    refusal: Refused | None = None

    @property
    def missing_kg(self) -> float:
        """What neither stands nor is planned."""
        return max(0.0, self.found.wanted_kg - self.found.expected_kg)

    @property
    def blocks(self) -> int:
        """Blocks that can still be made for it; 0 when none are needed or it is too late."""
        need = self.found.need
        return need.blocks if need is not None and self.found.in_time else 0


@dataclass(frozen=True)
class FarmPlan:
    """The plan with all that it rests on; `promise` is a share."""

    terms: FarmTerms
    setting: PlanSetting
    promise: float
    forecast: FarmForecast
    demand: FarmDemand
    planned: tuple[PlannedBatch, ...]
    lines: tuple[PlanLine, ...]
    species: Mapping[int, Species]
    sizes: Mapping[int, float]


def read_setting(reading: Reading) -> PlanSetting:
    """The farm's figures for planning, or the usual ones."""
    return reading.first(PlanSetting) or PlanSetting(0)


def read_plan(
    reading: Reading,
    *,
    now: str | None = None,
    species: int | None = None,
    promise_percent: int | None = None,
) -> FarmPlan:
    """The plan for all weeks ahead, at the farm's promise unless another is given."""
    setting = read_setting(reading)
    forecast = read_forecast(reading, now=now, runs=PLAN_RUNS)
    demand = read_demand(reading, now=now, species=species)
    kinds = {one.id: one for one in reading.all(Species)}
    plan = FarmPlan(
        terms=forecast.terms,
        setting=setting,
        promise=(promise_percent or setting.promise_percent) / 100,
        forecast=forecast,
        demand=demand,
        planned=tuple(reading.all(PlannedBatch, status=PLANNED)),
        lines=(),
        species=kinds,
        sizes=_sizes(forecast, kinds),
    )
    return replace(plan, lines=tuple(_lines(reading, plan)))


def plan_table(reading: Reading, *, now: str | None = None, species: int | None = None) -> Table:
    """The plan as a table."""
    return make_plan_table(read_plan(reading, now=now, species=species))


def make_plan_table(plan: FarmPlan) -> Table:
    """The table of a plan that was made."""
    columns = (
        Column("species", tr("Species")),
        Column("week", tr("Week")),
        Column("wanted", tr("Wanted"), "mass"),
        Column("missing", tr("Missing"), "mass"),
        Column("blocks", tr("Blocks"), "integer"),
        Column("verdict", tr("Verdict"), width=40),
        Column("inoculate_on", tr("Inoculate"), "day"),
        Column("open_on", tr("Open"), "day"),
        Column("pick_on", tr("First pick"), "day"),
        Column("spawn_on", tr("Spawn"), "day"),
        Column("plates_on", tr("Plates"), "day"),
        Column("expected", tr("Expected"), "mass"),
        Column("chance", tr("Kept"), "percent", digits=0),
        Column("even", tr("Blocks for 1 in 2"), "integer"),
        Column("even_chance", tr("Kept with these"), "percent", digits=0),
        Column("spawn_mg", tr("Spawn needed"), "mass"),
    )
    rows = [_row(one, plan) for one in plan.lines]
    charts = tuple(_charts(plan))
    return Table("plan", tr("Plan"), columns, rows, _say(plan), charts=charts)


def crop_for(plan: FarmPlan, species: Species) -> Crop:
    """The crop that a species is planned with."""
    return plan.forecast.learnt[species.name].crop


def say_verdict(line: PlanLine, plan: FarmPlan) -> str:
    """Whether a week can be kept, and from when otherwise."""
    mass, found = plan.terms.formats.mass, line.found
    if line.refusal is not None:
        return tr("no number of blocks keeps this promise: promise less")
    if found.need is None:
        return tr("covered")
    if found.in_time:
        return tr("inoculate by {day}").format(
            day=plan.terms.formats.day(found.dates.inoculate_on if found.dates else "")
        )
    return tr("too late: {mass} can be met; new blocks from {week} on").format(
        mass=mass(round(min(found.expected_kg, found.wanted_kg) * MG)), week=found.possible_week
    )


def _lines(reading: Reading, plan: FarmPlan) -> Iterator[PlanLine]:
    """Week by week, so that later flushes of blocks for one week count in those after it."""
    packout = plan.setting.saleable_percent / 100
    expected = {key: kg * packout for key, kg in plan.forecast.expected_kg().items()}
    _add_stock(reading, plan, expected)
    planned: dict[tuple[str, str], float] = {}
    for batch in plan.planned:
        _add_flushes(planned, plan, plan.species[batch.species], batch.blocks, batch.pick_on)
    for key, kg in planned.items():
        expected[key] = expected.get(key, 0.0) + kg
    ready = strain_species(reading, {one.strain for one in _spawn_at_hand(reading)})
    for (number, week), mg in sorted(plan.demand.by_week().items(), key=lambda one: one[0][::-1]):
        kind = plan.species[number]
        line = _plan_week(plan, kind, Demand(kind.name, week, mg / MG), expected,
                          has_spawn=number in ready)  # fmt: skip
        dates = line.found.dates
        if line.blocks and dates is not None:
            added: dict[tuple[str, str], float] = {}
            _add_flushes(added, plan, kind, line.blocks, dates.pick_on)
            for key, kg in added.items():
                expected[key] = expected.get(key, 0.0) + kg
        yield replace(line, planned_kg=planned.get((kind.name, week), 0.0))


def _plan_week(
    plan: FarmPlan,
    kind: Species,
    demand: Demand,
    expected: Mapping[tuple[str, str], float],
    *,
    has_spawn: bool,
) -> PlanLine:
    crop = crop_for(plan, kind)
    first = crop.flushes[0]
    of = BlockYield(
        share=crop.clean_share * first.share,
        kg=first.kg_per_bag * plan.sizes[kind.id],
        packout=plan.setting.saleable_percent / 100,
        block_cv=crop.bag_cv,
        batch_cv=crop.batch_cv if first.batch_cv is None else first.batch_cv,
    )
    lead = LeadDays(
        plan.setting.plate_days,
        plan.setting.spawn_days,
        round(crop.incubation.mean + crop.opening.mean),
        round(first.wait.mean),
    )
    promise, refusal = plan.promise, None
    while True:
        try:
            found = plan_weeks(
                [demand],
                expected_kg=expected,
                yields={kind.name: of},
                leads={kind.name: lead},
                today=plan.terms.today,
                weekday=plan.terms.farm.inoculation_weekday or None,
                promise=promise,
                spawn_ready=frozenset({kind.name} if has_spawn else ()),
            )[0]
        except Refused as refused:
            if refusal is not None:
                raise
            promise, refusal = 0.5, refused
            continue
        blocks = found.need.blocks if found.need is not None else 0
        return PlanLine(kind, found, 0.0, _spawn_for(kind, blocks), refusal)


def _spawn_for(kind: Species, blocks: int) -> int:
    """Spawn for blocks of the usual size, with a reserve."""
    if not blocks:
        return 0
    wet = USUAL_DRY_KG / (1 - float(kind.moisture_percent) / 100)
    each = round(wet * float(kind.spawn_percent) / 100 * MG)
    return find_spawn(
        blocks, per_block_mg=max(each, 1), reserve_percent=_RESERVE_PERCENT, expansion=_EXPANSION
    ).with_reserve_mg


def _add_flushes(
    kg: dict[tuple[str, str], float], plan: FarmPlan, kind: Species, blocks: int, pick_on: str
) -> None:
    """What blocks give flush by flush, the first in the week of their first pick."""
    crop, day = crop_for(plan, kind), pick_on
    bags = blocks * crop.clean_share * plan.setting.saleable_percent / 100
    for at, flush in enumerate(crop.flushes):
        bags *= flush.share
        if at:
            day = day_plus(day, round(flush.wait.mean))
        key = (kind.name, str(IsoWeek.of(day)))
        kg[key] = kg.get(key, 0.0) + bags * flush.kg_per_bag * plan.sizes[kind.id]


def _add_stock(reading: Reading, plan: FarmPlan, kg: dict[tuple[str, str], float]) -> None:
    """What lies in the cold store counts in this week."""
    week = str(IsoWeek.of(plan.terms.today))
    for lot in lots_on_hand(reading):
        if lot.species is not None and lot.species in plan.species:
            key = (plan.species[lot.species].name, week)
            kg[key] = kg.get(key, 0.0) + lot.left_mg / MG


def _spawn_at_hand(reading: Reading) -> Iterable[Spawn]:
    return (one for one in reading.all(Spawn, status="kept") if one.left_mg > 0)


def _sizes(forecast: FarmForecast, kinds: Mapping[int, Species]) -> dict[int, float]:
    """Kg dry of a block of each species: as those that stand, else the usual."""
    bags: dict[int, float] = {}
    dry: dict[int, float] = {}
    for one in forecast.standing:
        bags[one.species] = bags.get(one.species, 0) + one.bags
        dry[one.species] = dry.get(one.species, 0.0) + one.bags * size_of(one.dry_mg)
    return {at: dry[at] / bags[at] if bags.get(at) else USUAL_DRY_KG for at in kinds}


def _row(line: PlanLine, plan: FarmPlan) -> tuple[object, ...]:
    found = line.found
    need, dates = found.need, found.dates if found.in_time else None
    days: tuple[object, ...] = (None,) * 5
    if dates is not None:
        days = (
            dates.inoculate_on, dates.open_on, dates.pick_on, dates.spawn_on, dates.plate_on
        )  # fmt: skip
    chances: tuple[object, ...] = (None, None, None)
    if need is not None:
        chances = (100 * need.chance, need.even_blocks, 100 * need.even_chance)
    return (
        line.species.name, found.week, round(found.wanted_kg * MG),
        round(line.missing_kg * MG), need.blocks if need is not None else None,
        say_verdict(line, plan), *days, round(found.expected_kg * MG), *chances,
        line.spawn_mg or None,
    )  # fmt: skip


def _say(plan: FarmPlan) -> list[str]:
    if not plan.lines:
        return []
    wanting = [one for one in plan.lines if one.found.need is not None]
    late = [one for one in wanting if not one.found.in_time]
    blocks = sum(one.blocks for one in wanting)
    formats = plan.terms.formats
    head = tr_count(
        blocks,
        "{n} block more keeps what is wanted {promise} of the time.",
        "{n} blocks more keep what is wanted {promise} of the time.",
    )
    if not blocks:
        head = tr("No more blocks are to be made.")
    missed = tr_count(
        len(late),
        "For {n} week it is too late: look at the verdict.",
        "For {n} weeks it is too late: look at the verdict.",
    )
    return [
        head.format(n=formats.number(blocks), promise=formats.percent(100 * plan.promise, 0)),
        *([missed.format(n=formats.number(len(late)))] if late else ()),
        tr(
            "Expected is what stands, is planned and lies in the cold store, less trim ({percent}"
            " saleable). A first flush is counted whole in its week, later flushes after it."
            " “Blocks for 1 in 2” is a coin toss: it falls short every other time."
        ).format(percent=formats.percent(plan.setting.saleable_percent, 0)),
        *plan_unplanned(plan.demand),
    ]  # fmt: skip


def plan_unplanned(demand: FarmDemand) -> Sequence[str]:
    """A sentence on products that cannot be planned, if there are any."""
    if not demand.unplanned:
        return ()
    words = tr("Products of no single species are left out: {names}.")
    return (words.format(names=", ".join(demand.unplanned)),)


def _charts(plan: FarmPlan) -> Iterator[Chart]:
    unit = unit_of(plan.terms)
    for name in dict.fromkeys(line.species.name for line in plan.lines):
        lines = {line.found.week: line for line in plan.lines if line.species.name == name}
        wanted, expected = [], []
        standing = plan.forecast.expected_kg()
        for week in plan.demand.weeks:
            line = lines.get(week)
            wanted.append(in_unit(line.found.wanted_kg if line else 0.0, unit))
            kg = line.found.expected_kg if line else standing.get((name, week), 0.0)
            expected.append(in_unit(kg, unit))
        title = tr("{species}: wanted and expected").format(species=name)
        weeks = [short_week(week) for week in plan.demand.weeks]
        series = [Series(tr("Expected"), expected), Series(tr("Wanted"), wanted)]
        yield Chart("bar", title, weeks, series, unit)
