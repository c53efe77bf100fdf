"""A species' times and yields learnt from the farm's own batches, drawn towards the default.

Everything is by batch: a batch is one observation, however many bags it has.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot, prod
from statistics import fmean

from farmdesk.arithmetic.crops import Crop, Duration, FlushCrop, Pooled, pool_with_default

_WORTH = 4.0
_SHARE_LIMITS = (0.02, 0.999)
_CV_LIMITS = (0.05, 0.6)
_MIDDLE_EIGHTY = 2.563
"""Standard deviations between the 10 and the 90 % point of a normal distribution."""
_OPENING_DAYS, _CLEAN_CV, _SHARE_CV = 1.0, 0.08, (0.04, 0.15)
"""How whole batches differ before the farm knows better: common practice, no source."""
_WITHIN, _BETWEEN = 0.5, 0.87
"""Parts of a range's standard deviation within batches and between them (squares add to 1)."""
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
    """What a batch showed: incubation when none incubates any more, flushes once they are over.

    `is_over` says that no more flushes come.
    """

    species: str
    batch: int
    incubation: Duration | None = None
    clean_share: float | None = None
    opening: Duration | None = None
    flushes: tuple[FlushPast, ...] = ()
    is_over: bool = False


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
        flushes.append(FlushCrop(kg, giving[-1], wait, batch_days=_apart(wait)))
    grows = _from_range(incubation)
    return Crop(
        species, grows, clean_share, tuple(flushes), batch_days=_apart(grows),
        opening_days=_OPENING_DAYS, clean_cv=_CLEAN_CV, unknown=1 / (_WORTH + 1),
    )  # fmt: skip


def learn_crop(default: Crop, past: Sequence[BatchPast]) -> LearntCrop:
    """The default and the farm's batches drawn together, figure by figure.

    The crop's source is that of its yields: "farm" from eight finished batches on.
    """
    mine = [one for one in past if one.species == default.species]
    grown = [one.incubation for one in mine if one.incubation is not None]
    late_cv = default.batch_days / default.incubation.mean
    days = _pool([one.mean for one in grown], default.incubation.mean, late_cv)
    clean = _pool([one.clean_share for one in mine if one.clean_share is not None],
                  default.clean_share, default.clean_cv)  # fmt: skip
    opened = [one.opening for one in mine if one.opening is not None]
    opening_cv = default.opening_days / default.opening.mean
    opening = _pool([one.mean for one in opened], default.opening.mean, opening_cv)
    over = [one for one in mine if one.flushes]
    totals = [_total(one) for one in over if one.is_over]
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
        opening_days=_days_apart(opening, default.opening_days),
        clean_cv=min(clean.cv, _CV_LIMITS[1]),
        unknown=1 / (max(len(grown), len(over)) + _WORTH + 1),
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
    """One flush; a batch that is over and did not give it counts with a share of none."""
    seen = [next((f for f in one.flushes if f.flush == number), None) for one in over]
    came = [
        at
        for at, one in enumerate(over)
        if seen[at] is not None or (one.is_over and len(one.flushes) == number - 1)
    ]
    shares = [one.share if (one := seen[at]) is not None else 0.0 for at in came]
    given = [one for one in seen if one is not None]
    share = _pool(shares, usual.share, _SHARE_CV[min(number, 2) - 1])
    kg = _pool([one.kg_per_size for one in given], usual.kg_per_bag, 0.2)
    waits = [one.wait for one in given]
    wait = _pool([one.mean for one in waits], usual.wait.mean, usual.batch_days / usual.wait.mean)
    crop = FlushCrop(
        max(kg.mean, 1e-6),
        min(max(share.mean, _SHARE_LIMITS[0]), _SHARE_LIMITS[1]),
        Duration(max(wait.mean, 0.5), _sd(waits, usual.wait.sd)),
        batch_days=_days_apart(wait, usual.batch_days),
        batch_cv=min(max(hypot(kg.cv, share.cv), _CV_LIMITS[0]), _CV_LIMITS[1]),
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


def _days_apart(pooled: Pooled, usual: float) -> float:
    """How many days whole batches differ."""
    found = pooled.cv * pooled.mean if pooled.batches else usual
    return min(max(found, 0.3), 8.0)


def _from_range(days: tuple[float, float]) -> Duration:
    """A range of the catalogue, most of which is between batches, not between their bags."""
    low, high = days
    return Duration((low + high) / 2, _WITHIN * max(1.5, (high - low) / _MIDDLE_EIGHTY))


def _apart(duration: Duration) -> float:
    """How many days whole batches differ by a range of the catalogue."""
    return duration.sd / _WITHIN * _BETWEEN


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
