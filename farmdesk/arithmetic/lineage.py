"""How old a line is: transfers and grain generations, counted by walking its parents."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from farmdesk.errors import Refused, problem

LineKind = Literal["culture", "spawn"]


@dataclass(frozen=True)
class LineStep:
    """What a culture or spawn is and what it was made from.

    The starting counts are what was known when it came to the farm; they count for a line
    without parents only.
    """

    kind: LineKind
    parents: tuple[int, ...] = ()
    start_transfers: int = 0
    start_generation: int = 0


@dataclass(frozen=True)
class LineAge:
    """Plate or liquid transfers and grain generations (G1, G2 ...) since the stored master."""

    transfers: int
    generation: int

    @property
    def depth(self) -> int:
        """Both together."""
        return self.transfers + self.generation


def find_line_age(child: int, steps: Mapping[int, LineStep]) -> LineAge:
    """The age of a line; where several parents meet, the older count of each kind.

    A culture made from a culture is one transfer more, spawn made from anything one grain
    generation more. A parent that is not in `steps` is refused, and so is a circle.
    """
    ages: dict[int, LineAge] = {}
    open_ids: set[int] = set()
    waiting = [child]
    while waiting:
        one = waiting[-1]
        step = _look_up(one, steps)
        missing = [parent for parent in step.parents if parent not in ages]
        if one in ages or not missing:
            ages[one] = _age_of(step, ages)
            open_ids.discard(one)
            waiting.pop()
            continue
        open_ids.add(one)
        for parent in missing:
            if parent in open_ids:
                raise Refused(problem("lineage_circle", id=parent))
        waiting.extend(missing)
    return ages[child]


def _look_up(one: int, steps: Mapping[int, LineStep]) -> LineStep:
    step = steps.get(one)
    if step is None:
        raise Refused(problem("lineage_parent_unknown", id=one))
    return step


def _age_of(step: LineStep, ages: Mapping[int, LineAge]) -> LineAge:
    if not step.parents:
        return LineAge(step.start_transfers, step.start_generation)
    parents = [ages[parent] for parent in step.parents]
    transfers = max(parent.transfers for parent in parents)
    generation = max(parent.generation for parent in parents)
    if step.kind == "culture":
        return LineAge(transfers + 1, generation)
    return LineAge(transfers, generation + 1)
