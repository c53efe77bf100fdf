"""Whether a plan fits, as tables and sentences: rooms, steriliser runs, hours of work."""

from __future__ import annotations

from collections.abc import Iterator

from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import day_plus
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.plan import FarmPlan
from farmdesk.reports.plan_fit import (
    DAYS,
    FarmFit,
    RoomFit,
    fit_plan,
    new_blocks,
    read_fit,
    rooms_of,
    vessels_of,
)
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr, tr_count
from farmdesk.wording.states import ROOM_USES, say_code

_DAY_HOURS = 24


def fit_table(reading: Reading, *, now: str | None = None, species: int | None = None) -> Table:
    """Rooms against their peaks."""
    return fit_tables(reading, now=now, species=species)[0]


def fit_tables(
    reading: Reading,
    *,
    now: str | None = None,
    species: int | None = None,
    promise_percent: int | None = None,
) -> tuple[Table, Table, Table]:
    """Rooms, steriliser runs, and hours of work."""
    fit = read_fit(reading, now=now, species=species, promise_percent=promise_percent)
    return _rooms_table(fit), _heat_table(fit), _work_table(fit)


def fit_plan_tables(reading: Reading, plan: FarmPlan) -> tuple[Table, Table, Table]:
    """The same tables for a plan that was made already."""
    fit = fit_plan(plan, rooms_of(reading), vessels_of(reading))
    return _rooms_table(fit), _heat_table(fit), _work_table(fit)


def say_misfits(fit: FarmFit) -> list[str]:
    """Where the plan does not fit and what would fit; empty when it does."""
    return [*_room_misfits(fit), *_heat_misfits(fit), *_work_misfits(fit)]


def _rooms_table(fit: FarmFit) -> Table:
    columns = (
        Column("room", tr("Room")),
        Column("use", tr("Use")),
        Column("capacity", tr("Places"), "integer"),
        Column("now", tr("Taken now"), "integer"),
        Column("peak", tr("Peak"), "integer"),
        Column("peak_day", tr("On"), "day"),
        Column("average", tr("Average"), "number", digits=0),
        Column("over_days", tr("Days too full"), "integer"),
        Column("spare", tr("Always free"), "integer"),
        Column("verdict", tr("Verdict"), width=34),
    )
    rows = [
        (
            one.room.name, say_code(ROOM_USES, one.room.use), one.room.capacity,
            one.use.days[0].taken,
            one.use.peak, one.use.peak_day, one.use.average, len(one.use.full_days),
            one.use.spare, _room_verdict(one),
        )
        for one in fit.rooms
    ]  # fmt: skip
    charts = tuple(_room_chart(one, fit) for one in fit.rooms)
    return Table("plan_rooms", tr("Rooms"), columns, rows, _notes(fit), charts=charts)


def _room_verdict(one: RoomFit) -> str:
    if one.use.fits:
        return tr("fits")
    short = one.use.peak - one.use.capacity
    return tr("{short} places too few at the peak").format(short=short)


def _heat_table(fit: FarmFit) -> Table:
    columns = (
        Column("day", tr("Inoculation"), "day"),
        Column("blocks", tr("Blocks"), "integer"),
        Column("loads", tr("Runs"), "integer"),
        Column("over", tr("Runs too many"), "integer"),
        Column("most", tr("Blocks that fit"), "integer"),
    )
    most = fit.blocks_per_run * fit.plan.setting.runs_per_day
    rows = [(one.day, one.blocks, one.loads, one.over, most) for one in fit.heat]
    fits = _notes(fit) if fit.blocks_per_run else []
    return Table("plan_runs", tr("Steriliser"), columns, rows, [*fits, _say_runs(fit)])


def _say_runs(fit: FarmFit) -> str:
    """Where the blocks of a run come from, and whether so many runs fit into a day."""
    setting, number = fit.plan.setting, fit.plan.terms.formats.number
    if not fit.blocks_per_run:
        return tr(
            "Enter the vessels under Lab, Substrate sums, or say how many blocks go into one run in"
            " “Figures of the plan”, and the steriliser's runs are counted here."
        )
    if setting.blocks_per_run:
        return tr("A run heats {blocks} blocks, as “Figures of the plan” say.").format(
            blocks=setting.blocks_per_run
        )
    hours = max(one.hours for one in fit.vessels)
    words = tr("A run heats {blocks} blocks: {vessels}, at the same time, {hours} h a run.").format(
        blocks=fit.blocks_per_run,
        vessels=", ".join(f"{one.name} ({one.blocks})" for one in fit.vessels),
        hours=number(hours, 1),
    )
    if hours * setting.runs_per_day > _DAY_HOURS:
        words = tr("{words} {runs} such runs do not fit into a day of 24 h.").format(
            words=words, runs=setting.runs_per_day
        )
    return words


