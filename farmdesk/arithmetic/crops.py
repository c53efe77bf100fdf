"""How a species crops: how long each stage lasts, what each flush gives, how batches differ."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt
from statistics import fmean, stdev
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from farmdesk.errors import Refused, problem

Days = NDArray[np.float64]
Stage = Literal["incubating", "colonised", "fruiting", "resting"]
Source = Literal["default", "both", "farm"]
ENOUGH_BATCHES = 8
_RARE = 1e-9


@dataclass(frozen=True)
class Duration:
    """How long something takes, in days: about normal, in whole days and never below none."""

    mean: float
    sd: float


@dataclass(frozen=True)
class FlushCrop:
    """One flush: kg of a bag that gives it, the share of bags that do, and the wait for it.

    The wait is from opening for the first flush, from the last pick for a later one; the share
    is of the bags that came so far. `wait` is how bags of one batch differ, `batch_days` how
    whole batches do; `batch_cv` how much they give (None: as the crop says).
    """

    kg_per_bag: float
    share: float
    wait: Duration
    batch_days: float = 0.0
    batch_cv: float | None = None

    @property
    def coming(self) -> Duration:
        """The wait of any bag of any batch."""
        return Duration(self.wait.mean, hypot(self.wait.sd, self.batch_days))


@dataclass(frozen=True)
class Crop:
    """A species as it crops on this farm.

    `clean_share` of bags colonise, the others are found contaminated around `contamination`.
    `bag_cv` is how bags of a batch differ in yield, `batch_cv`, `batch_days`, `opening_days` and
    `clean_cv` how whole batches do: in yield, in days of incubation, in days until they are
    opened, in the share that colonises. `unknown` is the part of that variance that all batches
    share, because the means themselves are not known better.
    """

    species: str
    incubation: Duration
    clean_share: float
    flushes: tuple[FlushCrop, ...]
    contamination: Duration = Duration(10, 5)
    opening: Duration = Duration(1, 1)
    bag_cv: float = 0.25
    batch_cv: float = 0.2
    batch_days: float = 2.0
    source: Source = "default"
    opening_days: float = 0.0
    clean_cv: float = 0.0
    unknown: float = 0.0

    @property
    def growing(self) -> Duration:
        """The incubation of any bag of any batch."""
        return Duration(self.incubation.mean, hypot(self.incubation.sd, self.batch_days))

    @property
    def being_opened(self) -> Duration:
        """The days until any colonised bag of any batch is opened."""
        return Duration(self.opening.mean, hypot(self.opening.sd, self.opening_days))


@dataclass(frozen=True)
class Arrival:
    """A flush to come of one bag: the chance that it comes, and its share of each coming day.

    `own` is the part of the whole variance in days that is the batch's, 0 to 1.
    """

    flush: int
    chance: float
    days: Days
    own: float


@dataclass(frozen=True)
class Pooled:
    """A figure drawn together from the farm's batches and the default, and what it rests on."""

    mean: float
    cv: float
    batches: int
    weight: float
    source: Source


def pool_with_default(
    batches: Sequence[float], *, default_mean: float, default_cv: float, worth: float = 4
) -> Pooled:
    """Partial pooling: the default counts as much as `worth` batches of the farm's own.

    That is the shrinkage of a normal mean with variance ratio `worth` (Efron and Morris 1975).
    The source is "farm" from eight batches on.
    """
    count = len(batches)
    if not count:
        return Pooled(default_mean, default_cv, 0, 0.0, "default")
    weight = count / (count + worth)
    own = fmean(batches)
    mean = weight * own + (1 - weight) * default_mean
    spread = (stdev(batches) / own) ** 2 if count > 1 and own else default_cv**2
    cv = sqrt(weight * spread + (1 - weight) * default_cv**2)
    return Pooled(mean, cv, count, weight, "farm" if count >= ENOUGH_BATCHES else "both")


def spread_days(duration: Duration, days: int, *, elapsed: int = 0) -> Days:
    """Chance of ending on each coming day, given that it has not ended before today.

    Day 0 is today. What takes longer than anything known is expected any day, at the pace of
    the duration's spread.
    """
    edges = _reached(duration, np.arange(days + 1, dtype=np.float64) + (elapsed - 0.5))
    if not elapsed:
        edges[0] = 0.0
    left = 1 - edges[0]
    if left < _RARE:
        pace = 1 / (1 + max(duration.sd, 0.5))
        overdue: Days = pace * np.power(1 - pace, np.arange(days, dtype=np.float64))
        return overdue
    chances: Days = (edges[1:] - edges[:-1]) / left
    return chances


