"""Time to colonise, to opening and to the first pick: curves, medians and bands, never a mean.

Bags still running are censored, contamination competes; a bag became ready at some time between
the last look before and the one that found it so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from farmdesk.arithmetic.survival import (
    BandStep,
    LookedAt,
    TimeToColonise,
    find_band,
    measure_time,
)
from farmdesk.domain.stages import INCUBATING
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import local_day
from farmdesk.reports.sum_question import GROUPINGS, NOT_NOTED, Cohort, SumQuestion, read_cohort
from farmdesk.store.bag_lives import BagLife, bag_lives, spawn_of_bags
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

MILESTONES: Mapping[str, str] = {
    "colonised": tr("Time to colonise"),
    "pinned": tr("Time to the first pins"),
    "opened": tr("Time to opening"),
    "picked": tr("Time to the first pick"),
}
"""What time is measured to, from inoculation."""
_DRAWN = 3
_FEW_BATCHES = 4


@dataclass(frozen=True)
class TimeGroup:
    """One group of bags with its curves; `batches` says how many batches they are from."""

    name: str
    found: TimeToColonise
    batches: int

    @property
    def reached(self) -> int:
        """Bags that got there."""
        return sum(step.colonised for step in self.found.late.steps)

    @property
    def contaminated(self) -> int:
        """Bags that were found contaminated before."""
        return sum(step.contaminated for step in self.found.late.steps)


def read_times(reading: Reading, cohort: Cohort) -> dict[str, TimeGroup]:
    """Every group's curves of colonising by its name, in the order of inoculation."""
    asked = cohort.question
    lives = bag_lives(reading, asked.first, asked.last)
    return _group(lives, _spawn_of(reading, cohort), cohort, "colonised")


def _spawn_of(reading: Reading, cohort: Cohort) -> Mapping[int, int]:
    asked = cohort.question
    return spawn_of_bags(reading, asked.first, asked.last) if cohort.by_spawn else {}


def _group(
    lives: Iterable[BagLife], spawn: Mapping[int, int], cohort: Cohort, milestone: str
) -> dict[str, TimeGroup]:
    zone = cohort.terms.farm.zone
    looked: dict[str, list[LookedAt]] = {}
    batches: dict[str, set[int]] = {}
    for life in lives:
        if life.batch not in cohort.facts:
            continue
        name = cohort.group_of(life.batch, spawn.get(life.id))
        since = cohort.facts[life.batch].inoculated_on
        looked.setdefault(name, []).append(look_at_life(life, since, milestone, zone))
        batches.setdefault(name, set()).add(life.batch)
    return {
        name: TimeGroup(name, measure_time(bags), len(batches[name]))
        for name, bags in looked.items()
    }


def look_at_life(life: BagLife, since: str, milestone: str, zone: str) -> LookedAt:
    """What a bag's days say of a milestone: reached, contaminated before, or still running.

    A bag that ended otherwise (lost, sold, spent) was running up to then; one that still grows
    is known to run only up to its last look. Pins that nobody noted showed at some time between
    growing in and the first pick.
    """
    first_pick = life.first_pick_at and _local_day(life.first_pick_at, zone)
    reached = {
        "colonised": life.colonised_on or life.opened_on,
        "pinned": life.pinned_on or first_pick,
        "opened": life.opened_on,
        "picked": first_pick,
    }[milestone]
    looked = _days(since, life.looked_on or since)
    if reached:
        day = _days(since, reached)
        before = day - 1
        if milestone == "colonised":
            before = _days(since, life.before_look or since)
        elif milestone == "pinned" and life.pinned_on is None:
            before = _days(since, life.colonised_on or since)
        return LookedAt(max(0, min(before, day)), day, "colonised")
    if life.is_bad:
        before = _days(since, life.before_look or since)
        return LookedAt(max(0, min(before, looked)), looked, "contaminated")
    if life.stage == INCUBATING and milestone == "colonised":
        return LookedAt(looked, looked, "running")
    last = max(looked, _days(since, _local_day(life.stage_since, zone)))
    return LookedAt(last, last, "running")


