"""Whether a plan fits: every room day by day, the steriliser run by run, the week's hours."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import numpy as np

from farmdesk.arithmetic.crops import Crop, Stage, find_clean_chance
from farmdesk.arithmetic.forecast import WEEKS
from farmdesk.arithmetic.occupancy import (
    HeatDay,
    RoomUse,
    Stay,
    Task,
    WorkDay,
    measure_heat,
    measure_room,
    measure_work,
)
from farmdesk.domain.catalogue import Room, Species
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days, day_plus
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.plan import FarmPlan, crop_for, read_plan
from farmdesk.store.forecast import Standing
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr, tr_count

DAYS = 7 * WEEKS
_USES = ("incubation", "fruiting")
_SOON = 3
"""Days in which what is overdue is taken to be over."""


@dataclass(frozen=True)
class NewBlocks:
    """Blocks to come, from a planned batch or a line of the plan."""

    species: Species
    blocks: int
    inoculate_on: str
    open_on: str
    pick_on: str
    is_planned: bool


@dataclass(frozen=True)
class RoomFit:
    """A room with its use day by day, with what is to come and as it stands alone."""

    room: Room
    use: RoomUse
    standing: RoomUse


@dataclass(frozen=True)
class FarmFit:
    """A plan against the farm's rooms, steriliser and hours."""

    plan: FarmPlan
    rooms: tuple[RoomFit, ...]
    heat: tuple[HeatDay, ...]
    work: tuple[WorkDay, ...]
    homeless: Mapping[str, int]
    """Blocks by use for which there is no room of that use at all."""


def read_fit(
    reading: Reading,
    *,
    now: str | None = None,
    species: int | None = None,
    promise_percent: int | None = None,
) -> FarmFit:
    """The plan, and whether it fits."""
    plan = read_plan(reading, now=now, species=species, promise_percent=promise_percent)
    rooms = [one for one in reading.all(Room) if one.use in _USES and not one.retired]
    return fit_plan(plan, rooms)


def fit_plan_tables(reading: Reading, plan: FarmPlan) -> tuple[Table, Table, Table]:
    """The same tables for a plan that was made already."""
    rooms = [one for one in reading.all(Room) if one.use in _USES and not one.retired]
    fit = fit_plan(plan, rooms)
    return _rooms_table(fit), _heat_table(fit), _work_table(fit)


def fit_plan(plan: FarmPlan, rooms: Sequence[Room]) -> FarmFit:
    """Whether a plan that was made fits."""
    new = list(new_blocks(plan))
    housing = _Housing(rooms, plan.terms.today)
    for one in plan.forecast.standing:
        _house_standing(housing, one, plan)
    before = {at: list(stays) for at, stays in housing.stays.items()}
    for blocks in sorted(new, key=lambda one: one.inoculate_on):
        _house_new(housing, blocks, plan)
    fits = []
    for room in rooms:
        use, alone = (
            measure_room(stays, from_day=plan.terms.today, days=DAYS, capacity=room.capacity)
            for stays in (housing.stays[room.id], before[room.id])
        )
        fits.append(RoomFit(room, use, alone))
    return FarmFit(plan, tuple(fits), _heat(plan, new), _work(plan, new), housing.homeless)


def new_blocks(plan: FarmPlan) -> Iterator[NewBlocks]:
    """Blocks of planned batches, and those that the plan proposes."""
    for one in plan.planned:
        kind = plan.species[one.species]
        yield NewBlocks(kind, one.blocks, one.inoculate_on, one.open_on, one.pick_on, True)
    for line in plan.lines:
        dates = line.found.dates
        if line.blocks and dates is not None:
            yield NewBlocks(
                line.species, line.blocks, dates.inoculate_on, dates.open_on, dates.pick_on, False
            )


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


def say_misfits(fit: FarmFit) -> list[str]:
    """Where the plan does not fit and what would fit; empty when it does."""
    return [*_room_misfits(fit), *_heat_misfits(fit), *_work_misfits(fit)]


class _Housing:
    """Stays of bags in rooms; new ones go where most places are left while they stay."""

    def __init__(self, rooms: Sequence[Room], today: str) -> None:
        self._rooms = {use: [one for one in rooms if one.use == use] for use in _USES}
        self._first = date.fromisoformat(today).toordinal()
        self._taken = {one.id: np.zeros(DAYS, dtype=np.int64) for one in rooms}
        self.stays: dict[int, list[Stay]] = {one.id: [] for one in rooms}
        self.homeless: dict[str, int] = {}

    def put(self, room: int, places: int, from_day: str, to_day: str) -> None:
        """Bags stay in a room, if it is one that is counted."""
        if room in self.stays and places > 0 and to_day > from_day:
            self.stays[room].append(Stay(from_day, to_day, places))
            self._taken[room][self._span(from_day, to_day)] += places

    def find(self, use: str, places: int, from_day: str, to_day: str) -> None:
        """Bags stay in the room of this use with most places left at its fullest then."""
        if places <= 0 or to_day <= from_day:
            return
        rooms = self._rooms[use]
        if not rooms:
            self.homeless[use] = self.homeless.get(use, 0) + places
            return
        span = self._span(from_day, to_day)

        def left(room: Room) -> int:
            taken = self._taken[room.id][span]
            return room.capacity - int(taken.max() if taken.size else 0)

        self.put(max(rooms, key=left).id, places, from_day, to_day)

    def _span(self, from_day: str, to_day: str) -> slice:
        begin = date.fromisoformat(from_day).toordinal() - self._first
        end = date.fromisoformat(to_day).toordinal() - self._first
        return slice(min(max(begin, 0), DAYS), min(max(end, 0), DAYS))


