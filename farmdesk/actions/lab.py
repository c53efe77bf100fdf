"""Cultures and grain spawn: registered, counted from their parents, used and thrown away."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.arithmetic.lineage import LineAge, LineStep, find_line_age
from farmdesk.arithmetic.portions import split_evenly
from farmdesk.domain.bags import Link
from farmdesk.domain.catalogue import Species, Strain
from farmdesk.domain.codes import kind_of, name_for
from farmdesk.domain.lab import Culture, Spawn
from farmdesk.errors import NotFound, Problem, Refused, problem, refuse_any
from farmdesk.quantities.mass import HEAVIEST_MG, format_mass
from farmdesk.store.lab import parents_of

MOST_SPAWN_BAGS = 500
KEPT, EMPTY, DISCARDED = "kept", "empty", "discarded"


@dataclass(frozen=True)
class _Line:
    strain: Strain
    species: Species
    parent: Culture | Spawn | None
    age: LineAge
    made_on: str


def register_culture(
    act: Act,
    *,
    strain: int,
    form: str,
    made_on: str | None = None,
    parent: int | None = None,
    origin: str = "",
    note: str = "",
    transfers: int = 0,
) -> Culture:
    """Register a culture, bought in or made from another; transfers are counted from parents.

    `transfers` is what was known of a culture without a parent here. Asks when the strain's
    limit is passed or the parent is of another strain.
    """
    refuse_any(_check_texts(form=form, origin=origin, note=note))
    if transfers < 0:
        raise Refused(problem("amount_negative", what="number of transfers", amount=transfers))
    if parent is not None and kind_of(parent) != "culture":
        raise Refused(problem("culture_from_culture_only", field="parent"))
    step = LineStep("culture", (parent,) if parent else (), transfers)
    line = _trace(act, strain, parent, made_on, step)
    act.ask(*_questions(line))
    culture_id = act.next_id("culture")
    made = act.make(
        "culture_registered",
        Culture(
            id=culture_id,
            name=_name(act, "culture", culture_id, line),
            strain=strain,
            form=form.strip(),
            transfers=line.age.transfers,
            made_on=line.made_on,
            origin=origin.strip(),
            note=note.strip(),
        ),
    )
    if parent is not None:
        act.make("culture_transferred", Link(made.id, parent))
    return made


def register_spawn(  # noqa: PLR0913 - the fields of the spawn form, each by name
    act: Act,
    *,
    strain: int,
    bags: int,
    each_mg: int,
    parent: int | None = None,
    parent_mg: int = 0,
    grain: str = "",
    made_on: str | None = None,
    use_by: str | None = None,
    origin: str = "",
    note: str = "",
    transfers: int = 0,
    generation: int = 1,
) -> list[Spawn]:
    """Register bags or jars of grain spawn of one making, each with its own label.

    `parent` is a culture, or older spawn of which `parent_mg` was used in all. The grain
    generation is counted from the parents; `transfers` and `generation` are what was known of
    spawn bought in. Raises Refused when the parent is overdrawn; asks past the strain's limits.
    """
    refuse_any(
        [
            *_check_texts(grain=grain, origin=origin, note=note),
            *_check_amounts(bags, each_mg, generation),
        ]
    )
    step = LineStep("spawn", (parent,) if parent else (), transfers, generation)
    line = _trace(act, strain, parent, made_on, step)
    if use_by is not None and use_by < line.made_on:
        raise Refused(problem("use_by_before_made", field="use_by", use_by=use_by))
    if isinstance(line.parent, Spawn):
        _check_drawn(act, line.parent, parent_mg)
    act.ask(*_questions(line))
    made = []
    for amount in split_evenly(max(parent_mg, 0), bags):
        spawn_id = act.next_id("spawn")
        one = Spawn(
            id=spawn_id,
            name=_name(act, "spawn", spawn_id, line),
            strain=strain,
            generation=line.age.generation,
            transfers=line.age.transfers,
            grain=grain.strip(),
            made_mg=each_mg,
            left_mg=each_mg,
            made_on=line.made_on,
            use_by=use_by,
            origin=origin.strip(),
            note=note.strip(),
        )
        made.append(act.make("spawn_registered", one))
        if parent is not None:
            act.make("spawn_grown_from", Link(spawn_id, parent, amount))
    if isinstance(line.parent, Spawn):
        take_spawn(act, line.parent, parent_mg)
    return made


def take_spawn(act: Act, spawn: Spawn, amount_mg: int) -> Spawn:
    """Take an amount out of a bag of spawn that is known to hold it."""
    left = spawn.left_mg - amount_mg
    status = spawn.status
    if status != DISCARDED:
        status = KEPT if left else EMPTY
    return act.change("spawn_taken", spawn, left_mg=left, status=status)


def say_overdrawn(act: Act, spawn: Spawn, wanted_mg: int, *, field: str = "spawn") -> Problem:
    """That a bag of spawn does not hold what is wanted from it."""
    unit, locale = act.farm.mass_unit, act.farm.locale
    return problem(
        "spawn_overdrawn",
        field=field,
        spawn=spawn.name,
        left=format_mass(spawn.left_mg, unit, locale),
        wanted=format_mass(wanted_mg, unit, locale),
    )


def discard_lab(act: Act, thing_id: int, note: str = "") -> Culture | Spawn:
    """Throw a culture or a bag of spawn away; what was left in it stays known."""
    refuse_any(_check_texts(note=note))
    thing = _need_line(act, thing_id)
    if thing.status == DISCARDED:
        raise Refused(problem("lab_discarded_already", name=thing.name))
    happening = "culture_discarded" if isinstance(thing, Culture) else "spawn_discarded"
    fields = {"status": DISCARDED, "note": note.strip() or thing.note}
    return act.change_fields(happening, thing, fields)


def line_steps(act: Act, parents: tuple[int, ...]) -> dict[int, LineStep]:
    """Every ancestor of a line, found by walking its parents."""
    steps: dict[int, LineStep] = {}
    waiting = list(parents)
    while waiting:
        one = waiting.pop()
        if one in steps:
            continue
        thing = _need_line(act, one)
        above = tuple(parents_of(act.tx, one))
        if isinstance(thing, Culture):
            steps[one] = LineStep("culture", above, thing.transfers)
        else:
            steps[one] = LineStep("spawn", above, thing.transfers, thing.generation)
        waiting.extend(above)
    return steps


def _trace(act: Act, strain: int, parent: int | None, made_on: str | None, step: LineStep) -> _Line:
    known = act.need(Strain, strain)
    day = made_on or act.day
    if day > act.day:
        raise Refused(problem("day_in_future", field="made_on", day=day, today=act.day))
    above = _need_line(act, parent) if parent is not None else None
    if above is not None:
        if above.status == DISCARDED:
            raise Refused(problem("lab_discarded", field="parent", name=above.name))
        if day < above.made_on:
            facts = {"day": day, "name": above.name, "made_on": above.made_on}
            raise Refused(problem("made_before_parent", field="made_on", **facts))
    steps = {**line_steps(act, step.parents), 0: step}
    return _Line(known, act.need(Species, known.species), above, find_line_age(0, steps), day)


def _need_line(act: Act, thing_id: int) -> Culture | Spawn:
    found: Culture | Spawn | None = act.tx.get(Culture, thing_id) or act.tx.get(Spawn, thing_id)
    if found is None:
        raise NotFound(problem("not_found", kind="thing", id=thing_id))
    return found


def _questions(line: _Line) -> list[Problem]:
    found = []
    strain, age = line.strain, line.age
    if age.transfers > strain.max_transfers:
        found.append(
            problem(
                "transfers_over_limit",
                strain=strain.name,
                transfers=age.transfers,
                limit=strain.max_transfers,
            )
        )
    if age.generation > strain.max_generation:
        found.append(
            problem(
                "generation_over_limit",
                strain=strain.name,
                generation=age.generation,
                limit=strain.max_generation,
            )
        )
    if line.parent is not None and line.parent.strain != strain.id:
        found.append(problem("parent_of_other_strain", parent=line.parent.name, strain=strain.name))
    return found


def _check_amounts(bags: int, each_mg: int, generation: int) -> list[Problem]:
    found = []
    if not 1 <= bags <= MOST_SPAWN_BAGS:
        found.append(
            problem("spawn_bags_out_of_range", field="bags", bags=bags, most=MOST_SPAWN_BAGS)
        )
    if not 0 < each_mg <= HEAVIEST_MG:
        found.append(problem("spawn_mass_wrong", field="each_mg"))
    if generation < 1:
        found.append(problem("generation_below_one", field="generation", generation=generation))
    return found


def _check_drawn(act: Act, parent: Spawn, amount_mg: int) -> None:
    if amount_mg <= 0:
        raise Refused(problem("parent_amount_missing", field="parent_mg", name=parent.name))
    if amount_mg > parent.left_mg:
        raise Refused(say_overdrawn(act, parent, amount_mg, field="parent_mg"))


def _check_texts(**texts: str) -> list[Problem]:
    return [
        found
        for field, text in texts.items()
        for found in check_text(field, text, needed=field == "form", long=field != "form")
    ]


def _name(act: Act, kind: str, thing_id: int, line: _Line) -> str:
    return name_for(kind, act.running(kind, thing_id), line.species.code, line.strain.code)
