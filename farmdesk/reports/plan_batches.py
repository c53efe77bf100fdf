"""Planned batches as a list, and what of them is due this week."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from farmdesk.domain.catalogue import Farm, Recipe, Species, Strain
from farmdesk.domain.plans import DROPPED, MADE, PLANNED, PlannedBatch
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import day_plus
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.farm_terms import FarmTerms, formats_of, read_terms
from farmdesk.store.plans import MadeBatch, batches_made
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_BACK_DAYS = 120


@dataclass(frozen=True)
class PlannedRow:
    """A planned batch as it is shown; `suggested` is the batch that it seems to have become."""

    id: int
    name: str
    species: str
    strain: str
    recipe: str
    blocks: int
    week: str
    plates_on: str
    spawn_on: str
    inoculate_on: str
    open_on: str
    pick_on: str
    status: str
    state: str
    made_as: str
    note: str
    planned: PlannedBatch
    suggested: MadeBatch | None

    @property
    def is_open(self) -> bool:
        """Whether it still waits to be made."""
        return self.planned.status == PLANNED


@dataclass(frozen=True)
class PlanTodo:
    """A step of a planned batch that is due this week, or was and is not done.

    `step` is plates, spawn or inoculate.
    """

    planned: int
    name: str
    step: str
    what: str
    reason: str
    due: str


def list_planned(reading: Reading, *, now: str | None = None) -> list[PlannedRow]:
    """Planned batches, those to come first, by the day of inoculation."""
    terms = read_terms(reading, now)
    planned = reading.all(PlannedBatch)
    names = _names(reading)
    made = _made_near(reading, planned)
    matches = _match(planned, made)
    rows = [_row(one, terms, names, made, matches.get(one.id)) for one in planned]
    order = (PLANNED, MADE, DROPPED)
    return sorted(rows, key=lambda row: (order.index(row.status), row.inoculate_on, row.id))


def planned_table(reading: Reading, *, now: str | None = None) -> Table:
    """Planned batches as a table."""
    columns = (
        Column("name", tr("Planned batch")),
        Column("species", tr("Species")),
        Column("strain", tr("Strain")),
        Column("blocks", tr("Blocks"), "integer"),
        Column("week", tr("For week")),
        Column("plates_on", tr("Plates"), "day"),
        Column("spawn_on", tr("Spawn"), "day"),
        Column("inoculate_on", tr("Inoculate"), "day"),
        Column("open_on", tr("Open"), "day"),
        Column("pick_on", tr("First pick"), "day"),
        Column("state", tr("State")),
        Column("note", tr("Note")),
    )
    rows = [
        tuple(getattr(row, column.key) or None for column in columns)
        for row in list_planned(reading, now=now)
    ]
    return Table("planned", tr("Planned batches"), columns, rows)


def list_candidates(reading: Reading, planned: int) -> list[MadeBatch]:
    """Batches of its species that a planned batch may have become, newest first."""
    one = reading.get(PlannedBatch, planned)
    if one is None:
        return []
    taken = {other.batch for other in reading.all(PlannedBatch)}
    made = _made_near(reading, [one]).values()
    return [b for b in made if b.species == one.species and b.id not in taken]


def todo_this_week(reading: Reading, day: str) -> list[PlanTodo]:
    """Steps of planned batches that are due in the week of a day, or were and are not done.

    Plates and spawn are only told in their own week, as nothing says that they were made.
    """
    planned = reading.all(PlannedBatch, status=PLANNED)
    farm = reading.first(Farm)
    if not planned or farm is None:
        return []
    week, formats = IsoWeek.of(day), formats_of(farm)
    names = _names(reading)
    matches = _match(planned, _made_near(reading, planned))
    found = [
        todo for one in planned for todo in _todos(one, week, (formats, names, matches.get(one.id)))
    ]
    return sorted(found, key=lambda todo: (todo.due, todo.name))


def say_labels(blocks: int, formats: Formats) -> str:
    """How many labels blocks ask for."""
    return formats.count(blocks, "label", "labels")


_Names = tuple[Mapping[int, Species], Mapping[int, Strain], Mapping[int, Recipe]]


def _names(reading: Reading) -> _Names:
    return (
        {one.id: one for one in reading.all(Species)},
        {one.id: one for one in reading.all(Strain)},
        {one.id: one for one in reading.all(Recipe)},
    )


def _made_near(reading: Reading, planned: list[PlannedBatch]) -> dict[int, MadeBatch]:
    days = [one.inoculate_on for one in planned]
    if not days:
        return {}
    first, last = day_plus(min(days), -_BACK_DAYS), day_plus(max(days), _BACK_DAYS)
    return {one.id: one for one in batches_made(reading, first, last)}


def _match(planned: list[PlannedBatch], made: Mapping[int, MadeBatch]) -> dict[int, MadeBatch]:
    """For each plan the batch of its strain (or species) inoculated in its week, each once."""
    taken = {one.batch for one in planned if one.batch is not None}
    found: dict[int, MadeBatch] = {}
    for one in sorted(planned, key=lambda plan: (plan.inoculate_on, plan.id)):
        if one.status != PLANNED:
            continue
        for batch in sorted(made.values(), key=lambda made_one: made_one.id):
            same = batch.strain == one.strain if one.strain else batch.species == one.species
            week = IsoWeek.of(batch.inoculated_on) == IsoWeek.of(one.inoculate_on)
            if same and week and batch.id not in taken:
                found[one.id] = batch
                taken.add(batch.id)
                break
    return found


def _row(
    one: PlannedBatch,
    terms: FarmTerms,
    names: _Names,
    made: Mapping[int, MadeBatch],
    match: MadeBatch | None,
) -> PlannedRow:
    species, strains, recipes = names
    strain = strains.get(one.strain or 0)
    recipe = recipes.get(one.recipe or 0)
    became = made.get(one.batch or 0)
    return PlannedRow(
        id=one.id,
        name=one.name,
        species=species[one.species].name,
        strain=(strain.name or strain.code) if strain is not None else "",
        recipe=recipe.name if recipe is not None else "",
        blocks=one.blocks,
        week=one.week,
        plates_on=one.plates_on,
        spawn_on=one.spawn_on,
        inoculate_on=one.inoculate_on,
        open_on=one.open_on,
        pick_on=one.pick_on,
        status=one.status,
        state=_state(one, terms, became, match),
        made_as=became.name if became is not None else "",
        note=one.note,
        planned=one,
        suggested=match,
    )


def _state(
    one: PlannedBatch, terms: FarmTerms, became: MadeBatch | None, match: MadeBatch | None
) -> str:
    if one.status == DROPPED:
        return tr("dropped")
    if one.status == MADE:
        return tr("made as {batch}").format(batch=became.name) if became else tr("made")
    if match is not None:
        return tr("looks made as {batch}: tick it off").format(batch=match.name)
    if one.inoculate_on < terms.today:
        return tr("late: inoculation was due")
    return tr("to come")


def _todos(
    one: PlannedBatch, week: IsoWeek, about: tuple[Formats, _Names, MadeBatch | None]
) -> Iterator[PlanTodo]:
    formats, (species, strains, _), match = about
    strain = strains.get(one.strain or 0)
    what = species[one.species].name
    if strain is not None and (strain.name or strain.code):
        what = tr("{species}, {strain}").format(species=what, strain=strain.name or strain.code)
    blocks = formats.count(one.blocks, "block", "blocks")
    if match is not None:
        reason = tr("looks made as {batch}: tick it off").format(batch=match.name)
        yield PlanTodo(one.id, one.name, "inoculate", what, reason, one.inoculate_on)
        return
    monday, sunday = week.monday, week.sunday
    if one.plates_on and monday <= one.plates_on <= sunday:
        reason = tr("start plates for {blocks}").format(blocks=blocks)
        yield PlanTodo(one.id, one.name, "plates", what, reason, one.plates_on)
    if one.spawn_on and monday <= one.spawn_on <= sunday:
        reason = tr("start spawn for {blocks}").format(blocks=blocks)
        yield PlanTodo(one.id, one.name, "spawn", what, reason, one.spawn_on)
    if one.inoculate_on <= sunday:
        words = (
            tr("inoculate {blocks}: {labels}")
            if one.inoculate_on >= monday
            else tr("inoculation is overdue: {blocks}, {labels}")
        )
        reason = words.format(blocks=blocks, labels=say_labels(one.blocks, formats))
        yield PlanTodo(one.id, one.name, "inoculate", what, reason, one.inoculate_on)
