"""How a species crops: how long each stage lasts, what each flush gives, how batches differ."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
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
    is of the bags that came so far.
    """

    kg_per_bag: float
    share: float
    wait: Duration


@dataclass(frozen=True)
class Crop:
    """A species as it crops on this farm.

    `clean_share` of bags colonise, the others are found contaminated around `contamination`.
    `bag_cv` is how bags of a batch differ in yield, `batch_cv` and `batch_days` how whole
    batches do, in yield and in days.
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
    running = crop.clean_share * (1 - float(_reached(crop.incubation, before)[0]))
    doomed = (1 - crop.clean_share) * (1 - float(_reached(crop.contamination, before)[0]))
    if running + doomed < _RARE:
        return crop.clean_share
    return running / (running + doomed)


def find_flush_chance(flush: FlushCrop, elapsed: int) -> float:
    """Chance that a bag that has waited so many days in vain still gives this flush."""
    waited = float(_reached(flush.wait, np.array([elapsed - 0.5]))[0]) if elapsed else 0.0
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
        arrival = _follow(
            spread_days(crop.incubation, days, elapsed=elapsed), spread_days(crop.opening, days)
        )
        arrival = _follow(arrival, spread_days(first.wait, days))
    elif stage == "colonised":
        opened = spread_days(crop.opening, days, elapsed=elapsed)
        arrival = _follow(opened, spread_days(first.wait, days))
    elif stage in ("fruiting", "resting"):
        arrival = spread_days(first.wait, days, elapsed=elapsed)
    else:
        raise Refused(problem("stage_unknown", stage=stage))
    arrival = find_chance_to_crop(crop, stage, flush=flush, elapsed=elapsed) * arrival
    kg = first.kg_per_bag * arrival
    for later in crop.flushes[flush:]:
        arrival = later.share * _follow(arrival, spread_days(later.wait, days))
        kg = kg + later.kg_per_bag * arrival
    return kg


def _follow(first: Days, then: Days) -> Days:
    followed: Days = np.convolve(first, then)[: len(first)]
    return followed


def _reached(duration: Duration, day: Days) -> Days:
    from scipy.special import ndtr  # noqa: PLC0415  (scipy costs start time)

    reached: Days = ndtr((day - duration.mean) / max(duration.sd, 0.1))
    return reached
