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
from farmdesk.domain.mixing import Vessel
from farmdesk.quantities.times import age_days, day_plus
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.plan import FarmPlan, crop_for, read_plan
from farmdesk.store.forecast import Standing
from farmdesk.store.transaction import Reading

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
    vessels: tuple[Vessel, ...] = ()
    """What heats the blocks; all of them run at the same time."""

    @property
    def blocks_per_run(self) -> int:
        """Blocks that one run heats: as set in the figures of the plan, else what vessels hold."""
        return _blocks_per_run(self.plan, self.vessels)


def read_fit(
    reading: Reading,
    *,
    now: str | None = None,
    species: int | None = None,
    promise_percent: int | None = None,
) -> FarmFit:
    """The plan, and whether it fits."""
    plan = read_plan(reading, now=now, species=species, promise_percent=promise_percent)
    return fit_plan(plan, rooms_of(reading), vessels_of(reading))


def vessels_of(reading: Reading) -> list[Vessel]:
    """The vessels that are in use."""
    return [one for one in reading.all(Vessel) if not one.retired]


def rooms_of(reading: Reading) -> list[Room]:
    """The rooms that are counted: those for incubation and for fruiting."""
    return [one for one in reading.all(Room) if one.use in _USES and not one.retired]


def fit_plan(plan: FarmPlan, rooms: Sequence[Room], vessels: Sequence[Vessel] = ()) -> FarmFit:
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
    heat = _heat(plan, new, _blocks_per_run(plan, vessels))
    work = _work(plan, new)
    return FarmFit(plan, tuple(fits), heat, work, housing.homeless, tuple(vessels))


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


def _blocks_per_run(plan: FarmPlan, vessels: Sequence[Vessel]) -> int:
    return plan.setting.blocks_per_run or sum(one.blocks for one in vessels)


def _heat(plan: FarmPlan, new: Iterable[NewBlocks], per_run: int) -> tuple[HeatDay, ...]:
    """Blocks are heated for the day on which they are inoculated."""
    if not per_run:
        return ()
    return measure_heat(
        [(one.inoculate_on, one.blocks) for one in new],
        blocks_per_load=per_run,
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
