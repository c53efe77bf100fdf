"""Inoculation days that are under way, each with the step that comes next, from the records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.lab import HeatRun, ProbeReading, RunIngredient
from farmdesk.domain.mixing import MixingNote, NamedSpawn, Vessel
from farmdesk.domain.stages import VOID
from farmdesk.quantities.times import age_days
from farmdesk.reports.lab_choices import LabThings, read_lab
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.lab import printed_before
from farmdesk.store.transaction import Reading

Step = Literal["recipe", "weigh", "heat", "spawn", "labels", "done"]
STEPS: tuple[Step, ...] = ("recipe", "weigh", "heat", "spawn", "labels", "done")
_KEPT_DAYS = 21
"""A run older than this is no day's work any more, whatever is left of it."""


@dataclass(frozen=True)
class DayBatch:
    """A batch made from a run: its bags, and how many of them have a label."""

    id: int
    name: str
    made: int
    printed: int

    @property
    def is_labelled(self) -> bool:
        """Whether every bag had a label printed."""
        return self.printed >= self.made


@dataclass(frozen=True)
class LabDay:
    """What was done of one run's day, in the order it is done."""

    run: HeatRun
    recipe: str
    left: int
    strain: int | None
    water_mg: int
    weighed: tuple[RunIngredient, ...]
    readings: tuple[ProbeReading, ...]
    batches: tuple[DayBatch, ...]
    named: tuple[NamedSpawn, ...] = ()

    @property
    def step(self) -> Step:
        """What comes next."""
        run = self.run
        if run.status == "planned":
            return "weigh"
        if run.status == "mixed":
            return "heat"
        if run.status == "failed":
            return "done"
        if any(not one.is_labelled for one in self.batches):
            return "labels"
        if run.status == "held":
            return "heat"
        return "spawn" if self.left else "done"

    def is_past(self, step: Step) -> bool:
        """Whether a step is behind."""
        return STEPS.index(step) < STEPS.index(self.step)


@dataclass(frozen=True)
class LabDays:
    """The days under way, newest first, with everything they choose from."""

    things: LabThings
    days: tuple[LabDay, ...]
    vessels: tuple[Vessel, ...]

    def find(self, run: int | None) -> LabDay | None:
        """The day of a run, or None."""
        return next((one for one in self.days if one.run.id == run), None)


def load_days(store: FarmStore, *, also: int | None = None) -> LabDays:
    """The days as they stand; the run `also` stays in sight when it is done."""
    with store.reading() as reading:
        return read_days(reading, also=also)


def read_days(reading: Reading, *, also: int | None = None) -> LabDays:
    """The days as they stand, in a transaction that is open."""
    things = read_lab(reading)
    notes = {one.run: one for one in reading.all(MixingNote)}
    today = things.terms.today
    fresh = [
        row
        for row in things.runs
        if row.id == also or age_days(row.run.run_on, today) <= _KEPT_DAYS
    ]
    days = [_read_day(reading, row.run, row.recipe, row.left, notes) for row in fresh]
    shown = tuple(one for one in days if one.run.id == also or one.step != "done")
    vessels = tuple(one for one in reading.all(Vessel) if not one.retired)
    return LabDays(things, shown, vessels)


def _read_day(
    reading: Reading, run: HeatRun, recipe: str, left: int, notes: Mapping[int, MixingNote]
) -> LabDay:
    note = notes.get(run.id)
    return LabDay(
        run=run,
        recipe=recipe,
        left=left,
        strain=note.strain if note else None,
        water_mg=note.water_mg if note else 0,
        weighed=tuple(reading.all(RunIngredient, run=run.id)),
        readings=tuple(reading.all(ProbeReading, run=run.id)),
        batches=tuple(_read_batch(reading, one) for one in reading.all(Batch, run=run.id)),
        named=tuple(reading.all(NamedSpawn, run=run.id)),
    )


def _read_batch(reading: Reading, batch: Batch) -> DayBatch:
    bags = [one.id for one in reading.all(Bag, batch=batch.id) if one.stage != VOID]
    return DayBatch(batch.id, batch.name, len(bags), len(printed_before(reading, bags)))
