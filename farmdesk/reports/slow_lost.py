"""Slow and lost: batches outside their strain's band of days, and bags nobody saw for long."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from farmdesk.arithmetic.survival import LookedAt, find_day, measure_tally
from farmdesk.domain.catalogue import Species
from farmdesk.domain.codes import bag_name
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days, day_plus
from farmdesk.reports.sum_question import Cohort, SumQuestion, read_cohort
from farmdesk.reports.times import LifeDays, days_of_life, say_days, tally_days
from farmdesk.store.bag_lives import GrowingBag, bags_unseen, count_lives, growing_bags
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_state

ENOUGH_BATCHES = 4
"""So many other batches of a strain make the farm's own band; the species' default before."""
MOST_UNSEEN = 5_000
_ONE_MATTERS_UP_TO = 30
"""Among more batches than this one of them does not move the band of its strain."""


@dataclass(frozen=True)
class Band:
    """Days in which a strain's bags are colonised, and from how many batches that is known."""

    low: int
    high: int
    batches: int


@dataclass(frozen=True)
class Growth:
    """How batches grow in: their bags' days counted by batch, and the band of each batch."""

    cohort: Cohort
    growing: Mapping[int, Sequence[GrowingBag]]
    tallies: Mapping[int, Counter[LookedAt]]
    bands: Mapping[int, Band]

    def late_bags(self, batch: int) -> Sequence[GrowingBag]:
        """Bags that still grow in after the band of their strain."""
        age = age_days(self.cohort.facts[batch].inoculated_on, self.cohort.terms.today)
        if age <= self.bands[batch].high:
            return ()
        return self.growing.get(batch, ())


def read_growth(reading: Reading, cohort: Cohort) -> Growth:
    """The bags of a cohort beside the bands of their strains."""
    asked, zone = cohort.question, cohort.terms.farm.zone
    lives: dict[int, Counter[LifeDays]] = {}
    for life, bags in count_lives(reading, asked.first, asked.last).items():
        if life.batch in cohort.facts:
            days = days_of_life(life, cohort.facts[life.batch].inoculated_on, zone)
            lives.setdefault(life.batch, Counter())[days] += bags
    tallies = {batch: tally_days(days, "colonised") for batch, days in lives.items()}
    growing: dict[int, list[GrowingBag]] = {}
    for one in growing_bags(reading, asked.first, asked.last):
        growing.setdefault(one.batch, []).append(one)
    species = {one.id: one for one in reading.all(Species)}
    return Growth(cohort, growing, tallies, _find_bands(tallies, cohort, species))


