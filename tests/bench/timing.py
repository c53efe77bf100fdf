"""Interleaved timing: ours and the floor in turn, so that drift of the machine hits both alike."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Figure:
    """One measured ratio: medians (or 99th percentiles) in `unit`, over n calls each."""

    key: str
    what: str
    ours: float
    floor: float
    unit: str
    n: int
    must: float
    stretch: float

    @property
    def ratio(self) -> float:
        """How many times the floor ours takes."""
        return self.ours / self.floor


def percentile(times: Sequence[float], percent: float) -> float:
    """The nearest-rank percentile of some times."""
    ordered = sorted(times)
    at = round(percent / 100 * (len(ordered) - 1))
    return ordered[at]


def interleave(
    ours: Callable[[int], object], floor: Callable[[int], object], *, rounds: int, block: int
) -> tuple[list[float], list[float]]:
    """Times of both, in blocks that take turns; the first call of a block is not counted."""
    taken: tuple[list[float], list[float]] = ([], [])
    turn = 0
    for each in range(rounds):
        order = (0, 1) if each % 2 == 0 else (1, 0)
        for side in order:
            function = (ours, floor)[side]
            function(turn)
            turn += 1
            for _ in range(block):
                began = time.perf_counter()
                function(turn)
                taken[side].append(time.perf_counter() - began)
                turn += 1
    return taken


def median(times: Sequence[float]) -> float:
    """The median time."""
    return statistics.median(times)
