"""A species' times and yields learnt from the farm's own batches, drawn towards the default.

Everything is by batch: a batch is one observation, however many bags it has.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import prod
from statistics import fmean

from farmdesk.arithmetic.crops import Crop, Duration, FlushCrop, Pooled, pool_with_default

_WORTH = 4.0
_SHARE_LIMITS = (0.02, 0.999)
_CV_LIMITS = (0.05, 0.6)
_MIDDLE_EIGHTY = 2.563
"""Standard deviations between the 10 and the 90 % point of a normal distribution."""
_GIVING = (0.97, 0.92, 0.85)
"""Shares of bags that give each flush, before the farm knows better: common practice."""


@dataclass(frozen=True)
class FlushPast:
    """A flush of a finished batch: share of those that came so far, kg for each kg dry, wait."""

    flush: int
    share: float
    kg_per_size: float
    wait: Duration


@dataclass(frozen=True)
class BatchPast:
    """What a batch showed: incubation when none incubates any more, flushes when it is over."""

    species: str
    batch: int
    incubation: Duration | None = None
    clean_share: float | None = None
    opening: Duration | None = None
    flushes: tuple[FlushPast, ...] = ()


@dataclass(frozen=True)
class CropFigure:
    """One figure of a crop: the default, what the farm's batches say, and what is used.

    `key` is incubation, clean, opening, wait, kg, share or late; `flush` is 0 where none is meant.
    """

    key: str
    flush: int
    default: float
    pooled: Pooled


@dataclass(frozen=True)
class LearntCrop:
    """A crop to forecast with, and what each of its figures rests on."""

    crop: Crop
    figures: tuple[CropFigure, ...]
    batches: int


def default_crop(
    species: str,
    *,
    incubation: tuple[float, float],
    first_wait: tuple[float, float],
    rest: tuple[float, float],
    efficiency_percent: tuple[float, float],
    shares: Sequence[float],
    clean_share: float = 0.93,
) -> Crop:
    """The crop of a species from its catalogue: ranges hold eight of ten; kg for each kg dry.

    `shares` are the flushes' shares of the whole yield, in any measure.
    """
    whole = sum(shares) or 1.0
    efficiency = fmean(efficiency_percent) / 100
    flushes = []
    for at, part in enumerate(shares):
        giving = [_GIVING[min(n, len(_GIVING) - 1)] for n in range(at + 1)]
        wait = _from_range(first_wait if at == 0 else rest)
        kg = efficiency * part / whole / prod(giving)
        flushes.append(FlushCrop(kg, giving[-1], wait))
    return Crop(species, _from_range(incubation), clean_share, tuple(flushes))


def learn_crop(default: Crop, past: Sequence[BatchPast]) -> LearntCrop:
    """The default and the farm's batches drawn together, figure by figure.

    The crop's source is that of its yields: "farm" from eight finished batches on.
    """
    mine = [one for one in past if one.species == default.species]
    grown = [one.incubation for one in mine if one.incubation is not None]
    late_cv = default.batch_days / default.incubation.mean
    days = _pool([one.mean for one in grown], default.incubation.mean, late_cv)
    clean = _pool([one.clean_share for one in mine if one.clean_share is not None],
                  default.clean_share, 0.1)  # fmt: skip
    opened = [one.opening for one in mine if one.opening is not None]
    opening = _pool([one.mean for one in opened], default.opening.mean, 1.0)
    over = [one for one in mine if one.flushes]
    totals = [_total(one) for one in over]
    whole = _pool(totals, _total_of(default), default.batch_cv)
    flushes, figures = [], []
    for number, usual in enumerate(default.flushes, start=1):
        flush, found = _learn_flush(usual, number, over)
        flushes.append(flush)
        figures += found
    crop = replace(
        default,
        incubation=Duration(days.mean, _sd(grown, default.incubation.sd)),
        clean_share=min(max(clean.mean, _SHARE_LIMITS[0]), _SHARE_LIMITS[1]),
        opening=Duration(max(0.0, opening.mean), _sd(opened, default.opening.sd)),
        flushes=tuple(flushes),
        batch_cv=min(max(whole.cv, _CV_LIMITS[0]), _CV_LIMITS[1]),
        batch_days=min(max(days.cv * days.mean, 0.5), 8.0),
        source=whole.source,
    )
    first = [
        CropFigure("incubation", 0, default.incubation.mean, days),
        CropFigure("clean", 0, default.clean_share, clean),
        CropFigure("opening", 0, default.opening.mean, opening),
    ]
    return LearntCrop(crop, (*first, *figures), len(over))


def count_crops(learnt: Mapping[str, LearntCrop]) -> Mapping[str, Crop]:
    """The crops alone, by species."""
    return {name: one.crop for name, one in learnt.items()}


def _learn_flush(
    usual: FlushCrop, number: int, over: Sequence[BatchPast]
) -> tuple[FlushCrop, list[CropFigure]]:
    """One flush; a finished batch that did not give it counts with a share of none."""
    seen = [next((f for f in one.flushes if f.flush == number), None) for one in over]
    came = [
        at for at, one in enumerate(over) if number == 1 or any(
            f.flush == number - 1 for f in one.flushes)
    ]  # fmt: skip
    shares = [seen[at].share if seen[at] is not None else 0.0 for at in came]  # type: ignore[union-attr]
    given = [one for one in seen if one is not None]
    share = _pool(shares, usual.share, 0.2)
    kg = _pool([one.kg_per_size for one in given], usual.kg_per_bag, 0.2)
    waits = [one.wait for one in given]
    wait = _pool([one.mean for one in waits], usual.wait.mean, usual.wait.sd / usual.wait.mean)
    crop = FlushCrop(
        max(kg.mean, 1e-6),
        min(max(share.mean, _SHARE_LIMITS[0]), _SHARE_LIMITS[1]),
        Duration(max(wait.mean, 0.5), _sd(waits, usual.wait.sd)),
    )
    return crop, [
        CropFigure("wait", number, usual.wait.mean, wait),
        CropFigure("share", number, usual.share, share),
        CropFigure("kg", number, usual.kg_per_bag, kg),
    ]


def _pool(batches: Sequence[float], mean: float, cv: float) -> Pooled:
    return pool_with_default(batches, default_mean=mean, default_cv=cv, worth=_WORTH)


def _sd(durations: Sequence[Duration], usual: float) -> float:
    """The spread within batches, drawn towards the default as the means are."""
    if not durations:
        return usual
    weight = len(durations) / (len(durations) + _WORTH)
    squares = weight * fmean(one.sd**2 for one in durations) + (1 - weight) * usual**2
    return max(0.5, float(squares**0.5))


def _from_range(days: tuple[float, float]) -> Duration:
    low, high = days
    return Duration((low + high) / 2, max(1.0, (high - low) / _MIDDLE_EIGHTY))


def _total(past: BatchPast) -> float:
    """Kg for each kg dry of a bag opened, all flushes."""
    total, reached = 0.0, 1.0
    for one in sorted(past.flushes, key=lambda flush: flush.flush):
        reached *= one.share
        total += reached * one.kg_per_size
    return total


def _total_of(crop: Crop) -> float:
    total, reached = 0.0, 1.0
    for one in crop.flushes:
        reached *= one.share
        total += reached * one.kg_per_bag
    return total