def _house_standing(housing: _Housing, one: Standing, plan: FarmPlan) -> None:
    kind, today = plan.species[one.species], plan.terms.today
    crop = crop_for(plan, kind)
    elapsed = max(0, age_days(one.since, today))
    leaves, bags = today, one.bags
    if one.stage in ("incubating", "colonised"):
        leaves = day_plus(today, _days_to_open(crop, one.stage, elapsed))  # type: ignore[arg-type]
        if one.stage == "incubating":
            bags = round(one.bags * find_clean_chance(crop, elapsed))
        if one.room is not None:
            housing.put(one.room, one.bags, today, leaves)
        housing.find("fruiting", bags, leaves, day_plus(leaves, _shelf_days(crop)))
        return
    left = crop.flushes[one.flush :]
    stay = max(_SOON, round(sum(flush.wait.mean for flush in left)) - elapsed) if left else _SOON
    if one.room is not None:
        housing.put(one.room, bags, today, day_plus(today, stay))


def _house_new(housing: _Housing, one: NewBlocks, plan: FarmPlan) -> None:
    crop, today = crop_for(plan, one.species), plan.terms.today
    begin = max(one.inoculate_on, today)
    opens = max(one.open_on, begin)
    housing.find("incubation", one.blocks, begin, opens)
    bags = round(one.blocks * crop.clean_share)
    housing.find("fruiting", bags, opens, day_plus(opens, _shelf_days(crop)))


def _days_to_open(crop: Crop, stage: Stage, elapsed: int) -> int:
    whole = crop.opening.mean
    if stage == "incubating":
        whole += crop.incubation.mean
    return max(_SOON, round(whole - elapsed))


def _shelf_days(crop: Crop) -> int:
    return max(1, round(sum(flush.wait.mean for flush in crop.flushes)))


def _heat(plan: FarmPlan, new: Iterable[NewBlocks]) -> tuple[HeatDay, ...]:
    """Blocks are heated for the day on which they are inoculated."""
    if not plan.setting.blocks_per_run:
        return ()
    return measure_heat(
        [(one.inoculate_on, one.blocks) for one in new],
        blocks_per_load=plan.setting.blocks_per_run,
        loads_per_day=plan.setting.runs_per_day,
    )


def _work(plan: FarmPlan, new: Sequence[NewBlocks]) -> tuple[WorkDay, ...]:
    """Hours by week (the day is its Monday): making blocks, and picking bags flush by flush."""
    setting, tasks = plan.setting, []
    last = day_plus(plan.terms.today, DAYS)
    for one in new:
        crop, day = crop_for(plan, one.species), one.pick_on
        tasks.append(Task(_monday(one.inoculate_on), "make", one.blocks, setting.make_minutes))
        bags = one.blocks * crop.clean_share
        for at, flush in enumerate(crop.flushes):
            bags *= flush.share
            day = day_plus(day, round(flush.wait.mean)) if at else day
            if day < last:
                tasks.append(Task(_monday(day), "pick", round(bags), setting.pick_minutes))
    for week in plan.forecast.forecast.weeks:
        learnt = plan.forecast.learnt[week.species].crop
        kind = next(one for one in plan.species.values() if one.name == week.species)
        bags = week.mean_kg / (learnt.flushes[0].kg_per_bag * plan.sizes[kind.id])
        monday = IsoWeek.parse(week.week).monday
        tasks.append(Task(monday, "pick", round(bags), setting.pick_minutes))
    found = measure_work(tasks, hours_per_day=setting.hours_per_week or Decimal(1_000_000))
    this_week = _monday(plan.terms.today)
    return tuple(one for one in found if one.day >= this_week and one.hours)


def _monday(day: str) -> str:
    return IsoWeek.of(day).monday


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
    uses = {"incubation": tr("incubation"), "fruiting": tr("fruiting")}
    rows = [
        (
            one.room.name, uses[one.room.use], one.room.capacity, one.use.days[0].taken,
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
    most = fit.plan.setting.blocks_per_run * fit.plan.setting.runs_per_day
    rows = [(one.day, one.blocks, one.loads, one.over, most) for one in fit.heat]
    notes = _notes(fit)
    if not fit.plan.setting.blocks_per_run:
        notes = [
            tr(
                "Say how many blocks go into one run in “Figures of the plan”, and the steriliser's"
                " runs are counted here."
            )
        ]
    return Table("plan_runs", tr("Steriliser"), columns, rows, notes)


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
        uses = {"incubation": tr("incubation"), "fruiting": tr("fruiting")}
        yield tr("There is no room for {use}, so {blocks} bags have no place.").format(
            use=uses[use], blocks=blocks
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
    most = fit.plan.setting.blocks_per_run * fit.plan.setting.runs_per_day
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
