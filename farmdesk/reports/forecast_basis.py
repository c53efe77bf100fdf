"""What a forecast rests on: each species' default, drawn together with the farm's own batches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from math import sqrt
from statistics import fmean

from farmdesk.arithmetic.crop_history import (
    BatchPast,
    CropFigure,
    FlushPast,
    LearntCrop,
    default_crop,
    learn_crop,
)
from farmdesk.arithmetic.crops import Crop, Duration
from farmdesk.domain.catalogue import Species
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days, day_plus, local_day
from farmdesk.reports.farm_terms import FarmTerms
from farmdesk.store.forecast import (
    Outcome,
    PickedHour,
    bag_outcomes,
    bags_in_flush,
    picked_hours,
)
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

HISTORY_DAYS = 730
USUAL_DRY_KG = 0.95
"""Dry substrate of a block whose batch does not say: 2.5 kg at 62 % moisture, common practice."""
_MG = 1_000_000
_SLACK_DAYS, _LATE_PICK_DAYS = 30, 7


@dataclass
class _Batch:
    outcomes: list[Outcome] = field(default_factory=list)
    picks: list[tuple[int, str | None, str, int, int]] = field(default_factory=list)
    """(flush, opened on, picked on, bags, mg)."""


@dataclass(frozen=True)
class History:
    """The farm's batches of the last two years as the sums read them."""

    batches: Mapping[int, _Batch]
    in_flush: Mapping[tuple[int, int], int]
    picked: Sequence[tuple[int, str, int]]
    """(batch, day, mg) of everything that was picked."""


def read_history(reading: Reading, terms: FarmTerms, *, days: int = HISTORY_DAYS) -> History:
    """All that the farm's batches showed in the last so many days."""
    first = day_plus(terms.today, -days)
    batches: dict[int, _Batch] = {}
    for one in bag_outcomes(reading, first, terms.today):
        batches.setdefault(one.batch, _Batch()).outcomes.append(one)
    picked = []
    for hour in picked_hours(reading, first, terms.today):
        day = _day_of(hour.hour, terms.farm.zone)
        picked.append((hour.batch, day, hour.picked_mg))
        if hour.batch in batches:
            batches[hour.batch].picks.append(_pick(hour, day))
    return History(batches, bags_in_flush(reading, first, terms.today), picked)


def crop_of(species: Species) -> Crop:
    """The crop of a species by its catalogue; kg are for 1 kg of dry substrate."""
    shares = [float(part) for part in species.flush_shares.split("/") if part.strip()]
    shares = (shares or [60.0, 30.0, 10.0])[: species.flushes]
    return default_crop(
        species.name,
        incubation=(species.incubation_days_low, species.incubation_days_high),
        first_wait=(species.open_pick_days_low, species.open_pick_days_high),
        rest=(species.rest_days_low, species.rest_days_high),
        efficiency_percent=(float(species.be_percent_low), float(species.be_percent_high)),
        shares=shares,
    )


def learn_crops(
    history: History, species: Mapping[int, Species], *, today: str
) -> dict[str, LearntCrop]:
    """Each species' crop by name, from what could be known on a day."""
    past: dict[int, list[BatchPast]] = {}
    for batch, one in history.batches.items():
        kind = species.get(one.outcomes[0].species)
        if kind is not None and one.outcomes[0].inoculated_on < today:
            found = _recall(batch, one, history.in_flush, kind, today)
            past.setdefault(kind.id, []).append(found)
    return {one.name: learn_crop(crop_of(one), past.get(one.id, [])) for one in species.values()}


def size_of(dry_mg: int) -> float:
    """The kg dry of a block."""
    return dry_mg / _MG if dry_mg > 0 else USUAL_DRY_KG


def basis_table(learnt: Iterable[LearntCrop], terms: FarmTerms) -> Table:
    """Every figure that the forecast uses, with the default beside it and where it is from."""
    columns = (
        Column("species", tr("Species")),
        Column("figure", tr("Figure"), width=34),
        Column("used", tr("Used"), "number", digits=2),
        Column("default", tr("Default"), "number", digits=2),
        Column("batches", tr("Batches of the farm"), "integer"),
        Column("weight", tr("Weight of the farm"), "percent", digits=0),
        Column("source", tr("From")),
    )
    rows = [
        (
            one.crop.species, _name_figure(figure), figure.pooled.mean, figure.default,
            figure.pooled.batches, 100 * figure.pooled.weight, name_source(figure.pooled.source),
        )
        for one in learnt
        for figure in one.figures
    ]  # fmt: skip
    del terms
    return Table("forecast_basis", tr("What it rests on"), columns, rows, [say_basis()])


