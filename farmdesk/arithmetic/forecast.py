"""What will be ready: kg per species and ISO week from every bag, with a 10-90 % band.

The mean is exact; the band comes from simulated runs in which whole batches are early or late,
rich or poor, because that, not the single bag, decides how a week turns out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from farmdesk.arithmetic.crops import Crop, Source, Stage, find_chance_to_crop, spread_kg
from farmdesk.errors import Refused, problem
from farmdesk.quantities.weeks import IsoWeek

Floats = NDArray[np.float64]
STAGES: tuple[Stage, ...] = ("incubating", "colonised", "fruiting", "resting")
WEEKS = 16
RUNS = 2000
_REACH = 10
_SHIFTS = 2 * _REACH + 1


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
    by_stand: dict[tuple[Stage, int, int], list[Cohort]] = {}
    for one in cohorts:
        by_stand.setdefault((one.stage, one.flush, one.elapsed), []).append(one)
    places = {batch: n for n, batch in enumerate(dict.fromkeys(one.batch for one in cohorts))}
    rich, shift = _draw_batches(crop, len(places), runs, chance)
    likely = _shift_chances(crop)
    mean, drawn = np.zeros(weeks), np.zeros((runs, weeks))
    for (stage, flush, elapsed), some in by_stand.items():
        table = _table(crop, (stage, flush, elapsed), today, weeks)
        bags = np.array([one.bags for one in some], dtype=np.float64)
        rows = [places[one.batch] for one in some]
        share = find_chance_to_crop(crop, stage, flush=flush, elapsed=elapsed)
        sizes = np.array([one.size for one in some])
        amounts = _draw_bags(crop, bags, share, runs, chance) * rich[rows] * sizes[:, None]
        at = shift[rows] + _SHIFTS * np.arange(runs)
        summed = np.bincount(at.ravel(), weights=amounts.ravel(), minlength=runs * _SHIFTS)
        drawn += summed.reshape(runs, _SHIFTS) @ table
        mean += float(bags @ sizes) * (likely @ table)
    return mean, np.quantile(drawn, (0.1, 0.5, 0.9), axis=0)


def _draw_batches(
    crop: Crop, batches: int, runs: int, chance: np.random.Generator
) -> tuple[NDArray[np.float32], NDArray[np.int64]]:
    """Yield factor (lognormal, mean 1) and days late (as a place in the table) per batch, run."""
    spread = np.float32(np.sqrt(np.log1p(crop.batch_cv**2)))
    rich = chance.standard_normal((batches, runs), dtype=np.float32)
    np.exp(rich * spread - spread**2 / 2, out=rich)
    late = chance.standard_normal((batches, runs), dtype=np.float32) * np.float32(crop.batch_days)
    return rich, np.clip(np.rint(late), -_REACH, _REACH).astype(np.int64) + _REACH


def _draw_bags(
    crop: Crop, bags: Floats, share: float, runs: int, chance: np.random.Generator
) -> Floats:
    """Bags' worth of yield per cohort and run: losses and unlike bags of one batch."""
    spread = np.sqrt(bags * (1 - share + crop.bag_cv**2) / max(share, 1e-9))
    drawn = chance.standard_normal((len(bags), runs), dtype=np.float32)
    return np.maximum(bags[:, None] + spread[:, None] * drawn, 0.0)


def _shift_chances(crop: Crop) -> Floats:
    from scipy.special import ndtr  # noqa: PLC0415  (scipy costs start time)

    edges = np.arange(-_REACH, _REACH) + 0.5
    reached = ndtr(edges / max(crop.batch_days, 1e-9))
    return np.diff(np.concatenate(([0.0], reached, [1.0])))


def _table(crop: Crop, stand: tuple[Stage, int, int], today: str, weeks: int) -> Floats:
    """kg of one bag by days late (rows) and week (columns); what came due earlier comes now."""
    stage, flush, elapsed = stand
    before = date.fromisoformat(today).weekday()
    days = 7 * weeks + _REACH
    daily = spread_kg(crop, stage, flush=flush, elapsed=elapsed, days=days)
    row = np.arange(_SHIFTS)[:, None]
    # Once a batch is open most of its lateness has shown itself in the days already counted.
    late = np.rint((row - _REACH) * (1.0 if stage == "incubating" else 0.5)).astype(np.int64)
    week = (np.maximum(np.arange(days) + late, 0) + before) // 7
    width = weeks + 5  # the latest day of the latest batch falls within them
    weights = np.broadcast_to(daily, week.shape).ravel().astype(np.float64)
    table = np.bincount((week + width * row).ravel(), weights=weights, minlength=_SHIFTS * width)
    return table.astype(np.float64).reshape(_SHIFTS, width)[:, :weeks]
