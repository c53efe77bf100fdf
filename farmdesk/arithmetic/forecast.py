"""What will be ready: kg per species and ISO week from every bag, with a 10-90 % band.

The mean is exact; the band comes from simulated runs in which whole batches are early or late,
rich or poor, because that, not the single bag, decides how a week turns out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from math import log1p, sqrt

import numpy as np
from numpy.typing import NDArray

from farmdesk.arithmetic.crops import (
    Arrival,
    Crop,
    Source,
    Stage,
    spread_flushes,
)
from farmdesk.errors import Refused, problem
from farmdesk.quantities.weeks import IsoWeek

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
STAGES: tuple[Stage, ...] = ("incubating", "colonised", "fruiting", "resting")
WEEKS = 16
RUNS = 2000
_PLACES = 41
"""Batches are early or late in so many equally likely steps."""
_MOST_OWN = 0.98
_ALIKE = (np.float32(sqrt(0.7)), np.float32(sqrt(0.3)))
"""How far a batch that is rich in one flush is so in all: common practice, no source."""


@dataclass(frozen=True)
class Cohort:
    """Bags of one batch that stand alike; `flush` is the next, `elapsed` days in the stage.

    `size` is what a bag gives against the one that the crop's kg are for, such as its kg dry.
    """

    species: str
    batch: int
    stage: Stage
    flush: int
    elapsed: int
    bags: int
    size: float = 1.0


@dataclass(frozen=True)
class WeekCohort:
    """Bags with known chances: share reaching the pick, kg of each, shares of coming weeks."""

    bags: int
    share: float
    kg_per_bag: float
    weeks: Mapping[int, float]


@dataclass(frozen=True)
class WeekForecast:
    """kg of one species in one ISO week: expected, and the 10, 50 and 90 % runs."""

    species: str
    week: str
    mean_kg: float
    low_kg: float
    middle_kg: float
    high_kg: float
    source: Source


@dataclass(frozen=True)
class Forecast:
    """All weeks of all species, asked on a day, from so many bags and simulated runs."""

    asked_on: str
    bags: int
    runs: int
    weeks: tuple[WeekForecast, ...]


@dataclass(frozen=True)
class Replay:
    """What was forecast for a week on an earlier day, and what was picked."""

    asked_on: str
    forecast: WeekForecast
    picked_kg: float

    @property
    def held(self) -> bool:
        """Whether the pick fell within the band."""
        return self.forecast.low_kg <= self.picked_kg <= self.forecast.high_kg


@dataclass(frozen=True)
class BackTest:
    """Replayed forecasts and how often their band held (None when there are none)."""

    replays: tuple[Replay, ...]
    held: int

    @property
    def share_held(self) -> float | None:
        """About 0.8 when the band is honest."""
        return self.held / len(self.replays) if self.replays else None


def spread_cohorts(cohorts: Iterable[WeekCohort], *, weeks: int = WEEKS) -> tuple[float, ...]:
    """Expected kg in each week from 0: bags x share reaching x kg x share of the week."""
    found = [0.0] * weeks
    for cohort in cohorts:
        for week, share in cohort.weeks.items():
            if 0 <= week < weeks:
                found[week] += cohort.bags * cohort.share * cohort.kg_per_bag * share
    return tuple(found)


def group_bags(
    species: Sequence[str],
    *,
    species_at: NDArray[np.int64],
    batch: NDArray[np.int64],
    stage_at: NDArray[np.int64],
    flush: NDArray[np.int64],
    elapsed: NDArray[np.int64],
) -> tuple[Cohort, ...]:
    """Count single bags, given as columns, into cohorts; `*_at` are places in the two lists."""
    columns = (species_at, batch, stage_at, flush, elapsed)
    if len({len(column) for column in columns}) != 1:
        raise Refused(problem("bag_columns_unequal"))
    if not len(batch):
        return ()
    sizes = [int(column.max()) + 1 for column in columns]
    keys, counts = np.unique(np.ravel_multi_index(columns, sizes), return_counts=True)
    rows = zip(*np.unravel_index(keys, sizes), counts, strict=True)
    return tuple(
        Cohort(species[a], int(b), STAGES[c], int(d), int(e), int(bags))
        for a, b, c, d, e, bags in rows
    )


def forecast_weeks(
    cohorts: Sequence[Cohort],
    crops: Mapping[str, Crop],
    *,
    today: str,
    weeks: int = WEEKS,
    runs: int = RUNS,
    seed: int = 1,
) -> Forecast:
    """kg per species for this ISO week and those after it; the same seed gives the same band."""
    unknown = sorted({one.species for one in cohorts} - set(crops))
    if unknown:
        raise Refused(*(problem("species_without_crop", species=one) for one in unknown))
    by_species: dict[str, list[Cohort]] = {}
    for one in cohorts:
        by_species.setdefault(one.species, []).append(one)
    this_week, found = IsoWeek.of(today), []
    chance = np.random.default_rng(seed)
    for species, some in sorted(by_species.items()):
        mean, band = _simulate(some, crops[species], today, (weeks, runs), chance)
        source = crops[species].source
        for week, (low, middle, high) in enumerate(band.T.tolist()):
            name, expected = str(this_week.plus(week)), float(mean[week])
            found.append(WeekForecast(species, name, expected, low, middle, high, source))
    return Forecast(today, sum(one.bags for one in cohorts), runs, tuple(found))


def replay_weeks(
    asked_on: Iterable[str],
    forecast_on: Callable[[str], Forecast],
    picked_kg: Mapping[tuple[str, str], float],
    *,
    last_week: str,
) -> BackTest:
    """What would have been said on earlier days, against picks by (species, week).

    Weeks after the last whole one are left out, and so are those in which nothing was forecast
    and nothing picked: they would always hold.
    """
    replays = [
        Replay(day, one, picked_kg.get((one.species, one.week), 0.0))
        for day in asked_on
        for one in forecast_on(day).weeks
        if one.week <= last_week
    ]
    told = tuple(one for one in replays if one.forecast.high_kg > 0 or one.picked_kg > 0)
    return BackTest(told, sum(one.held for one in told))


def _simulate(
    cohorts: Sequence[Cohort],
    crop: Crop,
    today: str,
    size: tuple[int, int],
    chance: np.random.Generator,
) -> tuple[Floats, Floats]:
    weeks, runs = size
    by_batch: dict[int, dict[tuple[Stage, int], list[Cohort]]] = {}
    for one in cohorts:
        by_batch.setdefault(one.batch, {}).setdefault((one.stage, one.flush), []).append(one)
    spreads = _Spreads(crop, today, weeks)
    mean = np.zeros(weeks)
    drawn, variance = np.zeros((runs, weeks)), np.zeros((runs, weeks))
    common = _draw_fate(crop, runs, chance)
    for stands in by_batch.values():
        fate = _draw_fate(crop, runs, chance).mixed(common)
        for (stage, flush), some in stands.items():
            bags = sum(one.bags for one in some)
            usual = sum(one.bags * one.size for one in some) / bags
            for at, (table, expected) in spreads.add_up(some).items():
                mean += expected
                comes = table[fate.places(stage, flush, at)]
                gives = fate.yields(stage, at)[:, None] * comes
                drawn += gives
                # Bags come whole: so many by chance in a week (binomial), each more or less rich.
                each = crop.flushes[at - 1].kg_per_bag * usual
                variance += gives * (each * (1 + crop.bag_cv**2) - comes / bags)
    drawn += np.sqrt(variance) * chance.standard_normal((runs, weeks))
    return mean, np.quantile(np.maximum(drawn, 0.0), (0.1, 0.5, 0.9), axis=0)


class _Spreads:
    """Kg by week of one bag for each place of its batch in the order of lateness, kept."""

    def __init__(self, crop: Crop, today: str, weeks: int) -> None:
        self._crop = crop
        self._weeks = weeks
        self._week_of = (np.arange(7 * weeks) + date.fromisoformat(today).weekday()) // 7
        self._kept: dict[tuple[Stage, int, int], dict[int, tuple[Floats, Floats]]] = {}

    def add_up(self, cohorts: Sequence[Cohort]) -> dict[int, tuple[Floats, Floats]]:
        """By flush: kg of these bags by place and week, and as expected over all places."""
        found: dict[int, tuple[Floats, Floats]] = {}
        for one in cohorts:
            weight = one.bags * one.size
            for flush, (table, expected) in self._of(one.stage, one.flush, one.elapsed).items():
                known = found.get(flush, (0.0, 0.0))
                found[flush] = known[0] + weight * table, known[1] + weight * expected
        return found

    def _of(self, stage: Stage, flush: int, elapsed: int) -> dict[int, tuple[Floats, Floats]]:
        key = (stage, flush, elapsed)
        if key not in self._kept:
            self._kept[key] = {
                one.flush: self._spread(one)
                for one in spread_flushes(
                    self._crop, stage, flush=flush, elapsed=elapsed, days=7 * self._weeks
                )
            }
        return self._kept[key]

    def _spread(self, one: Arrival) -> tuple[Floats, Floats]:
        kg = self._crop.flushes[one.flush - 1].kg_per_bag * one.chance
        if kg <= 0:
            return np.zeros((_PLACES, self._weeks)), np.zeros(self._weeks)
        expected = np.bincount(self._week_of, weights=kg * one.days, minlength=self._weeks + 1)
        # The share that came by the end of each week, as the batch is early or late: bags of a
        # batch are alike as far as its own part of the variance goes (one normal factor).
        reached = np.cumsum(expected[: self._weeks]) / kg
        came = _part_by_lateness(np.clip(reached, 0.0, 1.0), min(one.own, _MOST_OWN))
        table = kg * np.diff(came, axis=1, prepend=0.0)
        return table, expected[: self._weeks].astype(np.float64)


@dataclass(frozen=True)
class _Fate:
    """What a batch is like in each run, as standard normal draws: days of its steps, yields."""

    crop: Crop
    steps: Singles
    rich: Singles

    def mixed(self, common: _Fate) -> _Fate:
        """With the part that all batches of the species share, as so little is known of it."""
        alone, together = sqrt(1 - self.crop.unknown), sqrt(self.crop.unknown)
        if not together:
            return self
        steps = np.float32(alone) * self.steps + np.float32(together) * common.steps
        rich = np.float32(alone) * self.rich + np.float32(together) * common.rich
        return _Fate(self.crop, steps, rich)

    def places(self, stage: Stage, flush: int, at: int) -> NDArray[np.int64]:
        """Where the batch stands in the order from early to late at flush `at`, by run."""
        own = [self.crop.flushes[n - 1].batch_days for n in range(flush, at + 1)]
        rows = list(range(flush + 1, at + 2))
        if stage in ("incubating", "colonised"):
            own, rows = [self.crop.opening_days, *own], [1, *rows]
        if stage == "incubating":
            own, rows = [self.crop.batch_days, *own], [0, *rows]
        whole = sqrt(sum(one * one for one in own))
        if not whole:
            return np.full(self.steps.shape[1], _PLACES // 2, dtype=np.int64)
        late = (np.array(own, dtype=np.float32) / whole) @ self.steps[rows]
        return np.searchsorted(_edges(), late).astype(np.int64)

    def yields(self, stage: Stage, at: int) -> Singles:
        """How rich the batch is in flush `at`, by run: lognormal with mean 1."""
        own = self.crop.flushes[at - 1].batch_cv
        cv = self.crop.batch_cv if own is None else own
        if stage == "incubating":
            cv = sqrt(cv * cv + self.crop.clean_cv**2)
        spread = np.float32(sqrt(log1p(cv * cv)))
        found: Singles = np.exp(
            spread * (_ALIKE[0] * self.rich[0] + _ALIKE[1] * self.rich[at]) - spread**2 / 2
        )
        return found


def _draw_fate(crop: Crop, runs: int, chance: np.random.Generator) -> _Fate:
    flushes = len(crop.flushes)
    drawn = chance.standard_normal((2 * flushes + 3, runs), dtype=np.float32)
    steps, rich = drawn[: flushes + 2], drawn[flushes + 2 :]
    return _Fate(crop, steps, rich)


def _part_by_lateness(reached: Floats, own: float) -> Floats:
    """The share that came by then for each place from early to late (rows); columns as given."""
    from scipy.special import ndtr, ndtri  # noqa: PLC0415  (scipy costs start time)

    if own <= 0:
        return np.tile(reached, (_PLACES, 1))
    late = ndtri((np.arange(_PLACES) + 0.5) / _PLACES)[:, None]
    parts: Floats = ndtr((ndtri(reached)[None, :] - sqrt(own) * late) / sqrt(1 - own))
    return parts


@cache
def _edges() -> Singles:
    from scipy.special import ndtri  # noqa: PLC0415  (scipy costs start time)

    edges: Singles = ndtri(np.arange(1, _PLACES) / _PLACES).astype(np.float32)
    return edges