def say_basis() -> str:
    """How the farm's own figures and the defaults are drawn together."""
    return tr(
        "A default counts as much as four batches of the farm's own; from eight batches on a"
        " figure is called the farm's. Only finished batches of the last two years count, so that"
        " the quick ones do not count first."
    )


def name_source(source: str) -> str:
    """Where a figure is from, in words."""
    names = {"default": tr("default"), "both": tr("default and farm"), "farm": tr("the farm's own")}
    return names[source]


def _name_figure(figure: CropFigure) -> str:
    names = {
        "incubation": tr("Days to colonise"),
        "clean": tr("Share of bags that colonise"),
        "opening": tr("Days from colonised to opened"),
        "wait": tr("Days to flush {flush}"),
        "share": tr("Share of bags that give flush {flush}"),
        "kg": tr("Kg of flush {flush} for each kg dry"),
    }
    return names[figure.key].format(flush=figure.flush)


def _pick(hour: PickedHour, day: str) -> tuple[int, str | None, str, int, int]:
    return hour.flush, hour.opened_on, day, hour.bags, hour.picked_mg


@lru_cache(maxsize=65_536)
def _day_of(hour: str, zone: str) -> str:
    return local_day(f"{hour}:00:00Z", zone)


def _recall(
    batch: int, one: _Batch, in_flush: Mapping[tuple[int, int], int], kind: Species, today: str
) -> BatchPast:
    """What a batch had shown by a day: incubation once settled, flushes once it was over."""
    began = one.outcomes[0].inoculated_on
    settled = all(_is_settled(part, today) for part in one.outcomes)
    longest = (
        kind.incubation_days_high + kind.open_pick_days_high
        + kind.flushes * kind.rest_days_high + _SLACK_DAYS
    )  # fmt: skip
    over = day_plus(began, longest) < today or all(
        not part.is_alive and (part.ended_on or "") < today for part in one.outcomes
    )
    if not (settled or over):
        return BatchPast(kind.name, batch)
    grown = [
        (age_days(began, part.colonised_on), part.bags)
        for part in one.outcomes
        if part.colonised_on is not None and part.colonised_on < today
    ]
    opened = [
        (age_days(part.colonised_on, part.opened_on), part.bags)
        for part in one.outcomes
        if part.colonised_on and part.opened_on and part.opened_on < today
    ]
    made = sum(part.bags for part in one.outcomes)
    lost = sum(part.bags for part in one.outcomes if part.is_bad and not part.opened_on)
    return BatchPast(
        kind.name,
        batch,
        incubation=_measure(grown),
        clean_share=(made - lost) / made,
        opening=_measure(opened),
        flushes=_recall_flushes(batch, one, in_flush, today if over else _done_by(kind, today)),
        is_over=over,
    )


def _done_by(kind: Species, today: str) -> str:
    """A flush whose last pick lies before this day gets no more picks."""
    return day_plus(today, -kind.rest_days_high - _LATE_PICK_DAYS)


def _is_settled(part: Outcome, today: str) -> bool:
    """Whether these bags had left incubation before a day."""
    left = part.colonised_on or part.opened_on or part.ended_on
    return left is not None and left < today and not part.is_incubating


def _recall_flushes(
    batch: int, one: _Batch, in_flush: Mapping[tuple[int, int], int], before_day: str
) -> tuple[FlushPast, ...]:
    opened = sum(part.bags for part in one.outcomes if part.opened_on is not None)
    size, came, before = size_of(one.outcomes[0].dry_mg), opened, None
    found: list[FlushPast] = []
    for flush in sorted({pick[0] for pick in one.picks}):
        picks = [pick for pick in one.picks if pick[0] == flush]
        if any(pick[2] >= before_day for pick in picks):
            break
        bags, mg = in_flush.get((batch, flush), 0), sum(pick[4] for pick in picks)
        if flush != len(found) + 1 or not picks or not came or not bags or mg <= 0:
            break
        days = _measure([(age_days(pick[1], pick[2]), pick[3]) for pick in picks if pick[1]])
        if days is None:
            break
        wait = days if before is None else _between(before, days)
        kg = mg / _MG / bags / size
        found.append(FlushPast(flush, min(1.0, bags / came), kg, wait))
        came, before = bags, days
    return tuple(found)


def _between(before: Duration, after: Duration) -> Duration:
    """The wait between two flushes of a batch; its spread is what the later one adds."""
    added = max(1.0, after.sd**2 - before.sd**2)
    return Duration(max(1.0, after.mean - before.mean), sqrt(added))


def _measure(days: Sequence[tuple[int, int]]) -> Duration | None:
    """Mean and spread of days, each with its number of bags."""
    bags = sum(count for _, count in days)
    if not bags:
        return None
    mean = sum(day * count for day, count in days) / bags
    square = fmean([(day - mean) ** 2 for day, _ in days], [count for _, count in days])
    return Duration(mean, sqrt(square))