def slow_table(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> Table:
    """Batches that grow in and lag behind their strain, or were faster than its band."""
    cohort = read_cohort(reading, question or SumQuestion(), now=now)
    growth = read_growth(reading, cohort)
    found = (_slow_row(batch, growth) for batch in growth.tallies)
    rows = [row for row in found if row is not None]
    columns = (
        Column("batch", tr("Batch")),
        Column("strain", tr("Strain")),
        Column("inoculated_on", tr("Inoculated"), "day"),
        Column("age", tr("Age"), "integer", unit=tr("days")),
        Column("running", tr("Still growing in"), "integer"),
        Column("late", tr("Late bags"), "integer"),
        Column("half", tr("Half by"), unit=tr("days")),
        Column("band", tr("Band of the strain"), unit=tr("days")),
        Column("known_from", tr("Band from")),
        Column("state", tr("State")),
    )
    words = tr("{count} of {of} batches lie outside the band of their strain ({span}).")
    about = tr(
        "The band runs from one bag in ten to nine in ten colonised, of the strain's other"
        " batches; with fewer than {least} of them it is the default of the species."
    )
    notes = [
        words.format(count=len(rows), of=len(growth.tallies), span=cohort.span),
        about.format(least=ENOUGH_BATCHES),
    ]
    return Table("slow", tr("Slow batches"), columns, rows, notes)


def lost_table(
    reading: Reading,
    question: SumQuestion | None = None,  # noqa: ARG001 - as all sums
    *,
    days: int | None = None,
    now: str | None = None,
) -> Table:
    """Live bags that nobody looked at or picked from for longer than so many days."""
    cohort = read_cohort(reading, SumQuestion(), now=now)
    terms = cohort.terms
    days = terms.farm.walk_days if days is None else days
    found = bags_unseen(reading, day_plus(terms.today, -days), most=MOST_UNSEEN)
    columns = (
        Column("bag", tr("Bag")),
        Column("stage", tr("Stage")),
        Column("room", tr("Room")),
        Column("seen_on", tr("Last seen"), "day"),
        Column("days", tr("Not seen for"), "integer", unit=tr("days")),
        Column("slow", tr("Slow")),
    )
    rows = [
        (
            bag_name(one.batch_name, one.number), say_state(one.stage), terms.room_name(one.room),
            one.seen_on, age_days(one.seen_on, terms.today), tr("slow") if one.slow else "",
        )
        for one in found
    ]  # fmt: skip
    words = tr("{bags} not seen for more than {days} days: walk the room, or look for them.")
    count = terms.formats.count(len(rows), tr("live bag"), tr("live bags"))
    notes = [words.format(bags=count, days=days)]
    if len(rows) == MOST_UNSEEN:
        notes.append(tr("Only the longest unseen are listed."))
    return Table("lost", tr("Bags not seen"), columns, rows, notes)


def late_bags_table(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> Table:
    """Every bag that still grows in after the band of its strain."""
    cohort = read_cohort(reading, question or SumQuestion(), now=now)
    growth = read_growth(reading, cohort)
    columns = (
        Column("bag", tr("Bag")),
        Column("strain", tr("Strain")),
        Column("age", tr("Age"), "integer", unit=tr("days")),
        Column("over", tr("After the band"), "integer", unit=tr("days")),
        Column("looked_on", tr("Looked at"), "day"),
    )
    rows = []
    for batch in growth.tallies:
        facts, high = cohort.facts[batch], growth.bands[batch].high
        age = age_days(facts.inoculated_on, cohort.terms.today)
        rows += [
            (
                bag_name(facts.name, one.number), cohort.strains.get(facts.strain, ""), age,
                age - high, one.looked_on,
            )
            for one in growth.late_bags(batch)
        ]  # fmt: skip
    count = cohort.terms.formats.count(len(rows), tr("bag"), tr("bags"))
    words = tr("{bags} still growing in after nine in ten of their strain were colonised ({span}).")
    notes = [words.format(bags=count, span=cohort.span)]
    return Table("late_bags", tr("Late bags"), columns, rows, notes)


def _find_bands(
    tallies: Mapping[int, Counter[LookedAt]], cohort: Cohort, species: Mapping[int, Species]
) -> dict[int, Band]:
    """The band of the strain's other batches: a batch that lags must not widen its own band."""
    whole: dict[int, Counter[LookedAt]] = {}
    numbers: Counter[int] = Counter()
    for batch, tally in tallies.items():
        strain = cohort.facts[batch].strain
        whole.setdefault(strain, Counter()).update(tally)
        numbers[strain] += 1
    of_strain = {strain: measure_tally(tally) for strain, tally in whole.items()}
    bands = {}
    for batch, tally in tallies.items():
        facts = cohort.facts[batch]
        found = of_strain[facts.strain]
        if numbers[facts.strain] <= _ONE_MATTERS_UP_TO:
            found = measure_tally(whole[facts.strain] - tally)
        low, high = find_day(found.early, 0.1), find_day(found.late, 0.9)
        others, kind = numbers[facts.strain] - 1, species[facts.species]
        bands[batch] = Band(kind.incubation_days_low, kind.incubation_days_high, 0)
        if others >= ENOUGH_BATCHES and low is not None and high is not None:
            bands[batch] = Band(low, high, others)
    return bands


def _slow_row(batch: int, growth: Growth) -> tuple[object, ...] | None:
    cohort, band = growth.cohort, growth.bands[batch]
    facts, terms = cohort.facts[batch], cohort.terms
    age = age_days(facts.inoculated_on, terms.today)
    running = len(growth.growing.get(batch, ()))
    late = len(growth.late_bags(batch))
    found = measure_tally(growth.tallies[batch])
    early_half, late_half = found.median
    if late:
        state = tr("▲ late: still growing in")
    elif early_half is not None and early_half > band.high:
        state = tr("▲ was slow")
    elif late_half is not None and late_half < band.low:
        state = tr("▼ was faster")
    else:
        return None
    known = (
        terms.formats.count(band.batches, tr("batch"), tr("batches"))
        if band.batches
        else tr("default of the species")
    )
    return (
        facts.name, cohort.strains.get(facts.strain, ""), facts.inoculated_on, age, running, late,
        say_days(found.median), f"{band.low}–{band.high}", known, state,
    )  # fmt: skip
