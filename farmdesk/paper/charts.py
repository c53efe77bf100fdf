"""A chart as a value: what is drawn the same way in a spreadsheet, on paper and on screen."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeGuard

ChartKind = Literal["bar", "line", "stacked"]

INKS = ("#2F4B3C", "#A9BFA4", "#7A5C3E", "#D9C8A9", "#56707F", "#C3CED4")
"""Inks for series in order; neighbours differ in lightness, so that they part in grey too."""


@dataclass(frozen=True)
class Series:
    """One named row of figures, None where there is none."""

    name: str
    values: Sequence[float | None]


@dataclass(frozen=True)
class Chart:
    """Bars side by side, lines, or stacked bars over categories, with the unit of the figures."""

    kind: ChartKind
    title: str
    categories: Sequence[str]
    series: Sequence[Series]
    unit: str = ""

    def __post_init__(self) -> None:
        for one in self.series:
            if len(one.values) != len(self.categories):
                raise ValueError(f"chart {self.title}: {one.name} does not fit the categories")

    @property
    def extent(self) -> tuple[float, float]:
        """The lowest and highest figure to be drawn; bars always stand on zero."""
        if self.kind == "stacked":
            columns = list(zip(*(one.values for one in self.series), strict=True))
            highs = [sum(v for v in column if known(v) and v > 0) for column in columns]
            lows = [sum(v for v in column if known(v) and v < 0) for column in columns]
        else:
            highs = lows = [v for one in self.series for v in one.values if known(v)]
        if self.kind == "line" and lows and min(lows) > max(highs) / 2:
            return float(min(lows)), float(max(highs))
        return min([0.0, *lows]), max([0.0, *highs])


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
