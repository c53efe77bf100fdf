"""Yields of batches, strains, recipes, spawn lots and weeks: biological efficiency and kg."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

import numpy as np

from farmdesk.arithmetic.yields import (
    BatchYield,
    Blocks,
    make_blocks,
    measure_place_week,
    measure_yields,
    sum_blocks,
)
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.mass import amount_in
from farmdesk.quantities.times import age_days, day_plus, day_start, local_day
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.farm_terms import FarmTerms
from farmdesk.reports.sum_question import GROUPINGS, Cohort, SumQuestion, read_cohort
from farmdesk.store.outcomes import (
    bags_counted,
    flushes_weighed,
    picked_by_day,
    shelf_times,
)
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

_FLUSHES_SHOWN = 3
_ENOUGH = 5
_WEEKS_SHOWN = 26
_GROUPS_DRAWN = 8


@dataclass
class YieldGroup:
    """One group of batches added up; `by_batch` holds each batch's part for the spread."""

    name: str
    blocks: list[Blocks] = field(default_factory=list)
    by_flush: dict[int, int] = field(default_factory=dict)
    by_batch: dict[int, int] = field(default_factory=dict)
    dry_made: dict[int, int] = field(default_factory=dict)
    unfinished: set[int] = field(default_factory=set)
    measured_mg: int = 0
    alive: int = 0
    place_days: int = 0
    first_day: str = ""
    last_day: str = ""

    @property
    def whole(self) -> Blocks:
        """All blocks of the group."""
        return sum_blocks(self.blocks)

    @property
    def picked_mg(self) -> int:
        """All that was picked."""
        return sum(self.by_flush.values())

    def measure(self) -> BatchYield:
        """Yields by flush and in all."""
        return measure_yields(self.by_flush, self.whole)

    def spread(self) -> tuple[float, float] | None:
        """Between which efficiencies on made blocks eight of ten finished batches lie, if any."""
        found = [
            100 * self.by_batch.get(at, 0) / dry
            for at, dry in self.dry_made.items()
            if dry and at not in self.unfinished
        ]
        if len(found) < _ENOUGH:
            return None
        low, high = np.percentile(found, [10, 90])
        return float(low), float(high)

    def per_place_week_mg(self) -> Decimal | None:
        """Picked mg for each place on the shelf and week that an opened block stood there."""
        if not self.place_days:
            return None
        weeks = Decimal(self.place_days) / 7
        return measure_place_week(self.picked_mg, places=1, weeks=weeks)


def read_groups(reading: Reading, cohort: Cohort) -> dict[str, YieldGroup]:
    """Every group of a cohort by its name, in the order of inoculation."""
    asked, groups = cohort.question, dict[str, YieldGroup]()
    days = {"first": asked.first, "last": asked.last, "by_spawn": cohort.by_spawn}
    with_spawn = bool(cohort.terms.farm.with_spawn_dry)
    order = {batch: at for at, batch in enumerate(cohort.facts)}
    counted = [one for one in bags_counted(reading, **days) if one.batch in order]  # type: ignore[arg-type]
    for one in sorted(counted, key=lambda one: order[one.batch]):
        name = cohort.group_of(one.batch, one.spawn)
        group = groups.setdefault(name, YieldGroup(name))
        facts = cohort.facts[one.batch]
        dry_mg = facts.dry_mg + (facts.spawn_dry_mg if with_spawn else 0)
        made = make_blocks(made=one.made, opened=one.opened, dry_per_block_mg=dry_mg)
        group.blocks.append(made)
        group.alive += one.alive
        if one.alive:
            group.unfinished.add(one.batch)
        group.dry_made[one.batch] = group.dry_made.get(one.batch, 0) + made.dry_made_mg
    zone = cohort.terms.farm.zone
    for mass in flushes_weighed(reading, **days):  # type: ignore[arg-type]
        if mass.batch not in order:
            continue
        group = groups[cohort.group_of(mass.batch, mass.spawn)]
        group.by_flush[mass.flush] = group.by_flush.get(mass.flush, 0) + mass.picked_mg
        group.by_batch[mass.batch] = group.by_batch.get(mass.batch, 0) + mass.picked_mg
        group.measured_mg += mass.measured_mg
        first, last = local_day(mass.first_at, zone), local_day(mass.last_at, zone)
        group.first_day = min(group.first_day or first, first)
        group.last_day = max(group.last_day, last)
    for stood in shelf_times(reading, **days):  # type: ignore[arg-type]
        if stood.batch in order:
            end = local_day(stood.ended_at, zone) if stood.ended_at else cohort.terms.today
            stay = max(1, age_days(stood.opened_on, end)) * stood.bags
            groups[cohort.group_of(stood.batch, stood.spawn)].place_days += stay
    return groups


