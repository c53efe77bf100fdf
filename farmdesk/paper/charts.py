"""A chart as a value: what is drawn the same way in a spreadsheet, on paper and on screen."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeGuard

ChartKind = Literal["bar", "line", "stacked", "dots"]

INKS = ("#2F4B3C", "#A9BFA4", "#7A5C3E", "#D9C8A9", "#56707F", "#C3CED4")
"""Inks for series in order; neighbours differ in lightness, so that they part in grey too."""


@dataclass(frozen=True)
class Series:
    """One named row of figures, None where there is none.

    `low` and `high`, where given, are the bounds of each figure: drawn as a band around a line,
    as a whisker on a bar or a dot.
    """

    name: str
    values: Sequence[float | None]
    low: Sequence[float | None] = ()
    high: Sequence[float | None] = ()

    @property
    def is_bounded(self) -> bool:
        """Whether its figures have bounds."""
        return bool(self.low) and bool(self.high)


@dataclass(frozen=True)
class Chart:
    """Bars side by side, lines, stacked bars or dots over categories, with the figures' unit.

    Of a chart of dots the first series is drawn as dots, the others as level lines to compare
    them with.
    """

    kind: ChartKind
    title: str
    categories: Sequence[str]
    series: Sequence[Series]
    unit: str = ""

    def __post_init__(self) -> None:
        for one in self.series:
            if len(one.values) != len(self.categories):
                raise ValueError(f"chart {self.title}: {one.name} does not fit the categories")
            for bounds in (one.low, one.high):
                if bounds and len(bounds) != len(self.categories):
                    raise ValueError(f"chart {self.title}: bounds of {one.name} do not fit")

    @property
    def extent(self) -> tuple[float, float]:
        """The lowest and highest figure to be drawn; bars always stand on zero."""
        if self.kind == "stacked":
            columns = list(zip(*(one.values for one in self.series), strict=True))
            highs = [sum(v for v in column if known(v) and v > 0) for column in columns]
            lows = [sum(v for v in column if known(v) and v < 0) for column in columns]
        else:
            highs = lows = [
                v for one in self.series for v in (*one.values, *one.low, *one.high) if known(v)
            ]
        if self.kind == "line" and lows and min(lows) > max(highs) / 2:
            return float(min(lows)), float(max(highs))
        return min([0.0, *lows]), max([0.0, *highs])


def spell_bounds(chart: Chart, *, low: str, high: str) -> Chart:
    """The chart with bounds as series of their own, named `{name}, low` and `{name}, high`.

    For programs and readers that know no bands and whiskers.
    """
    series: list[Series] = []
    for one in chart.series:
        series.append(Series(one.name, one.values))
        if one.is_bounded:
            series.append(Series(f"{one.name}, {low}", one.low))
            series.append(Series(f"{one.name}, {high}", one.high))
    return replace(chart, series=series)


def find_runs(series: Series) -> list[list[tuple[int, float, float]]]:
    """Stretches of (place, low, high) in which both bounds are known, for drawing a band."""
    runs: list[list[tuple[int, float, float]]] = [[]]
    for place, (low, high) in enumerate(zip(series.low, series.high, strict=True)):
        if known(low) and known(high):
            runs[-1].append((place, low, high))
        elif runs[-1]:
            runs.append([])
    return [run for run in runs if run]


def known(value: float | None) -> TypeGuard[float]:
    """Whether there is a figure that can be drawn."""
    return value is not None and math.isfinite(value)


def line_ink(index: int) -> str:
    """The ink of a line: the darker ones, as light inks are for surfaces; dashes part the rest."""
    return INKS[(0, 2, 4)[index % 3]]


def pick_ticks(low: float, high: float, count: int = 5) -> list[float]:
    """Round steps (1, 2, 2.5 or 5 times a power of ten) that cover low to high, about `count`."""
    span = high - low
    if span <= 0:
        return [low, low + 1.0]
    rough = span / max(1, count)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(m * power for m in (1.0, 2.0, 2.5, 5.0, 10.0) if m * power >= rough * 0.999)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [round(index * step, 12) for index in range(first, last + 1)]
