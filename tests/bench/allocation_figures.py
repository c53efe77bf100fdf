"""A week of 60 orders over 300 lots: the proposal against the solver alone on ready arrays."""

from __future__ import annotations

import random

from scipy.optimize import linprog
from timing import Figure, interleave, median

from farmdesk.arithmetic.allocation import LotOffer, Wanted, pair_up, propose_lots

KINDS = 10


def _week() -> tuple[list[LotOffer], list[Wanted]]:
    dice = random.Random(8)
    lots = [
        LotOffer(
            n, f"species {dice.randrange(KINDS)}", f"2026-03-{dice.randrange(8, 20):02d}",
            dice.randrange(1_000_000, 12_000_000), f"2026-03-0{dice.randrange(1, 8)}T09:00:00Z",
        )
        for n in range(300)
    ]  # fmt: skip
    wanted = [
        Wanted(
            n, f"species {dice.randrange(KINDS)}", dice.randrange(500_000, 12_000_000),
            f"2026-03-{dice.randrange(8, 13):02d}", dice.choice((0, 0, 2, 5)),
        )
        for n in range(180)
    ]  # fmt: skip
    return lots, wanted


def measure_allocation(*, rounds: int) -> list[Figure]:
    """60 orders of three lines each."""
    lots, wanted = _week()
    queue = sorted(lots, key=lambda lot: (lot.shelf_on or "", lot.picked_at, lot.id))
    ready = pair_up(queue, wanted)
    ours, floor = interleave(
        lambda _: propose_lots(lots, wanted),
        lambda _: linprog(
            ready.costs, A_ub=ready.limits, b_ub=ready.caps, bounds=(0, None), method="highs"
        ),
        rounds=rounds,
        block=5,
    )
    return [
        Figure(
            "allocate", "60 orders, 300 lots; floor: linprog alone", median(ours) * 1e3,
            median(floor) * 1e3, "ms", len(ours), 3, 1.5,
        )
    ]  # fmt: skip
