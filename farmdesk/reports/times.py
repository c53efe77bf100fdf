"""Time to colonise, to opening and to the first pick: curves, medians and bands, never a mean.

Bags still running are censored, contamination competes; a bag became ready at some time between
the last look before and the one that found it so.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from farmdesk.arithmetic.survival import (
    BandStep,
    LookedAt,
    TimeToColonise,
    find_band,
    measure_tally,
)
from farmdesk.domain.stages import INCUBATING
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import local_day
from farmdesk.reports.sum_question import GROUPINGS, NOT_NOTED, Cohort, SumQuestion, read_cohort
from farmdesk.store.bag_lives import BagLife, count_lives
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
    return _group(_lives_of(reading, cohort), "colonised")


class LifeDays(NamedTuple):
    """A bag's life in days after its inoculation; None where it has not come to that.

    `before` is the last look before the one that found it so; `since` is when its stage began.
    """

    colonised: int | None
    opened: int | None
    pinned: int | None
    picked: int | None
    before: int
    looked: int
    since: int
    is_bad: bool
    is_growing: bool


@dataclass
class _Lives:
    """Bags of one group, counted by how many days all took them: far fewer than bags."""

    days: Counter[LifeDays] = field(default_factory=Counter)
    batches: set[int] = field(default_factory=set)


def _lives_of(reading: Reading, cohort: Cohort) -> dict[str, _Lives]:
    """The lives of a cohort by group, in the order of inoculation."""
    asked, zone = cohort.question, cohort.terms.farm.zone
    counted = count_lives(reading, asked.first, asked.last, by_spawn=cohort.by_spawn)
    order = {batch: at for at, batch in enumerate(cohort.facts)}
    known = [life for life in counted if life.batch in order]
    found: dict[str, _Lives] = defaultdict(_Lives)
    for life in sorted(known, key=lambda one: order[one.batch]):
        group = found[cohort.group_of(life.batch, life.spawn)]
        days = days_of_life(life, cohort.facts[life.batch].inoculated_on, zone)
        group.days[days] += counted[life]
        group.batches.add(life.batch)
    return found


def _group(lives: Mapping[str, _Lives], milestone: str) -> dict[str, TimeGroup]:
    return {
        name: TimeGroup(name, measure_tally(tally_days(one.days, milestone)), len(one.batches))
        for name, one in lives.items()
    }


def tally_days(lives: Mapping[LifeDays, int], milestone: str) -> Counter[LookedAt]:
    """Bags counted by what their days say of a milestone."""
    tally: Counter[LookedAt] = Counter()
    for days, bags in lives.items():
        tally[look_at(days, milestone)] += bags
    return tally


def days_of_life(life: BagLife, since: str, zone: str) -> LifeDays:
    """A bag's life in days after the day of its inoculation."""
    start = _ordinal(since)

    def day(text: str | None) -> int | None:
        return None if not text else max(0, _ordinal(text) - start)

    return LifeDays(
        colonised=day(life.colonised_on),
        opened=day(life.opened_on),
        pinned=day(life.pinned_on),
        picked=day(life.first_pick_at and _local_day(life.first_pick_at, zone)),
        before=day(life.before_look) or 0,
        looked=day(life.looked_on) or 0,
        since=day(_local_day(life.stage_since, zone)) or 0,
        is_bad=life.is_bad,
        is_growing=life.stage == INCUBATING,
    )


def look_at(days: LifeDays, milestone: str) -> LookedAt:
    """What a bag's days say of a milestone: reached, contaminated before, or still running.

    A bag that ended otherwise (lost, sold, spent) was running up to then; one that still grows
    is known to run only up to its last look. Pins that nobody noted showed at some time between
    growing in and the first pick.
    """
    reached, before = _reach(days, milestone)
    if reached is not None:
        return LookedAt(max(0, min(before, reached)), reached, "colonised")
    if days.is_bad:
        return LookedAt(min(days.before, days.looked), days.looked, "contaminated")
    if days.is_growing and milestone == "colonised":
        return LookedAt(days.looked, days.looked, "running")
    last = max(days.looked, days.since)
    return LookedAt(last, last, "running")


def _reach(days: LifeDays, milestone: str) -> tuple[int | None, int]:
    """The day on which it was found to be there, and the last on which it was not."""
    if milestone == "colonised":
        found = days.opened if days.colonised is None else days.colonised
        return found, days.before
    if milestone == "pinned" and days.pinned is None:
        return days.picked, days.colonised or 0
    found = {"pinned": days.pinned, "opened": days.opened, "picked": days.picked}[milestone]
    return found, (found or 0) - 1


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
    lives = _lives_of(reading, cohort)
    return tuple(
        _make_table(_group(lives, milestone), cohort, milestone) for milestone in MILESTONES
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


@lru_cache(maxsize=16_384)
def _ordinal(day: str) -> int:
    """A day's number; the few thousand days of a farm are read once, not for every bag."""
    return date.fromisoformat(day).toordinal()


_local_day = lru_cache(maxsize=65_536)(local_day)
