"""How many loads of a steriliser a batch needs, and how long they take."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.arithmetic.limits import check_not_negative, check_positive
from farmdesk.errors import refuse_any


@dataclass(frozen=True)
class HeatLoads:
    """Full and part loads, the blocks in the last one, and hours for all of them in turn."""

    loads: int
    last_blocks: int
    hours: Decimal


def count_loads(blocks: int, *, blocks_per_load: int, hours_per_load: Decimal) -> HeatLoads:
    """Loads for so many blocks: ceil(blocks / blocks per load)."""
    refuse_any(
        [
            check_not_negative("blocks", blocks),
            check_positive("blocks in a load", blocks_per_load),
            check_positive("hours of a load", hours_per_load),
        ]
    )
    loads = -(-blocks // blocks_per_load)
    last = blocks - (loads - 1) * blocks_per_load if loads else 0
    return HeatLoads(loads, last, loads * hours_per_load)
