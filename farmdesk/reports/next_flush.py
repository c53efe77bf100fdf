"""What the next flush is worth against a fresh block in the same place: which to retire now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from farmdesk.arithmetic.yields import FlushStay, FlushWorth, rate_flushes
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.mass import amount_in
from farmdesk.quantities.times import age_days, local_day
from farmdesk.reports.sum_question import Cohort, SumQuestion, read_cohort
from farmdesk.store.outcomes import bags_by_flush, bags_counted, flushes_weighed, shelf_times
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

_ENOUGH_BATCHES = 3


@dataclass
class _Past:
    """What the finished batches of a strain gave, flush by flush."""

    opened: int = 0
    batches: set[int] = field(default_factory=set)
    picked_mg: dict[int, int] = field(default_factory=dict)
    ends: dict[int, list[int]] = field(default_factory=dict)
    """Days from the first opening to the last pick of each flush, one for each batch."""


def next_flush_table(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> Table:
    """Live bags that gave a flush, and whether the next one is worth its place."""
    cohort = read_cohort(reading, question or SumQuestion(), now=now)
    past = _read_past(reading, cohort)
    worth = {strain: _rate(one) for strain, one in past.items()}
    rows = []
    for one in bags_by_flush(reading):
        facts = cohort.facts.get(one.batch)
        if facts is not None:
            found = worth.get(facts.strain, {})
            rows.append(_row(cohort, one.batch, one.bags, one.flush, found))
    columns = (
        Column("batch", tr("Batch")),
        Column("strain", tr("Strain")),
        Column("bags", tr("Bags"), "integer"),
        Column("given", tr("Flushes given"), "integer"),
        Column("next_mg", tr("Next flush per place and week"), "mass", digits=3),
        Column("fresh_mg", tr("Fresh block per place and week"), "mass", digits=3),
        Column("advice", tr("Advice")),
    )
    retire = sum(
        int(str(row[2]))
        for row in rows
        if row[5] is not None and int(str(row[4])) < int(str(row[5]))
    )
    words = tr("{retire} of {bags} opened bags give less next than a fresh block would ({span}).")
    about = tr(
        "From finished batches of the strain, at least {least}. A flush takes its place from the"
        " last pick before it to its own last pick; a fresh block is taken at its best: cleared"
        " when kg for each week so far is highest. What a fresh block costs is left out."
    )
    bags = sum(int(str(row[2])) for row in rows)
    notes = [
        words.format(retire=retire, bags=bags, span=cohort.span),
        about.format(least=_ENOUGH_BATCHES),
    ]
    charts = (_chart(cohort, worth),) if worth else ()
    return Table("next_flush", tr("Next flush"), columns, rows, notes, charts=charts)


def _read_past(reading: Reading, cohort: Cohort) -> dict[int, _Past]:
    asked, zone = cohort.question, cohort.terms.farm.zone
    past: dict[int, _Past] = {}
    done = {}
    for count in bags_counted(reading, asked.first, asked.last):
        facts = cohort.facts.get(count.batch)
        if facts is not None and not count.alive and count.opened:
            done[count.batch] = past.setdefault(facts.strain, _Past())
            done[count.batch].opened += count.opened
            done[count.batch].batches.add(count.batch)
    opened: dict[int, str] = {}
    for stood in shelf_times(reading, asked.first, asked.last):
        opened[stood.batch] = min(opened.get(stood.batch, stood.opened_on), stood.opened_on)
    for mass in flushes_weighed(reading, asked.first, asked.last):
        if mass.batch in done and mass.batch in opened:
            one = done[mass.batch]
            one.picked_mg[mass.flush] = one.picked_mg.get(mass.flush, 0) + mass.picked_mg
            days = age_days(opened[mass.batch], local_day(mass.last_at, zone))
            one.ends.setdefault(mass.flush, []).append(days)
    return {at: one for at, one in past.items() if len(one.batches) >= _ENOUGH_BATCHES}


def _rate(past: _Past) -> dict[int, FlushWorth]:
    stays: list[FlushStay] = []
    before = Decimal(0)
    for flush in sorted(past.picked_mg):
        end = Decimal(sum(past.ends[flush])) / len(past.ends[flush])
        days = max(Decimal(1), end - before)
        before = max(before + 1, end)
        per_block = Decimal(past.picked_mg[flush]) / past.opened
        stays.append(FlushStay(flush, per_block, days))
    return {one.flush: one for one in rate_flushes(stays)}


def _row(
    cohort: Cohort, batch: int, bags: int, given: int, found: Mapping[int, FlushWorth]
) -> tuple[object, ...]:
    following = found.get(given + 1)
    fresh = next(iter(found.values())).fresh_mg if found else None
    if not found:
        advice = tr("not enough finished batches to tell")
    elif following is None:
        advice = tr("retire: no batch gave another flush")
    elif following.is_worth_waiting:
        advice = tr("keep")
    else:
        advice = tr("retire if a fresh block waits for the place")
    facts = cohort.facts[batch]
    return (
        facts.name, cohort.strains.get(facts.strain, ""), bags, given,
        round(following.alone_mg) if following else (0 if found else None),
        None if fresh is None else round(fresh), advice,
    )  # fmt: skip


def _chart(cohort: Cohort, worth: Mapping[int, Mapping[int, FlushWorth]]) -> Chart:
    unit = cohort.terms.formats.mass_unit
    unit = "lb" if unit == "lb_oz" else unit
    flushes = sorted({flush for found in worth.values() for flush in found})
    series = [
        Series(
            tr("Flush {number}").format(number=flush),
            [
                float(amount_in(round(found[flush].alone_mg), unit)) if flush in found else None
                for found in worth.values()
            ],
        )
        for flush in flushes
    ]
    names = [cohort.strains.get(strain, "") for strain in worth]
    title = tr("What a place gives in a week, by flush")
    return Chart("bar", title, names, series, unit=unit)


def _gives_less(row: Sequence[object]) -> bool:
    following, fresh = row[4], row[5]
    return isinstance(following, int) and isinstance(fresh, int) and following < fresh