def times_table(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> Table:
    """Time to colonise: medians and 80 % bands by group, with the curves of the largest groups."""
    cohort = read_cohort(reading, question or SumQuestion(), now=now)
    return _make_table(read_times(reading, cohort), cohort, "colonised")


def times_tables(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> tuple[Table, ...]:
    """A table for each milestone; the bags are read once."""
    cohort = read_cohort(reading, question or SumQuestion(), now=now)
    lives = bag_lives(reading, cohort.question.first, cohort.question.last)
    spawn = _spawn_of(reading, cohort)
    return tuple(
        _make_table(_group(lives, spawn, cohort, milestone), cohort, milestone)
        for milestone in MILESTONES
    )


def _make_table(groups: Mapping[str, TimeGroup], cohort: Cohort, milestone: str) -> Table:
    by = GROUPINGS[cohort.question.by]
    columns = (
        Column("group", by),
        Column("batches", tr("Batches"), "integer"),
        Column("bags", tr("Bags"), "integer"),
        Column("reached", tr("Got there"), "integer"),
        Column("contaminated", tr("Contaminated"), "integer"),
        Column("running", tr("Still running"), "integer"),
        Column("tenth", tr("One in ten by"), unit=tr("days")),
        Column("median", tr("Half by"), unit=tr("days")),
        Column("most", tr("Nine in ten by"), unit=tr("days")),
        Column("share", tr("Got there so far"), "percent"),
        Column("share_low", tr("at least"), "percent"),
        Column("share_high", tr("at most"), "percent"),
    )
    rows = [_row(group) for group in groups.values()]
    notes = [_say(groups, cohort), _ABOUT]
    charts = (curve_chart(groups, milestone),)
    return Table("times", MILESTONES[milestone], columns, rows, notes, charts=charts)


def curve_chart(groups: Mapping[str, TimeGroup], milestone: str) -> Chart:
    """The share that got there day by day, with its 80 % band, of the groups of most bags."""
    named = [one for one in groups.values() if one.name != NOT_NOTED] or list(groups.values())
    drawn = sorted(named, key=lambda one: -one.found.bags)[:_DRAWN]
    steps = [step.day for one in drawn for step in one.found.late.steps]
    days = list(range(max(steps, default=0) + 1))
    series = []
    for one in drawn:
        early, late = find_band(one.found.early), find_band(one.found.late)
        series.append(
            Series(
                one.name,
                _along(days, [(step.day, step.share_colonised) for step in one.found.late.steps]),
                low=_along(days, [(step.day, step.low) for step in late]),
                high=_along(days, [(step.day, step.high) for step in early]),
            )
        )
    title = tr("{what}, share of all bags by day").format(what=MILESTONES[milestone])
    return Chart("line", title, [str(day) for day in days], series, unit="%")


_ABOUT = tr(
    "Days are from inoculation. 12–16 means between day 12 and day 16: the bag was ready at some"
    " time between two looks. A dash: so many bags have not got there. Bags still running count"
    " up to their last look, contaminated ones as never; the 80 % band takes bags as independent,"
    " so with few batches it is too narrow."
)


def _row(group: TimeGroup) -> tuple[object, ...]:
    found = group.found
    early, late = _last(find_band(found.early)), _last(find_band(found.late))
    share, low, high = (
        (100 * late.share, 100 * late.low, 100 * early.high) if early and late else (0.0, 0.0, 0.0)
    )
    return (
        group.name, group.batches, found.bags, group.reached, group.contaminated, found.running,
        say_days(found.tenth), say_days(found.median), say_days(found.nine_tenths),
        share, low, high,
    )  # fmt: skip


def say_days(days: tuple[int | None, int | None]) -> str | None:
    """Days between which something lies, such as '12–16'; None when it was not reached."""
    early, late = days
    if late is None:
        return None if early is None else tr("{day} or later").format(day=early)
    return str(late) if early == late else f"{early}–{late}"


def _say(groups: Mapping[str, TimeGroup], cohort: Cohort) -> str:
    number = cohort.terms.formats.number
    if not groups:
        return tr("There are no bags: {span}.").format(span=cohort.span)
    words = tr(
        "{reached} of {bags} bags got there, {bad} were found contaminated before, {running}"
        " still run ({span})."
    ).format(
        reached=number(sum(one.reached for one in groups.values())),
        bags=number(sum(one.found.bags for one in groups.values())),
        bad=number(sum(one.contaminated for one in groups.values())),
        running=number(sum(one.found.running for one in groups.values())),
        span=cohort.span,
    )
    few = [one.name for one in groups.values() if one.batches < _FEW_BATCHES]
    if few and len(groups) - len(few) < len(groups):
        words = tr("{words} Fewer than {least} batches, so unsure: {names}.").format(
            words=words, least=_FEW_BATCHES, names=", ".join(few[:6]) + ("…" if few[6:] else "")
        )
    return words


def _along(days: Sequence[int], steps: Sequence[tuple[int, float]]) -> list[float]:
    values, at, share = [], 0, 0.0
    for day in days:
        while at < len(steps) and steps[at][0] <= day:
            share = steps[at][1]
            at += 1
        values.append(100 * share)
    return values


def _last(steps: Sequence[BandStep]) -> BandStep | None:
    return steps[-1] if steps else None


def _days(since: str, day: str) -> int:
    return max(0, _ordinal(day) - _ordinal(since))


@lru_cache(maxsize=16_384)
def _ordinal(day: str) -> int:
    """A day's number; the few thousand days of a farm are read once, not for every bag."""
    return date.fromisoformat(day).toordinal()


_local_day = lru_cache(maxsize=65_536)(local_day)
