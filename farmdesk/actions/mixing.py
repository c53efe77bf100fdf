"""A mix from its plan to the scale: planned, weighed with its water, dropped; and the vessels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.heat_runs import MIXED, PLANNED, ask_mix_fits, plan_run, plan_water
from farmdesk.arithmetic.limits import HUNDRED
from farmdesk.domain.catalogue import Person, Recipe, Strain
from farmdesk.domain.codes import name_for
from farmdesk.domain.lab import HeatRun, RunIngredient
from farmdesk.domain.mixing import MixingNote, Vessel
from farmdesk.errors import Problem, Refused, problem, refuse_any
from farmdesk.quantities.mass import format_mass
from farmdesk.store.lab import blocks_taken_from

MOST_VESSEL_BLOCKS = 5_000
_LONGEST_HOURS = Decimal(72)
# Two points of moisture are more than a scale's error and less than what harms (common practice,
# no source).
_WATER_OFF_POINTS = Decimal(2)


def plan_mix_run(
    act: Act,
    *,
    recipe: int,
    blocks: int,
    strain: int | None = None,
    person: int | None = None,
    note: str = "",
) -> HeatRun:
    """Keep a mix that is to be made today; nothing of it is weighed yet."""
    plan = plan_run(act.tx, recipe, blocks, strain=strain)
    if strain is not None:
        act.need(Strain, strain)
    if person is not None:
        act.need(Person, person)
    refuse_any(list(check_text("note", note, needed=False, long=True)))
    run_id = act.next_id("run")
    run = act.make(
        "run_planned",
        HeatRun(
            id=run_id,
            name=name_for("run", act.running("run", run_id)),
            recipe=recipe,
            run_on=act.day,
            blocks=blocks,
            block_mg=plan.block_mg,
            moisture_percent=plan.moisture_percent,
            treatment=plan.treatment,
            status=PLANNED,
            person=act.who.person if person is None else person,
            note=note.strip(),
        ),
    )
    act.make("mixing_note_made", MixingNote(act.next_id("mixing_note"), run_id, strain))
    return run


def weigh_mix(
    act: Act,
    run: int,
    *,
    weighed: Mapping[int, int],
    lots: Mapping[int, str] | None = None,
    water_mg: int | None = None,
) -> HeatRun:
    """Keep what was weighed into a planned mix, by ingredient id in mg; again: instead of it.

    Without `water_mg` the water worked out counts as added. Refused when the mix needs no water;
    asks when the water weighed leaves it two points wetter or drier than wanted.
    """
    known = act.need(HeatRun, run)
    if known.started_at is not None or known.status not in (PLANNED, MIXED):
        raise Refused(problem("run_heated_already", run=known.name))
    amounts = {one: amount for one, amount in weighed.items() if amount}
    recipe = act.need(Recipe, known.recipe)
    water = plan_water(act, replace(recipe, moisture_percent=known.moisture_percent), amounts)
    named = lots or {}
    refuse_any([one for lot in named.values() for one in check_text("lot", lot, needed=False)])
    added = water.water_mg if water_mg is None else water_mg
    act.ask(*_ask_water(act, known, water.dry_mg, water.as_is_mg, added))
    act.ask(*ask_mix_fits(act, known, water.as_is_mg + added))
    for old in act.tx.all(RunIngredient, run=run):
        act.take_away("ingredient_taken_back", old)
    act.make_many(
        "ingredient_weighed",
        [
            RunIngredient(act.next_id("run_ingredient"), run, one, amount, named.get(one, ""))
            for one, amount in amounts.items()
        ],
    )
    note = act.tx.first(MixingNote, run=run)
    if note is None:
        made = MixingNote(act.next_id("mixing_note"), run, None, added)
        act.make("mixing_note_made", made)
    else:
        act.change("mixing_note_changed", note, water_mg=added)
    return act.change("run_mixed", known, status=MIXED, run_on=act.day)


def drop_mix(act: Act, run: int) -> HeatRun:
    """Take away a run that was planned and is not made after all."""
    known = act.need(HeatRun, run)
    if known.status != PLANNED or blocks_taken_from(act.tx, run):
        raise Refused(problem("run_used_already", run=known.name))
    for note in act.tx.all(MixingNote, run=run):
        act.take_away("mixing_note_removed", note)
    act.take_away("run_removed", known)
    return known


def save_vessel(act: Act, vessel: Vessel) -> Vessel:
    """Keep a vessel; id 0 is a new one."""
    refuse_any(
        [
            *check_text("name", vessel.name, needed=True),
            *check_text("note", vessel.note, needed=False, long=True),
            *_check_vessel(vessel),
        ]
    )
    for other in act.tx.all(Vessel):
        if other.id != vessel.id and other.name.casefold() == vessel.name.strip().casefold():
            raise Refused(problem("name_taken", field="name", kind="vessel", text=other.name))
    kept = replace(vessel, name=vessel.name.strip(), note=vessel.note.strip())
    if not kept.id:
        return act.make("vessel_made", replace(kept, id=act.next_id("vessel")))
    now = act.need(Vessel, kept.id)
    fields = {key: value for key, value in vars(kept).items() if key != "id"}
    return act.change_fields("vessel_changed", now, fields)


def retire_vessel(act: Act, vessel: int) -> Vessel:
    """A vessel that is no longer used leaves the choices."""
    return act.change("vessel_retired", act.need(Vessel, vessel), retired=1)


def _check_vessel(vessel: Vessel) -> list[Problem]:
    found = []
    if not 1 <= vessel.blocks <= MOST_VESSEL_BLOCKS:
        most = f"{MOST_VESSEL_BLOCKS:,}"
        found.append(
            problem("vessel_blocks_wrong", field="blocks", blocks=vessel.blocks, most=most)
        )
    if not (vessel.hours.is_finite() and 0 < vessel.hours <= _LONGEST_HOURS):
        found.append(problem("vessel_hours_wrong", field="hours", hours=vessel.hours))
    return found


def _ask_water(act: Act, run: HeatRun, dry_mg: int, as_is_mg: int, water_mg: int) -> list[Problem]:
    """Whether the water that went in leaves the mix near its target."""
    total = Decimal(as_is_mg + water_mg)
    percent = HUNDRED * (total - dry_mg) / total
    if water_mg >= 0 and abs(percent - run.moisture_percent) <= _WATER_OFF_POINTS:
        return []
    shown = format_mass(water_mg, act.farm.mass_unit, act.farm.locale)
    target = f"{run.moisture_percent:f}"
    return [problem("water_off", water=shown, percent=f"{percent:.1f}", target=target)]
