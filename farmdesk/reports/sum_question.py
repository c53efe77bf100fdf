"""What the grower's sums are asked: which batches, grouped by what; and how groups are named."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from farmdesk.domain.catalogue import Person, Recipe, Strain
from farmdesk.domain.lab import HeatRun, Spawn
from farmdesk.errors import Refused, problem
from farmdesk.quantities.times import day_plus
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.bag_lives import rooms_begun
from farmdesk.store.lab import things_by_id
from farmdesk.store.outcomes import BatchFacts, batch_facts
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

A_YEAR = 365
GROUPINGS: Mapping[str, str] = {
    "batch": tr("Batch"),
    "strain": tr("Strain"),
    "species": tr("Species"),
    "recipe": tr("Recipe"),
    "spawn": tr("Spawn lot"),
    "run": tr("Heat run"),
    "week": tr("Week inoculated"),
    "room": tr("Room of incubation"),
    "person": tr("Inoculated by"),
}
"""What sums can be grouped by, and how it is called."""
NOT_NOTED = tr("not noted")


@dataclass(frozen=True)
class SumQuestion:
    """Batches of a species (None: all) inoculated from a day to another, grouped by something.

    Without days it is the year up to today.
    """

    by: str = "strain"
    species: int | None = None
    first: str = ""
    last: str = ""

    def settled(self, today: str) -> SumQuestion:
        """With both days; Refused when they stand in the wrong order."""
        last = self.last or today
        first = self.first or day_plus(last, -A_YEAR)
        if first > last:
            raise Refused(problem("days_out_of_order", first=first, last=last))
        return replace(self, first=first, last=last)


@dataclass(frozen=True)
class Cohort:
    """The batches that a question is about, and the names of all they have in common."""

    question: SumQuestion
    terms: FarmTerms
    facts: Mapping[int, BatchFacts]
    rooms: Mapping[int, int] = field(default_factory=dict)
    strains: Mapping[int, str] = field(default_factory=dict)
    recipes: Mapping[int, str] = field(default_factory=dict)
    people: Mapping[int, str] = field(default_factory=dict)
    runs: Mapping[int, str] = field(default_factory=dict)
    spawn: Mapping[int, str] = field(default_factory=dict)

    @property
    def by_spawn(self) -> bool:
        """Whether bags of one batch are to be told apart by their spawn."""
        return self.question.by == "spawn"

    @property
    def span(self) -> str:
        """The days of the question in words."""
        day = self.terms.formats.day
        return tr("batches inoculated from {first} to {last}").format(
            first=day(self.question.first), last=day(self.question.last)
        )

    def group_of(self, batch: int, spawn: int | None = None, by: str = "") -> str:
        """The name of the group that a batch (and its spawn) belongs to."""
        one = self.facts[batch]
        match by or self.question.by:
            case "batch":
                return one.name
            case "species":
                return self.terms.species_name(one.species)
            case "strain":
                return self.strains.get(one.strain, NOT_NOTED)
            case "recipe":
                return self.recipes.get(one.recipe or 0, NOT_NOTED)
            case "run":
                return self.runs.get(one.run or 0, NOT_NOTED)
            case "person":
                return self.people.get(one.person or 0, NOT_NOTED)
            case "room":
                return self.terms.room_name(self.rooms.get(batch)) or NOT_NOTED
            case "week":
                return str(IsoWeek.of(one.inoculated_on))
            case "spawn":
                return self.spawn.get(spawn or 0, NOT_NOTED)
        raise ValueError(f"nothing is grouped by {by or self.question.by}")


def read_cohort(
    reading: Reading, question: SumQuestion, *, now: str | None = None, spawn: bool = False
) -> Cohort:
    """The batches of a question with the names of their groups, and of spawn when wanted."""
    terms = read_terms(reading, now)
    asked = question.settled(terms.today)
    facts = batch_facts(reading, asked.first, asked.last)
    if asked.species is not None:
        facts = {at: one for at, one in facts.items() if one.species == asked.species}
    runs = things_by_id(reading, HeatRun, [one.run for one in facts.values() if one.run])
    lots = reading.all(Spawn) if spawn or asked.by == "spawn" else []
    return Cohort(
        question=asked,
        terms=terms,
        facts=facts,
        rooms=rooms_begun(reading, asked.first, asked.last),
        strains={one.id: one.name or one.code for one in reading.all(Strain)},
        recipes={one.id: one.name for one in reading.all(Recipe)},
        people={one.id: one.name or one.initials for one in reading.all(Person)},
        runs={at: one.name for at, one in runs.items()},
        spawn={one.id: one.name for one in lots},
    )
