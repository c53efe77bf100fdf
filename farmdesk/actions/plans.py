"""Planned batches: accepted from the plan, changed, ticked off, dropped; and the plan's figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.arithmetic.planning import MOST_BLOCKS
from farmdesk.domain.bags import Batch
from farmdesk.domain.catalogue import Recipe, Species, Strain
from farmdesk.domain.plans import DROPPED, MADE, PLANNED, PlannedBatch, PlanSetting
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.times import day_plus
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.store.plans import batches_made

_USUAL_DAYS = 400


@dataclass(frozen=True)
class PlanWish:
    """Blocks of a species for an ISO week, and the days on which their steps are due."""

    species: int
    week: str
    blocks: int
    plates_on: str
    spawn_on: str
    inoculate_on: str
    open_on: str
    pick_on: str
    strain: int | None = None
    recipe: int | None = None
    note: str = ""


def accept_plan(act: Act, wishes: Sequence[PlanWish]) -> list[PlannedBatch]:
    """Make a planned batch of each wish; asks when one is planned for that week already."""
    if not wishes:
        raise Refused(problem("plan_nothing_chosen"))
    found = [one for wish in wishes for one in _check_wish(act, wish)]
    if found:
        raise Refused(*found)
    for wish in wishes:
        twin = act.tx.first(PlannedBatch, species=wish.species, week=wish.week, status=PLANNED)
        if twin is not None:
            act.ask(problem("planned_already", name=twin.name, week=wish.week, blocks=twin.blocks))
    return [_plan(act, wish) for wish in wishes]


def usual_making(act: Act, species: int) -> tuple[int | None, int | None]:
    """The strain and recipe of the species' newest batch; None where there was none."""
    for batch in batches_made(act.tx, day_plus(act.day, -_USUAL_DAYS), act.day):
        if batch.species == species:
            return batch.strain, batch.recipe
    return None, None


def change_planned(
    act: Act,
    planned: int,
    *,
    blocks: int,
    inoculate_on: str,
    open_on: str,
    strain: int | None = None,
    recipe: int | None = None,
    note: str = "",
) -> PlannedBatch:
    """Change a planned batch: its blocks and days, strain, recipe, note."""
    now = _need_planned(act, planned)
    changed = replace(
        now, blocks=blocks, inoculate_on=inoculate_on, open_on=open_on, strain=strain,
        recipe=recipe, note=note.strip(),
    )  # fmt: skip
    wish = PlanWish(
        changed.species, changed.week, blocks, changed.plates_on, changed.spawn_on, inoculate_on,
        open_on, changed.pick_on, strain, recipe, changed.note,
    )  # fmt: skip
    found = list(_check_wish(act, wish))
    if found:
        raise Refused(*found)
    fields = {name: value for name, value in vars(changed).items() if name != "id"}
    return act.change_fields("planned_batch_changed", now, fields)


def tick_off(act: Act, planned: int, batch: int | None = None) -> PlannedBatch:
    """A planned batch was made: it became this batch, if one is named."""
    now = _need_planned(act, planned)
    if batch is not None:
        made = act.need(Batch, batch)
        if act.need(Strain, made.strain).species != now.species:
            raise Refused(problem("planned_of_other_species", field="batch", batch=made.name))
        twin = act.tx.first(PlannedBatch, batch=batch)
        if twin is not None:
            raise Refused(
                problem("batch_planned_twice", field="batch", batch=made.name, name=twin.name)
            )
    return act.change("planned_batch_made", now, status=MADE, batch=batch)


def drop_planned(act: Act, planned: Sequence[int]) -> list[PlannedBatch]:
    """These planned batches will not be made."""
    return [
        act.change("planned_batch_dropped", _need_planned(act, one), status=DROPPED)
        for one in planned
    ]


def save_plan_setting(act: Act, setting: PlanSetting) -> PlanSetting:
    """Keep the figures that plans are made with; Refused with all that cannot be."""
    found = list(_check_setting(setting))
    if found:
        raise Refused(*found)
    return act.keep_single(setting)


def _plan(act: Act, wish: PlanWish) -> PlannedBatch:
    number = act.next_id("planned_batch")
    code = act.need(Species, wish.species).code
    return act.make(
        "batch_planned",
        PlannedBatch(
            id=number,
            name=f"B-{code}-{number:04d}",
            species=wish.species,
            strain=wish.strain,
            recipe=wish.recipe,
            blocks=wish.blocks,
            week=wish.week,
            plates_on=wish.plates_on,
            spawn_on=wish.spawn_on,
            inoculate_on=wish.inoculate_on,
            open_on=wish.open_on,
            pick_on=wish.pick_on,
            note=wish.note.strip(),
        ),
    )


def _check_wish(act: Act, wish: PlanWish) -> Iterator[Problem]:
    act.need(Species, wish.species)
    IsoWeek.parse(wish.week)
    if not 0 < wish.blocks <= MOST_BLOCKS:
        yield problem("planned_blocks_wrong", field="blocks", most=f"{MOST_BLOCKS:,}")
    if wish.strain is not None and act.need(Strain, wish.strain).species != wish.species:
        yield problem("planned_strain_wrong", field="strain")
    if wish.recipe is not None:
        act.need(Recipe, wish.recipe)
    if not wish.inoculate_on:
        yield problem("demand_day_missing", field="inoculate_on")
    elif wish.open_on and wish.open_on < wish.inoculate_on:
        yield problem("planned_days_wrong", field="open_on")
    yield from check_text("note", wish.note, needed=False, long=True)


def _check_setting(setting: PlanSetting) -> Iterator[Problem]:
    limits: dict[str, tuple[int, int]] = {
        "promise_percent": (50, 99),
        "blocks_per_run": (0, 100_000),
        "runs_per_day": (1, 24),
        "hours_per_week": (0, 10_000),
        "make_minutes": (0, 600),
        "pick_minutes": (0, 600),
        "plate_days": (0, 120),
        "spawn_days": (0, 120),
        "saleable_percent": (1, 100),
    }
    for name, (low, high) in limits.items():
        value = Decimal(getattr(setting, name))
        if not value.is_finite() or not low <= value <= high:
            yield problem("plan_figure_wrong", field=name, low=low, high=f"{high:,}")


def _need_planned(act: Act, planned: int) -> PlannedBatch:
    now = act.need(PlannedBatch, planned)
    if now.status != PLANNED:
        raise Refused(problem("planned_closed", name=now.name))
    return now
