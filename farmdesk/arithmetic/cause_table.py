"""Bags counted by every cause at once, as columns, so that thousands of runs compare quickly."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Counts = NDArray[np.int64]
# A level whose chi-square against all others stays below this has p > 0.15 and is no suspect.
_SUSPICIOUS = 2.0


@dataclass(frozen=True)
class Level:
    """One level of one cause, its place in that cause's column, and its counts."""

    cause: str
    name: str
    code: int
    made: int
    contaminated: int


@dataclass(frozen=True)
class CauseTable:
    """A column of level codes for each cause, and the counts of each group of bags."""

    causes: tuple[str, ...]
    names: Mapping[str, tuple[str, ...]]
    codes: Mapping[str, Counts]
    group_made: Counts
    group_contaminated: Counts

    @classmethod
    def of(cls, groups: Sequence[tuple[Mapping[str, str], int, int]]) -> CauseTable:
        """Make columns of groups (levels, made, contaminated); a cause not known is a level."""
        causes = tuple(dict.fromkeys(cause for levels, _, _ in groups for cause in levels))
        names: dict[str, tuple[str, ...]] = {}
        codes: dict[str, Counts] = {}
        for cause in causes:
            column = [levels.get(cause, "") for levels, _, _ in groups]
            place = {name: code for code, name in enumerate(dict.fromkeys(column))}
            names[cause] = tuple(place)
            codes[cause] = np.array([place[name] for name in column], dtype=np.int64)
        made = np.array([made for _, made, _ in groups], dtype=np.int64)
        bad = np.array([bad for _, _, bad in groups], dtype=np.int64)
        return cls(causes, names, codes, made, bad)

    @property
    def made(self) -> int:
        """All bags."""
        return int(self.group_made.sum())

    @property
    def contaminated(self) -> int:
        """All contaminated bags."""
        return int(self.group_contaminated.sum())

    def count_looks(self) -> int:
        """Comparisons that are taken: a cause with two levels needs but one."""
        numbers = [len(self.names[cause]) for cause in self.causes]
        return sum(1 if number == 2 else number for number in numbers if number > 1)

    def find_levels(self) -> list[Level]:
        """Every known level of every cause that has several."""
        found = []
        for cause in self.causes:
            names = self.names[cause]
            if len(names) < 2:
                continue
            made = self._sum(cause, self.group_made)
            bad = self._sum(cause, self.group_contaminated)
            found += [
                Level(cause, name, code, int(made[code]), int(bad[code]))
                for code, name in enumerate(names)
                if name
            ]
        return found

    def find_worse(self, levels: Sequence[Level]) -> list[Level]:
        """The levels that did worse than all other bags by more than an ordinary whim."""
        return [one for one in levels if self._measure_excess(one) > _SUSPICIOUS]

    def split(self, level: Level, cause: str) -> Counts:
        """One row for each level of another cause, as `Stratum` has it; rows of no bags out."""
        inside = self.codes[level.cause] == level.code
        columns = [
            self._sum(cause, np.where(chosen, counts, 0))
            for chosen in (inside, ~inside)
            for counts in (self.group_contaminated, self.group_made)
        ]
        rows = np.stack(columns, axis=1)
        return rows[rows.any(axis=1)]

    def name_of(self, level: Level, cause: str) -> str:
        """What another cause calls the bags of a level."""
        inside = self.codes[level.cause] == level.code
        return self.names[cause][int(self.codes[cause][inside][0])]

    def _measure_excess(self, level: Level) -> float:
        made, bad = self.made, self.contaminated
        others = made - level.made
        excess = level.contaminated - level.made * bad / made
        spread = level.made * others * bad * (made - bad) / made**3
        return excess**2 / spread if spread and excess > 0 else 0.0

    def _sum(self, cause: str, counts: Counts) -> Counts:
        summed = np.bincount(self.codes[cause], weights=counts, minlength=len(self.names[cause]))
        return summed.astype(np.int64)
