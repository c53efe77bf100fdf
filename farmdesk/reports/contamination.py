"""Contamination: rates with the interval that so few bags allow, by defect, week, room and more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from farmdesk.arithmetic.rates import Rate, estimate_rates
from farmdesk.domain.catalogue import Reason
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.reports.sum_question import GROUPINGS, NOT_NOTED, Cohort, SumQuestion, read_cohort
from farmdesk.store.outcomes import BagCount, bags_counted, defects_counted
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

BY_DEFECT = "defect"
DEFECTS = tr("Defect")
_RUNS_DRAWN, _WEEKS_DRAWN, _BARS_DRAWN = 40, 26, 24


@dataclass(frozen=True)
class Tally:
    """Bags of one group: made, found contaminated, and still growing in (they may go bad yet)."""

    name: str
    made: int
    contaminated: int
    running: int


def read_tallies(counted: Sequence[BagCount], cohort: Cohort, by: str = "") -> dict[str, Tally]:
    """Bags added up by group, in the order of inoculation."""
    found: dict[str, list[int]] = {}
    order = {batch: at for at, batch in enumerate(cohort.facts)}
    known = [one for one in counted if one.batch in order]
    for one in sorted(known, key=lambda one: order[one.batch]):
        sums = found.setdefault(cohort.group_of(one.batch, one.spawn, by), [0, 0, 0])
        for at, number in enumerate((one.made, one.contaminated, one.running)):
            sums[at] += number
    return {name: Tally(name, *sums) for name, sums in found.items()}


def contamination_table(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> Table:
    """Rates by group (or by what was found), each run beside the pooled rate, and by week."""
    asked = question or SumQuestion()
    by_defect = asked.by == BY_DEFECT
    by = "species" if by_defect else asked.by
    cohort = read_cohort(reading, SumQuestion(by, asked.species, asked.first, asked.last), now=now)
    settled = cohort.question
    counted = bags_counted(reading, settled.first, settled.last, by_spawn=cohort.by_spawn)
    groups = read_tallies(counted, cohort)
    whole = _add_up(list(groups.values()))
    if by_defect:
        groups = _read_defects(reading, cohort, whole)
    rates = _rates([*groups.values(), whole])
    rows = [_row(one, rate) for one, rate in zip(groups.values(), rates, strict=False)]
    formats = cohort.terms.formats
    notes = [say_rate(rates[-1], whole.running, formats, cohort.span), _ABOUT]
    charts = [_bars_chart(groups, asked.by)] if asked.by not in ("run", "week") else []
    charts += [runs_chart(counted, cohort), found_chart(counted, cohort)]
    totals = None if by_defect or not rows else _row(whole, rates[-1])
    return Table(
        "contamination", tr("Contamination"), _columns(asked.by), rows, notes, totals, charts
    )


def say_rate(rate: Rate, running: int, formats: Formats, span: str) -> str:
    """A rate in a sentence, with its interval and how many bags may yet go bad."""
    high = formats.percent(100 * rate.high)
    facts = {
        "count": formats.number(rate.count),
        "of": formats.number(rate.of),
        "low": formats.percent(100 * rate.low),
        "high": high,
        "span": span,
        "running": formats.count(running, tr("bag"), tr("bags")),
    }
    if not rate.of or rate.share is None:
        return tr("There are no bags: {span}.").format(**facts)
    if not rate.count:
        words = tr(
            "None seen in {of}; up to {high} can't be excluded ({span}). {running} still growing"
            " in may yet go bad."
        )
        return words.format(**facts)
    words = tr(
        "{count} of {of} bags contaminated: {share}, with 95 % confidence between {low} and {high}"
        " ({span}). {running} still growing in may yet go bad."
    )
    return words.format(share=formats.percent(100 * rate.share), **facts)


def runs_chart(counted: Sequence[BagCount], cohort: Cohort) -> Chart:
    """The last heat runs one by one as dots with their intervals, and the pooled rate as a line."""
    runs = read_tallies(counted, cohort, "run")
    runs.pop(NOT_NOTED, None)
    shown = list(runs.values())[-_RUNS_DRAWN:]
    rates = _rates(shown)
    pooled = _add_up(list(runs.values()))
    share = 100 * pooled.contaminated / pooled.made if pooled.made else None
    series = [
        _series(tr("Contaminated"), rates),
        Series(tr("All runs together"), [share] * len(shown)),
    ]
    names = [one.name for one in shown]
    return Chart("dots", tr("Contaminated by heat run"), names, series, unit="%")


def found_chart(counted: Sequence[BagCount], cohort: Cohort) -> Chart:
    """The rate of each week's batches with its interval."""
    weeks = list(read_tallies(counted, cohort, "week").values())[-_WEEKS_DRAWN:]
    names = [one.name.partition("-")[2] for one in weeks]
    title = tr("Contaminated by week of inoculation")
    return Chart("bar", title, names, [_series(tr("Contaminated"), _rates(weeks))], unit="%")


_ABOUT = tr(
    "At least, at most: the 95 % Wilson interval. Bags of one heat run stand or fall together, so"
    " it is too narrow: look at the runs one by one. Bags still growing in count as made."
)


def _read_defects(reading: Reading, cohort: Cohort, whole: Tally) -> dict[str, Tally]:
    names = {one.id: one.name for one in reading.all(Reason)}
    found: dict[str, int] = {}
    for one in defects_counted(reading, cohort.question.first, cohort.question.last):
        if one.batch in cohort.facts:
            name = names.get(one.reason, NOT_NOTED)
            found[name] = found.get(name, 0) + one.bags
    most = sorted(found.items(), key=lambda item: (-item[1], item[0]))
    return {name: Tally(name, whole.made, bags, whole.running) for name, bags in most}


def _columns(by: str) -> Sequence[Column]:
    return (
        Column("group", DEFECTS if by == BY_DEFECT else GROUPINGS[by]),
        Column("contaminated", tr("Contaminated"), "integer"),
        Column("made", tr("of bags made"), "integer"),
        Column("rate", tr("Rate"), "percent"),
        Column("low", tr("at least"), "percent"),
        Column("high", tr("at most"), "percent"),
        Column("running", tr("Still growing in"), "integer"),
    )


def _row(one: Tally, rate: Rate) -> tuple[object, ...]:
    share = None if rate.share is None else 100 * rate.share
    return (
        one.name, one.contaminated, one.made, share, 100 * rate.low, 100 * rate.high, one.running,
    )  # fmt: skip


def _rates(tallies: Sequence[Tally]) -> list[Rate]:
    return estimate_rates([one.contaminated for one in tallies], [one.made for one in tallies])


def _series(name: str, rates: Sequence[Rate]) -> Series:
    return Series(
        name,
        [None if one.share is None else 100 * one.share for one in rates],
        low=[100 * one.low for one in rates],
        high=[100 * one.high for one in rates],
    )


def _bars_chart(groups: Mapping[str, Tally], by: str) -> Chart:
    shown = list(groups.values())[-_BARS_DRAWN:] if by != BY_DEFECT else list(groups.values())
    name = DEFECTS if by == BY_DEFECT else GROUPINGS[by]
    title = tr("Contaminated by {group}").format(group=name.lower())
    names = [one.name for one in shown]
    return Chart("bar", title, names, [_series(tr("Contaminated"), _rates(shown))], unit="%")


def _add_up(tallies: Sequence[Tally]) -> Tally:
    return Tally(
        tr("All"),
        sum(one.made for one in tallies),
        sum(one.contaminated for one in tallies),
        sum(one.running for one in tallies),
    )