def find_clean_chance(crop: Crop, elapsed: int) -> float:
    """Chance that a bag still running after so many days colonises and is not lost."""
    before = np.array([elapsed - 0.5])
    running = crop.clean_share * (1 - float(_reached(crop.growing, before)[0]))
    doomed = (1 - crop.clean_share) * (1 - float(_reached(crop.contamination, before)[0]))
    if running + doomed < _RARE:
        return crop.clean_share
    return running / (running + doomed)


def find_flush_chance(flush: FlushCrop, elapsed: int) -> float:
    """Chance that a bag that has waited so many days in vain still gives this flush."""
    waited = float(_reached(flush.coming, np.array([elapsed - 0.5]))[0]) if elapsed else 0.0
    to_come, never = flush.share * (1 - waited), 1 - flush.share
    return to_come / (to_come + never) if to_come + never > _RARE else flush.share


def find_chance_to_crop(crop: Crop, stage: Stage, *, flush: int, elapsed: int) -> float:
    """Chance that a bag comes as far as its next flush, from where it stands now."""
    first = crop.flushes[flush - 1]
    if stage == "incubating":
        return find_clean_chance(crop, elapsed) * first.share
    return first.share if stage == "colonised" else find_flush_chance(first, elapsed)


def spread_kg(crop: Crop, stage: Stage, *, flush: int, elapsed: int, days: int) -> Days:
    """Expected kg of one bag on each coming day, all its flushes, from where it stands now.

    `flush` is the next one to come, from 1; `elapsed` are days since inoculation, colonisation,
    opening or the last pick, as the stage has it.
    """
    kg = np.zeros(days)
    for one in spread_flushes(crop, stage, flush=flush, elapsed=elapsed, days=days):
        kg = kg + crop.flushes[one.flush - 1].kg_per_bag * one.chance * one.days
    return kg


def spread_flushes(
    crop: Crop, stage: Stage, *, flush: int, elapsed: int, days: int
) -> tuple[Arrival, ...]:
    """Each flush to come of one bag, from where it stands now; as for `spread_kg`."""
    if not 1 <= flush <= len(crop.flushes):
        raise Refused(
            problem(
                "crop_flush_out_of_range",
                flush=flush,
                species=crop.species,
                flushes=len(crop.flushes),
            )
        )
    first = crop.flushes[flush - 1]
    if stage == "incubating":
        steps = [(crop.growing, crop.batch_days), (crop.being_opened, crop.opening_days)]
    elif stage == "colonised":
        steps = [(crop.being_opened, crop.opening_days)]
    elif stage in ("fruiting", "resting"):
        steps = []
    else:
        raise Refused(problem("stage_unknown", stage=stage))
    steps.append((first.coming, first.batch_days))
    arrival = spread_days(steps[0][0], days, elapsed=elapsed)
    for step, _ in steps[1:]:
        arrival = _follow(arrival, spread_days(step, days))
    chance = find_chance_to_crop(crop, stage, flush=flush, elapsed=elapsed)
    found = [Arrival(flush, chance, arrival, _own_part(steps))]
    for number, later in enumerate(crop.flushes[flush:], start=flush + 1):
        steps.append((later.coming, later.batch_days))
        arrival, chance = _follow(arrival, spread_days(later.coming, days)), chance * later.share
        found.append(Arrival(number, chance, arrival, _own_part(steps)))
    return tuple(found)


def _own_part(steps: Sequence[tuple[Duration, float]]) -> float:
    whole = sum(step.sd**2 for step, _ in steps)
    return min(1.0, sum(own**2 for _, own in steps) / whole) if whole else 0.0


def _follow(first: Days, then: Days) -> Days:
    followed: Days = np.convolve(first, then)[: len(first)]
    return followed


def _reached(duration: Duration, day: Days) -> Days:
    from scipy.special import ndtr  # noqa: PLC0415  (scipy costs start time)

    reached: Days = ndtr((day - duration.mean) / max(duration.sd, 0.1))
    return reached
