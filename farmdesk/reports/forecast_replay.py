"""What would have been said on earlier days, against what the bags of that day gave since."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import cast

from farmdesk.arithmetic.crop_history import LearntCrop, count_crops
from farmdesk.arithmetic.crops import Stage
from farmdesk.arithmetic.forecast import Cohort, Replay, forecast_weeks, replay_weeks
from farmdesk.domain.catalogue import Species
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days, day_plus, local_day
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.forecast import MG, in_unit, monday_of, short_week, unit_of
from farmdesk.reports.forecast_basis import (
    HISTORY_DAYS,
    History,
    learn_crops,
    name_source,
    read_history,
    size_of,
)
from farmdesk.store.forecast import BagDays, bag_days, picks_of_bags
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr, tr_count

ASKED_WEEKS = 12
AHEAD_WEEKS = 6
_RUNS = 500
_ENOUGH = 20
_HONEST = (0.7, 0.92)


@dataclass(frozen=True)
class FarmReplay:
    """Replayed forecasts of the last weeks."""

    terms: FarmTerms
    replays: tuple[Replay, ...]

    @property
    def held(self) -> int:
        """How many of the weeks fell within the band."""
        return sum(one.held for one in self.replays)


@dataclass(frozen=True)
class _Then:
    """All that is needed to say how the farm stood on an earlier day."""

    history: History
    species: Mapping[int, Species]
    bags: Sequence[BagDays]
    picks: Mapping[int, Sequence[str]]


def read_replay(
    reading: Reading,
    *,
    now: str | None = None,
    species: int | None = None,
    weeks: int = ASKED_WEEKS,
    ahead: int = AHEAD_WEEKS,
    told: Callable[[int, int], None] = lambda _done, _total: None,
) -> FarmReplay:
    """Forecasts asked on each of the last Mondays for the weeks ahead of them that are over.

    Only the bags that stood then are compared, so that later batches do not count as surprises.
    """
    terms = read_terms(reading, now)
    kinds = {one.id: one for one in reading.all(Species) if species in (None, one.id)}
    this_week = IsoWeek.of(terms.today)
    asked = [this_week.plus(-back).monday for back in range(weeks, 0, -1)]
    then = _read_then(reading, terms, kinds, asked[0])
    last_week = str(this_week.previous())
    found: list[Replay] = []
    for done, day in enumerate(asked):
        told(done, len(asked))
        found += _replay(then, day, ahead=ahead, last_week=last_week)
    told(len(asked), len(asked))
    return FarmReplay(terms, tuple(found))


def replay_table(reading: Reading, *, now: str | None = None, species: int | None = None) -> Table:
    """Each week that was replayed: what was said, what was picked, whether the band held."""
    return replay_tables(reading, now=now, species=species)[0]


def replay_tables(
    reading: Reading, *, now: str | None = None, species: int | None = None
) -> tuple[Table, Table]:
    """The weeks one by one, and how often the band held by how far ahead was asked."""
    found = read_replay(reading, now=now, species=species)
    notes = _say(found)
    return _weeks_table(found, notes), _summary_table(found, notes)


def _read_then(
    reading: Reading, terms: FarmTerms, kinds: Mapping[int, Species], since: str
) -> _Then:
    first, last = day_plus(terms.today, -HISTORY_DAYS), terms.today
    bags = bag_days(reading, first, last, since=since)
    picks: dict[int, list[str]] = {one.id: [] for one in bags}
    for bag, hour in picks_of_bags(reading, first, last):
        if bag in picks:
            picks[bag].append(_day_of(hour, terms.farm.zone))
    return _Then(read_history(reading, terms), kinds, bags, picks)


def _replay(then: _Then, day: str, *, ahead: int, last_week: str) -> Iterator[Replay]:
    learnt = learn_crops(then.history, then.species, today=day)
    cohorts = _stood(then, learnt, day)
    batches = {one.batch for one in cohorts}
    names = {batch: _species_of(then, batch) for batch in batches}
    picked: dict[tuple[str, str], float] = {}
    for batch, picked_on, mg in then.history.picked:
        if batch in batches and picked_on >= day:
            key = (names[batch], str(IsoWeek.of(picked_on)))
            picked[key] = picked.get(key, 0.0) + mg / MG
    crops = count_crops(learnt)
    test = replay_weeks(
        [day],
        lambda asked: forecast_weeks(cohorts, crops, today=asked, weeks=ahead, runs=_RUNS),
        picked,
        last_week=last_week,
    )
    yield from (one for one in test.replays if _is_told(one))


def _is_told(one: Replay) -> bool:
    """A week in which next to nothing is said or picked would tell nothing."""
    return one.forecast.high_kg >= 0.1 or one.picked_kg >= 0.1


def _species_of(then: _Then, batch: int) -> str:
    return then.species[then.history.batches[batch].outcomes[0].species].name


def _stood(then: _Then, learnt: Mapping[str, LearntCrop], day: str) -> list[Cohort]:
    counted: dict[tuple[str, int, str, int, int, float], int] = {}
    for bag in then.bags:
        one = then.history.batches.get(bag.batch)
        if one is None or one.outcomes[0].species not in then.species:
            continue
        facts = one.outcomes[0]
        stand = _stand(bag, facts.inoculated_on, then.picks[bag.id], day)
        name = then.species[facts.species].name
        if stand is None or stand[1] > len(learnt[name].crop.flushes):
            continue
        key = (name, bag.batch, *stand, size_of(facts.dry_mg))
        counted[key] = counted.get(key, 0) + 1
    return [
        Cohort(name, batch, cast(Stage, stage), flush, elapsed, bags, size)
        for (name, batch, stage, flush, elapsed, size), bags in counted.items()
    ]


def _stand(bag: BagDays, began: str, picks: Sequence[str], day: str) -> tuple[str, int, int] | None:
    """(stage, next flush, days in it) of a bag at the start of a day; None when it was not."""
    if began >= day or (bag.ended_on is not None and bag.ended_on < day):
        return None
    done = sorted({one for one in picks if one < day})
    if done:
        return "resting", len(done) + 1, age_days(done[-1], day)
    if bag.opened_on is not None and bag.opened_on < day:
        return "fruiting", 1, age_days(bag.opened_on, day)
    if bag.colonised_on is not None and bag.colonised_on < day:
        return "colonised", 1, age_days(bag.colonised_on, day)
    return "incubating", 1, age_days(began, day)


@lru_cache(maxsize=65_536)
def _day_of(hour: str, zone: str) -> str:
    return local_day(f"{hour}:00:00Z", zone)


def _ahead(one: Replay) -> int:
    return IsoWeek.of(one.asked_on).weeks_until(IsoWeek.parse(one.forecast.week)) + 1


def _weeks_table(found: FarmReplay, notes: Sequence[str]) -> Table:
    columns = (
        Column("species", tr("Species")),
        Column("week", tr("Week")),
        Column("ahead", tr("Weeks ahead"), "integer"),
        Column("low", tr("Low (1 in 10)"), "mass"),
        Column("high", tr("High (9 in 10)"), "mass"),
        Column("picked", tr("Picked"), "mass"),
        Column("verdict", tr("Verdict")),
        Column("expected", tr("Expected"), "mass"),
        Column("asked_on", tr("Asked on"), "day"),
        Column("monday", tr("From"), "day"),
        Column("source", tr("Rests on")),
    )
    rows = [
        (
            one.forecast.species, one.forecast.week, _ahead(one), round(one.forecast.low_kg * MG),
            round(one.forecast.high_kg * MG), round(one.picked_kg * MG), _verdict(one),
            round(one.forecast.mean_kg * MG), one.asked_on, monday_of(one.forecast.week),
            name_source(one.forecast.source),
        )
        for one in sorted(
            found.replays, key=lambda r: (r.forecast.species, r.forecast.week, r.asked_on)
        )
    ]  # fmt: skip
    charts = tuple(_charts(found))
    return Table("replay", tr("Said and picked"), columns, rows, notes, charts=charts)


def _verdict(one: Replay) -> str:
    if one.held:
        return tr("held")
    if one.picked_kg < one.forecast.low_kg:
        return tr("less than low")
    return tr("more than high")


def _summary_table(found: FarmReplay, notes: Sequence[str]) -> Table:
    columns = (
        Column("species", tr("Species")),
        Column("ahead", tr("Weeks ahead"), "integer"),
        Column("weeks", tr("Weeks replayed"), "integer"),
        Column("held", tr("Band held"), "integer"),
        Column("share", tr("Held"), "percent", digits=0),
        Column("expected", tr("Expected"), "mass"),
        Column("picked", tr("Picked"), "mass"),
    )
    groups: dict[tuple[str, int], list[Replay]] = {}
    for one in found.replays:
        groups.setdefault((one.forecast.species, _ahead(one)), []).append(one)
    rows = [_sum_up(*key, some) for key, some in sorted(groups.items())]
    totals = _sum_up("", 0, found.replays) if rows else None
    return Table("replay_held", tr("How often it held"), columns, rows, notes, totals=totals)


def _sum_up(species: str, ahead: int, some: Sequence[Replay]) -> tuple[object, ...]:
    held = sum(one.held for one in some)
    return (
        species, ahead or None, len(some), held, 100 * held / len(some),
        round(sum(one.forecast.mean_kg for one in some) * MG),
        round(sum(one.picked_kg for one in some) * MG),
    )  # fmt: skip


def _charts(found: FarmReplay) -> Iterator[Chart]:
    """For each species the weeks as they were told two weeks before, with what was picked."""
    unit = unit_of(found.terms)
    for species in sorted({one.forecast.species for one in found.replays}):
        weeks: dict[str, Replay] = {}
        for one in found.replays:
            if one.forecast.species == species and _ahead(one) <= 2:
                known = weeks.get(one.forecast.week)
                if known is None or _ahead(one) > _ahead(known):
                    weeks[one.forecast.week] = one
        shown = [weeks[week] for week in sorted(weeks)]
        said = Series(
            tr("Said a week before"),
            [in_unit(one.forecast.mean_kg, unit) for one in shown],
            low=[in_unit(one.forecast.low_kg, unit) for one in shown],
            high=[in_unit(one.forecast.high_kg, unit) for one in shown],
        )
        picked = Series(tr("Picked"), [in_unit(one.picked_kg, unit) for one in shown])
        title = tr("{species}: said and picked").format(species=species)
        names = [short_week(one.forecast.week) for one in shown]
        yield Chart("line", title, names, [said, picked], unit)


def _say(found: FarmReplay) -> list[str]:
    count, held = len(found.replays), found.held
    if not count:
        return []
    number, formats = found.terms.formats.number, found.terms.formats
    words = tr_count(
        count,
        "The band held in {held} of {n} week replayed ({share}). {judged}",
        "The band held in {held} of {n} weeks replayed ({share}). {judged}",
    )
    share = held / count
    return [
        words.format(
            held=number(held), n=number(count), share=formats.percent(100 * share, 0),
            judged=_judge(count, share),
        ),
        tr(
            "Asked on each of the last {weeks} Mondays for up to {ahead} weeks ahead, of the bags"
            " that stood then, with what the farm knew then. The days are those on which things"
            " happened, also where they were written down later. Weeks of one batch go together,"
            " so a few batches can decide the share."
        ).format(weeks=ASKED_WEEKS, ahead=AHEAD_WEEKS),
    ]  # fmt: skip


def _judge(count: int, share: float) -> str:
    if count < _ENOUGH:
        return tr("That is too few to judge the band by.")
    if share < _HONEST[0]:
        return tr("An honest band holds eight times in ten: this one is too narrow.")
    if share > _HONEST[1]:
        return tr("An honest band holds eight times in ten: this one is wider than it need be.")
    return tr("An honest band holds about eight times in ten.")
