"""What is to blame for contamination: all causes compared together, in one sentence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median

from farmdesk.arithmetic.comparison import BagGroup, Blame, Suspect, find_blame
from farmdesk.domain.lab import HeatRun, Spawn
from farmdesk.errors import Problem
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import from_iso
from farmdesk.reports.contamination import runs_chart
from farmdesk.reports.sum_question import Cohort, SumQuestion, read_cohort
from farmdesk.store.lab import things_by_id
from farmdesk.store.outcomes import BagCount, bags_by_cause
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.planning import CAUSES as CAUSE_WORDS
from farmdesk.wording.planning import NEXT_CHECKS
from farmdesk.wording.sentences import say
from farmdesk.wording.states import say_code

CAUSES: Mapping[str, str] = {
    "heat_run": tr("Heat run"),
    "spawn_lot": tr("Spawn lot"),
    "generation": tr("Generation of spawn"),
    "strain": tr("Strain"),
    "recipe": tr("Recipe"),
    "person": tr("Person"),
    "room": tr("Room"),
    "shelf": tr("Shelf it grew in on"),
}
_VERDICTS: Mapping[str, str] = {
    "blamed": tr("likeliest cause"),
    "watch": tr("watch: may be chance"),
    "explained": tr("explained by another cause"),
    "chance": tr("may well be chance"),
}
_SHOWN = 60


@dataclass(frozen=True)
class BlameAnswer:
    """The comparison (None where no bag was made) and the bags that it was made from."""

    cohort: Cohort
    counted: tuple[BagCount, ...]
    groups: tuple[BagGroup, ...]
    blame: Blame | None
    held: Mapping[str, int]
    """Minutes that each heat run was hot, as recorded, by its name."""

    @property
    def sentence(self) -> str:
        """The likeliest cause with its evidence and the next check; or that nobody can tell."""
        if self.blame is None:
            return tr("There are no bags: {span}.").format(span=self.cohort.span)
        first = self.blame.likeliest
        answer = say(self._answer(first))
        if first is None:
            return tr("{answer} {bad} of {made} bags were contaminated ({span}).").format(
                answer=answer,
                bad=self.blame.contaminated,
                made=self.blame.made,
                span=self.cohort.span,
            )
        return tr("{answer} {record}Next check: {check} ({span})").format(
            answer=answer,
            record=self._say_record(first),
            check=tr(NEXT_CHECKS[first.cause]),
            span=self.cohort.span,
        )

    def _answer(self, first: Suspect | None) -> Problem:
        """The answer of the comparison, its causes in words."""
        assert self.blame is not None
        answer = self.blame.answer
        if first is None:
            return answer
        same = [one.partition(" ") for one in first.same_as]
        told = ", ".join(f"{say_code(CAUSE_WORDS, cause)} {level}" for cause, _, level in same)
        facts = {"cause": say_code(CAUSE_WORDS, first.cause), "same_as": told}
        return Problem(answer.code, {**answer.facts, **facts})

    def _say_record(self, first: Suspect) -> str:
        """What the heat record says of the accused run, which speaks for or against it."""
        run = first.level if first.cause == "heat_run" else ""
        run = run or next((one.level for one in self._same_bags(first)), "")
        others = [minutes for name, minutes in self.held.items() if name != run]
        if run not in self.held or not others:
            return ""
        words = tr("{run} was hot for {minutes} min, the other runs for {usual} min at the median.")
        text = words.format(run=run, minutes=self.held[run], usual=round(median(others)))
        return f"{text} "

    def _same_bags(self, first: Suspect) -> list[Suspect]:
        suspects = self.blame.suspects if self.blame is not None else ()
        return [
            one
            for one in suspects
            if one.cause == "heat_run" and one.counts == first.counts and first.same_as
        ]


def read_blame(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> BlameAnswer:
    """Every cause compared with every other, on the batches of a question."""
    cohort = read_cohort(reading, question or SumQuestion(), now=now, spawn=True)
    asked = cohort.question
    counted = tuple(
        one for one in bags_by_cause(reading, asked.first, asked.last) if one.batch in cohort.facts
    )
    generations = {one.id: str(one.generation) for one in reading.all(Spawn)}
    groups = tuple(
        BagGroup(_levels(cohort, one, generations), one.made, one.contaminated) for one in counted
    )
    held = read_held(reading, cohort)
    return BlameAnswer(cohort, counted, groups, find_blame(groups) if groups else None, held)


def read_held(reading: Reading, cohort: Cohort) -> dict[str, int]:
    """Minutes from hot to the end of every heat run of a cohort whose times were entered."""
    runs = things_by_id(reading, HeatRun, [one.run for one in cohort.facts.values() if one.run])
    return {
        one.name: round((from_iso(one.ended_at) - from_iso(one.hot_at)).total_seconds() / 60)
        for one in runs.values()
        if one.hot_at and one.ended_at
    }


def blame_table(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> Table:
    """The suspects, likeliest first, under the sentence that names one or says that none can be."""
    answer = read_blame(reading, question, now=now)
    columns = (
        Column("cause", tr("Cause")),
        Column("level", tr("Which")),
        Column("contaminated", tr("Contaminated"), "integer"),
        Column("made", tr("of bags"), "integer"),
        Column("rate", tr("Rate"), "percent"),
        Column("other", tr("Rate elsewhere"), "percent"),
        Column("p", tr("p alone"), "number", digits=4),
        Column("corrected", tr("p after all looks"), "number", digits=4),
        Column("verdict", tr("Verdict")),
        Column("why", tr("Beside other causes")),
    )
    suspects = answer.blame.suspects[:_SHOWN] if answer.blame is not None else ()
    rows = [_row(one) for one in suspects]
    charts = (_suspects_chart(suspects), runs_chart(answer.counted, answer.cohort))
    return Table(
        "blame", tr("What is to blame"), columns, rows, [answer.sentence, _ABOUT], charts=charts
    )


_ABOUT = tr(
    "Each is compared with all other bags by Fisher's exact test, then within every other cause"
    " (Mantel and Haenszel), and p is corrected for the number of looks (Holm). It is evidence,"
    " not proof: bags of one run stand or fall together, and what was never mixed cannot be told"
    " apart."
)


def _levels(cohort: Cohort, one: BagCount, generations: Mapping[int, str]) -> dict[str, str]:
    facts = cohort.facts[one.batch]
    return {
        "heat_run": cohort.runs.get(facts.run or 0, ""),
        "spawn_lot": cohort.spawn.get(one.spawn or 0, ""),
        "generation": generations.get(one.spawn or 0, ""),
        "strain": cohort.strains.get(facts.strain, ""),
        "recipe": cohort.recipes.get(facts.recipe or 0, ""),
        "person": cohort.people.get(facts.person or 0, ""),
        "room": cohort.terms.room_name(cohort.rooms.get(one.batch)),
        "shelf": _shelf_name(cohort, one),
    }


def _shelf_name(cohort: Cohort, one: BagCount) -> str:
    """Shelf A of one room is another than shelf A of the next."""
    if not one.grew_shelf:
        return ""
    room = cohort.terms.room_name(one.grew_room)
    return tr("{room}, shelf {shelf}").format(room=room, shelf=one.grew_shelf)


def _row(one: Suspect) -> tuple[object, ...]:
    counts = one.counts
    return (
        CAUSES[one.cause], one.level, counts.contaminated, counts.made,
        _percent(counts.contaminated, counts.made),
        _percent(counts.other_contaminated, counts.other_made),
        one.plain_p, one.corrected_p, _VERDICTS[one.verdict], _say_why(one),
    )  # fmt: skip


def _say_why(one: Suspect) -> str:
    if one.verdict == "explained":
        weakest = max(one.explanations, key=lambda found: found.p)
        return tr("nothing is left of it within: {cause}").format(
            cause=CAUSES[weakest.cause].lower()
        )
    if one.same_as:
        causes = [found.cause for found in one.explanations if found.how == "same bags"]
        names = ", ".join(CAUSES[cause].lower() for cause in causes)
        return tr("the very same bags as: {causes}").format(causes=names)
    return ""


def _suspects_chart(suspects: tuple[Suspect, ...]) -> Chart:
    worst = [one for one in suspects if one.verdict != "chance"][:8] or list(suspects[:8])
    inside = [100 * one.counts.contaminated / one.counts.made for one in worst]
    outside = [
        100 * one.counts.other_contaminated / one.counts.other_made
        if one.counts.other_made
        else None
        for one in worst
    ]
    series = [Series(tr("There"), inside), Series(tr("Elsewhere"), outside)]
    names = [one.level for one in worst]
    return Chart("bar", tr("Contaminated: the suspects and all others"), names, series, unit="%")


def _percent(count: int, of: int) -> float | None:
    return 100 * count / of if of else None