def _work_table(fit: FarmFit) -> Table:
    columns = (
        Column("week", tr("Week")),
        Column("monday", tr("From"), "day"),
        Column("hours", tr("Hours"), "number", digits=1),
        Column("there", tr("Hours there are"), "number", digits=1),
        Column("over", tr("Too many"), "number", digits=1),
    )
    there = fit.plan.setting.hours_per_week or None
    rows = [
        (str(IsoWeek.of(one.day)), one.day, one.hours, there, one.over or None) for one in fit.work
    ]
    chart = Chart(
        "bar", tr("Hours by week"), [str(IsoWeek.of(one.day))[5:] for one in fit.work],
        [Series(tr("Hours"), [float(one.hours) for one in fit.work])], tr("h"),
    )  # fmt: skip
    about = tr(
        "{make} minutes for a block made (mixing, heating, inoculating, labels), {pick} minutes for"
        " each pick of a block: common practice, to be changed in “Figures of the plan”."
    )
    number = fit.plan.terms.formats.number
    note = about.format(
        make=number(fit.plan.setting.make_minutes, 0), pick=number(fit.plan.setting.pick_minutes, 0)
    )
    charts = (chart,) if fit.work else ()
    return Table("plan_hours", tr("Hours"), columns, rows, [*_notes(fit), note], charts=charts)


def _room_chart(one: RoomFit, fit: FarmFit) -> Chart:
    formats = fit.plan.terms.formats
    every = range(0, DAYS, 2)
    days = [one.use.days[at] for at in every]
    taken = Series(tr("With the plan"), [float(day.taken) for day in days])
    alone = Series(tr("What stands now"), [float(one.standing.days[at].taken) for at in every])
    places = Series(tr("Places"), [float(one.room.capacity)] * len(days))
    title = tr("{room}: places taken").format(room=one.room.name)
    return Chart("line", title, [formats.day(day.day) for day in days], [taken, alone, places])


def _notes(fit: FarmFit) -> list[str]:
    misfits = say_misfits(fit)
    new = sum(one.blocks for one in new_blocks(fit.plan))
    head = tr_count(
        new,
        "The plan with {n} new block fits everywhere.",
        "The plan with {n} new blocks fits everywhere.",
    )
    words = [" ".join(misfits) or head.format(n=fit.plan.terms.formats.number(new))]
    words.append(
        tr(
            "Counted day by day for 16 weeks: bags leave when their species usually does, new ones"
            " go into the room of their use with most places left. The peak decides, not the"
            " average."
        )
    )
    return words


def _room_misfits(fit: FarmFit) -> Iterator[str]:
    day = fit.plan.terms.formats.day
    for use, blocks in fit.homeless.items():
        yield tr("There is no room for {use}, so {blocks} bags have no place.").format(
            use=say_code(ROOM_USES, use).lower(), blocks=blocks
        )
    for one in fit.rooms:
        if one.use.fits:
            continue
        words = tr(
            "{room} has {capacity} places and {peak} bags on {day}; {full} days are too full."
            " {less} fewer would fit, or more from {free} on."
        )
        last = one.use.full_days[-1].day
        yield words.format(
            room=one.room.name, capacity=one.use.capacity, peak=one.use.peak,
            day=day(one.use.peak_day), full=len(one.use.full_days),
            less=one.use.peak - one.use.capacity, free=day(day_plus(last, 1)),
        )  # fmt: skip


def _heat_misfits(fit: FarmFit) -> Iterator[str]:
    most = fit.blocks_per_run * fit.plan.setting.runs_per_day
    for one in fit.heat:
        if one.over:
            words = tr(
                "{blocks} blocks on {day} take {loads} runs; {most} blocks fit. Heat the other"
                " {rest} the day before."
            )
            yield words.format(
                blocks=one.blocks, day=fit.plan.terms.formats.day(one.day), loads=one.loads,
                most=most, rest=one.blocks - most,
            )  # fmt: skip


def _work_misfits(fit: FarmFit) -> Iterator[str]:
    if not fit.plan.setting.hours_per_week:
        return
    number = fit.plan.terms.formats.number
    for one in fit.work:
        if one.over:
            words = tr("{week} takes {hours} hours, {over} more than there are.")
            yield words.format(
                week=str(IsoWeek.of(one.day)), hours=number(one.hours, 1), over=number(one.over, 1)
            )