def yields_table(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> Table:
    """Yields by group, with the charts of kg by week and of the flushes' shares."""
    cohort = read_cohort(reading, question or SumQuestion(), now=now)
    groups = read_groups(reading, cohort)
    rows = [_row(group) for group in groups.values()]
    whole = _add_up(groups.values())
    charts = (weeks_chart(reading, cohort), shares_chart(groups, cohort))
    notes = [_say_whole(whole, cohort), say_basis(cohort.terms), _ABOUT_SPREAD]
    totals = _row(whole) if rows else None
    return Table("yields", tr("Yields"), _columns(cohort), rows, notes, totals, charts)


def flushes_table(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> Table:
    """Each group flush by flush: alone, and with the flushes before it."""
    cohort = read_cohort(reading, question or SumQuestion(), now=now)
    groups = read_groups(reading, cohort)
    columns = (
        Column("group", GROUPINGS[cohort.question.by]),
        Column("flush", tr("Flush"), "integer"),
        Column("picked_mg", tr("Picked"), "mass"),
        Column("share", tr("Share"), "percent"),
        Column("opened", tr("Opened"), "integer"),
        Column("made", tr("Made"), "integer"),
        Column("be_opened", tr("BE on opened"), "percent"),
        Column("be_made", tr("BE on made"), "percent"),
        Column("so_far_opened", tr("So far on opened"), "percent"),
        Column("so_far_made", tr("So far on made"), "percent"),
        Column("per_made_mg", tr("Per block made"), "mass"),
        Column("state", tr("State")),
    )
    rows = [
        (
            group.name, one.flush, one.alone.picked_mg, one.share_percent,
            group.whole.opened, group.whole.made,
            one.alone.efficiency_opened_percent, one.alone.efficiency_made_percent,
            one.cumulative.efficiency_opened_percent, one.cumulative.efficiency_made_percent,
            one.alone.per_made_mg, _state(group),
        )
        for group in groups.values()
        for one in group.measure().flushes
    ]  # fmt: skip
    notes = [_say_whole(_add_up(groups.values()), cohort), say_basis(cohort.terms)]
    charts = (shares_chart(groups, cohort),)
    return Table("flushes", tr("Flushes"), columns, rows, notes, charts=charts)


def say_basis(terms: FarmTerms) -> str:
    """What biological efficiency is divided by, on every sheet that shows one."""
    if terms.farm.with_spawn_dry:
        return tr("BE: fresh weight picked over dry substrate and dry spawn.")
    return tr("BE: fresh weight picked over dry substrate, without the spawn.")


def weeks_chart(reading: Reading, cohort: Cohort) -> Chart:
    """Kg picked by species and ISO week, up to the last day asked for."""
    terms, asked = cohort.terms, cohort.question
    unit = "lb" if terms.formats.mass_unit == "lb_oz" else terms.formats.mass_unit
    last = IsoWeek.of(asked.last)
    span = min(_WEEKS_SHOWN, max(2, IsoWeek.of(asked.first).weeks_until(last) + 1))
    weeks = [last.plus(at - span + 1) for at in range(span)]
    zone = terms.farm.zone
    start, end = day_start(weeks[0].monday, zone), day_start(day_plus(asked.last, 1), zone)
    masses: dict[int, dict[str, int]] = {}
    for species, at, mg in picked_by_day(reading, start, end):
        if asked.species in (None, species):
            by_week = masses.setdefault(species, {})
            week = str(IsoWeek.of(local_day(at, zone)))
            by_week[week] = by_week.get(week, 0) + mg
    series = [
        Series(
            terms.species_name(species),
            [float(amount_in(by_week.get(str(week), 0), unit)) for week in weeks],
        )
        for species, by_week in sorted(masses.items())
    ]
    names = [str(week).partition("-")[2] for week in weeks]
    title = tr("Picked by week, {first} to {last}").format(first=weeks[0], last=weeks[-1])
    return Chart("stacked", title, names, series, unit=unit)


def shares_chart(groups: Mapping[str, YieldGroup], cohort: Cohort) -> Chart:
    """How the flushes share what was picked, of the groups that gave most."""
    giving = [group for group in groups.values() if group.picked_mg]
    most = sorted(giving, key=lambda one: -one.picked_mg)[:_GROUPS_DRAWN]
    drawn = [group for group in giving if group in most]
    flushes = sorted({flush for group in drawn for flush in group.by_flush})
    series = [
        Series(
            tr("Flush {number}").format(number=flush),
            [100 * group.by_flush.get(flush, 0) / group.picked_mg for group in drawn],
        )
        for flush in flushes
    ]
    by = GROUPINGS[cohort.question.by]
    title = tr("Shares of the flushes by {group}").format(group=by.lower())
    return Chart("stacked", title, [group.name for group in drawn], series, unit="%")


_ABOUT_SPREAD = tr(
    "Most batches: eight of ten finished batches of the group lie between these efficiencies on"
    " made blocks; shown from five batches on."
)


def _columns(cohort: Cohort) -> Sequence[Column]:
    flushes = [
        Column(f"be_{flush}", tr("Flush {number}").format(number=flush), "percent")
        for flush in range(1, _FLUSHES_SHOWN + 1)
    ]
    return (
        Column("group", GROUPINGS[cohort.question.by]),
        Column("batches", tr("Batches"), "integer"),
        Column("made", tr("Made"), "integer"),
        Column("opened", tr("Opened"), "integer"),
        Column("picked_mg", tr("Picked"), "mass"),
        Column("be_opened", tr("BE on opened"), "percent"),
        Column("be_made", tr("BE on made"), "percent"),
        *flushes,
        Column("per_opened_mg", tr("Per block opened"), "mass"),
        Column("per_made_mg", tr("Per block made"), "mass"),
        Column("place_week_mg", tr("Per place and week"), "mass", digits=3),
        Column("low", tr("Most batches from"), "percent"),
        Column("high", tr("Most batches to"), "percent"),
        Column("first_day", tr("First pick"), "day"),
        Column("last_day", tr("Last pick"), "day"),
        Column("state", tr("State")),
    )


def _row(group: YieldGroup) -> tuple[object, ...]:
    found, blocks = group.measure(), group.whole
    by_flush = {one.flush: one.alone.efficiency_opened_percent for one in found.flushes}
    low, high = group.spread() or (None, None)
    return (
        group.name, len(group.dry_made), blocks.made, blocks.opened, group.picked_mg,
        found.whole.efficiency_opened_percent, found.whole.efficiency_made_percent,
        *(by_flush.get(flush) for flush in range(1, _FLUSHES_SHOWN + 1)),
        found.whole.per_opened_mg, found.whole.per_made_mg, group.per_place_week_mg(),
        low, high, group.first_day or None, group.last_day or None, _state(group),
    )  # fmt: skip


def _state(group: YieldGroup) -> str:
    return tr("to date") if group.alive else tr("finished")


def _add_up(groups: Iterable[YieldGroup]) -> YieldGroup:
    whole = YieldGroup(tr("All"))
    for group in groups:
        whole.blocks += group.blocks
        whole.alive += group.alive
        whole.unfinished |= group.unfinished
        whole.place_days += group.place_days
        whole.measured_mg += group.measured_mg
        for into, given in (
            (whole.by_flush, group.by_flush),
            (whole.by_batch, group.by_batch),
            (whole.dry_made, group.dry_made),
        ):
            for key, mg in given.items():
                into[key] = into.get(key, 0) + mg
        if group.first_day:
            whole.first_day = min(whole.first_day or group.first_day, group.first_day)
            whole.last_day = max(whole.last_day, group.last_day)
    return whole


def _say_whole(whole: YieldGroup, cohort: Cohort) -> str:
    formats, blocks, found = cohort.terms.formats, whole.whole, whole.measure().whole
    if found.efficiency_opened_percent is None or found.efficiency_made_percent is None:
        return tr("No blocks were opened: {span}.").format(span=cohort.span)
    words = tr(
        "{picked} from {opened} opened of {made} made blocks: {be_opened} BE on opened,"
        " {be_made} on made, {state} ({span}). {measured} of it was weighed bag by bag, the rest"
        " shared out over the bags of a crate."
    )
    share = 100 * whole.measured_mg / whole.picked_mg if whole.picked_mg else 0
    return words.format(
        picked=formats.mass(whole.picked_mg),
        opened=formats.number(blocks.opened),
        made=formats.number(blocks.made),
        be_opened=formats.percent(found.efficiency_opened_percent),
        be_made=formats.percent(found.efficiency_made_percent),
        state=_state(whole),
        span=cohort.span,
        measured=formats.percent(share, 0),
    )
