"""Which spawn goes into which bag of a batch: a clean split by ranges of bags, or a mix."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from farmdesk.arithmetic.portions import split_evenly
from farmdesk.errors import Problem, Refused, problem


@dataclass(frozen=True)
class SpawnUse:
    """An amount of one bag of spawn for the bags `first` to `last`, or mixed over all bags."""

    spawn: int
    amount_mg: int
    first: int | None = None
    last: int | None = None

    @property
    def is_mixed(self) -> bool:
        """Whether it is spread over all bags of the batch."""
        return self.first is None and self.last is None


def share_spawn(uses: Sequence[SpawnUse], bags: int) -> dict[tuple[int, int], int]:
    """(spawn id, bag number) to mg; the shares of each use add up to its amount exactly.

    Raises Refused when ranges overlap, leave a bag out, or reach beyond the batch.
    """
    found = [*_check_amounts(uses), *_check_ranges(uses, bags)]
    if found:
        raise Refused(*found)
    shares: dict[tuple[int, int], int] = {}
    for use in uses:
        first, last = _range_of(use, bags)
        for at, amount in enumerate(split_evenly(use.amount_mg, last - first + 1)):
            key = (use.spawn, first + at)
            shares[key] = shares.get(key, 0) + amount
    return shares


def _range_of(use: SpawnUse, bags: int) -> tuple[int, int]:
    return 1 if use.first is None else use.first, bags if use.last is None else use.last


def _check_amounts(uses: Sequence[SpawnUse]) -> list[Problem]:
    if not uses:
        return [problem("no_spawn_named", field="spawn")]
    if any(use.amount_mg <= 0 for use in uses):
        return [problem("spawn_amount_empty", field="spawn")]
    return []


def _check_ranges(uses: Sequence[SpawnUse], bags: int) -> list[Problem]:
    """Each bag must be in one range; a mixed use over all bags may stand beside the ranges."""
    ranged = [use for use in uses if not use.is_mixed]
    covered = [0] * (bags + 1)
    for use in ranged:
        first, last = _range_of(use, bags)
        if not 1 <= first <= last <= bags:
            return [
                problem("bag_range_wrong", field="spawn", first=first, last=last, bags=bags),
            ]
        for number in range(first, last + 1):
            covered[number] += 1
    found = []
    twice = [number for number in range(1, bags + 1) if covered[number] > 1]
    if twice:
        found.append(problem("bag_in_two_ranges", field="spawn", bag=twice[0]))
    left_out = [number for number in range(1, bags + 1) if not covered[number]]
    if ranged and left_out and len(ranged) == len(uses):
        found.append(problem("bag_in_no_range", field="spawn", bag=left_out[0]))
    return found
