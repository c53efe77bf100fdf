"""Whether the farm's tables say what its day book says, and every lot adds up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from farmdesk.store.audit import CHECKS, Difference
from farmdesk.store.farm_store import FarmStore


@dataclass(frozen=True)
class Verdict:
    """What a check found; clean when there are no differences."""

    entries: int
    differences: tuple[Difference, ...]

    @property
    def is_clean(self) -> bool:
        """Whether nothing differs."""
        return not self.differences


def check_farm(
    store: FarmStore, tell: Callable[[str, int], None] = lambda _name, _done: None
) -> Verdict:
    """Fold the day book again and compare; `tell` hears how far it is."""
    found: list[Difference] = []
    with store.reading() as reading:
        for check in CHECKS:
            found.extend(check(reading, tell))
        return Verdict(reading.last_number(), tuple(found))
