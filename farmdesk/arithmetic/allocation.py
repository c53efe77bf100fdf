"""Which lots for which order lines, all lines together, earliest shelf date first.

A transportation problem: every line draws on the lots that it may have, no lot gives more than it
holds. Solved as one linear programme, so a strict customer (who asks for days of life left) never
strands old stock that a lenient one could have had, and no kilo is promised twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_array

from farmdesk.arithmetic.limits import check_not_negative
from farmdesk.errors import refuse_any
from farmdesk.quantities.times import day_plus

_NEVER = "9999-12-31"
_LINE_STEP = 0.25
"""All of the preference for the first line over the last; small against filling a line at all."""
_SUBSTITUTE_STEP = 0.05
_LOT_STEP = 5e-4
"""All of the preference for the first lot over the last; small against one line over the next."""


@dataclass(frozen=True)
class LotOffer:
    """A lot on hand: what it is, the last day of its life, and what is free, mg or packs.

    `kind` is whatever must match the line (a product, or species and grade as one text). A lot
    whose end nobody knows (None) goes last, and to lines only that ask for no life.
    """

    id: int
    kind: str
    shelf_on: str | None
    free: int
    picked_at: str = ""
    is_held: bool = False


@dataclass(frozen=True)
class Wanted:
    """An order line: how much of which kind, and how many days it must last from delivery.

    `substitutes` are kinds that the customer agreed to take instead, best first.
    """

    id: int
    kind: str
    amount: int
    due_on: str
    minimum_life_days: int = 0
    substitutes: tuple[str, ...] = ()

    @cached_property
    def lasts_until(self) -> str:
        """The earliest shelf date that the customer accepts."""
        return day_plus(self.due_on, self.minimum_life_days)

    def may_have(self, lot: LotOffer) -> bool:
        """Whether the customer takes this lot."""
        if lot.is_held or (lot.kind != self.kind and lot.kind not in self.substitutes):
            return False
        if lot.shelf_on is None:
            return not self.minimum_life_days
        return lot.shelf_on >= self.lasts_until


@dataclass(frozen=True)
class LotTake:
    """An amount proposed from one lot."""

    lot: int
    amount: int


@dataclass(frozen=True)
class LineProposal:
    """What one line gets, earliest shelf date first, and what it is short."""

    line: int
    takes: tuple[LotTake, ...]
    short: int


@dataclass(frozen=True)
class Pairs:
    """The linear programme: one variable for each line and a lot that it may have.

    `lines`, `lots`: positions of each pair, int arrays of equal length. Minimise `costs` x subject
    to `limits` x <= `caps`: first a row for each lot, then one for each line. `unit` is how many
    mg or packs one unit of x is.
    """

    lines: np.ndarray[Any, np.dtype[np.int64]]
    lots: np.ndarray[Any, np.dtype[np.int64]]
    costs: np.ndarray[Any, np.dtype[np.float64]]
    limits: Any  # a scipy.sparse.csr_array, which the stubs of linprog do not know
    caps: np.ndarray[Any, np.dtype[np.float64]]
    unit: float


def propose_lots(lots: Sequence[LotOffer], wanted: Sequence[Wanted]) -> tuple[LineProposal, ...]:
    """A proposal for every line, in the order of the lines.

    As much as can be is filled in all. Where there is too little, lines that are due earlier come
    first, then in the order given. Lots are used up by shelf date, then pick time, then number.
    """
    refuse_any(
        [
            *(check_not_negative("amount free", lot.free) for lot in lots),
            *(check_not_negative("amount asked", line.amount) for line in wanted),
            *(check_not_negative("minimum life", line.minimum_life_days) for line in wanted),
        ]
    )
    queue = sorted(
        (lot for lot in lots if lot.free),
        key=lambda lot: (lot.shelf_on or _NEVER, lot.picked_at, lot.id),
    )
    pairs = pair_up(queue, wanted)
    given = _solve(pairs, queue, wanted) if len(pairs.lines) else {}
    return tuple(_proposal(line, queue, given.get(place, {})) for place, line in enumerate(wanted))


def pair_up(queue: Sequence[LotOffer], wanted: Sequence[Wanted]) -> Pairs:
    """The linear programme for lots in the order of their use."""
    by_kind: dict[str, list[int]] = {}
    for at, lot in enumerate(queue):
        by_kind.setdefault(lot.kind, []).append(at)
    order = sorted(range(len(wanted)), key=lambda place: wanted[place].due_on)
    rank = {place: turn for turn, place in enumerate(order)}
    lines, lots, costs = [], [], []
    for place, line in enumerate(wanted):
        for step, kind in enumerate((line.kind, *line.substitutes)):
            for at in by_kind.get(kind, ()):
                if line.may_have(queue[at]):
                    lines.append(place)
                    lots.append(at)
                    costs.append(
                        -1.0
                        + _LINE_STEP * rank[place] / max(len(wanted), 1)
                        + _SUBSTITUTE_STEP * (step > 0) * (1 + step / 10)
                        + _LOT_STEP * at / max(len(queue), 1)
                    )
    return _programme(lines, lots, costs, queue, wanted)


def _programme(
    lines: list[int],
    lots: list[int],
    costs: list[float],
    queue: Sequence[LotOffer],
    wanted: Sequence[Wanted],
) -> Pairs:
    count, many = len(lines), len(queue)
    line_at, lot_at = np.array(lines, np.int64), np.array(lots, np.int64)
    rows = np.concatenate([lot_at, many + line_at])
    columns = np.concatenate([np.arange(count)] * 2) if count else np.zeros(0, np.int64)
    shape = (many + len(wanted), count)
    limits = coo_array((np.ones(2 * count), (rows, columns)), shape=shape).tocsr()
    caps = np.array([lot.free for lot in queue] + [line.amount for line in wanted], np.float64)
    unit = max(float(caps.max()) / 1e6, 1.0) if caps.size else 1.0
    return Pairs(line_at, lot_at, np.array(costs), limits, caps / unit, unit)


def _solve(
    pairs: Pairs, queue: Sequence[LotOffer], wanted: Sequence[Wanted]
) -> dict[int, dict[int, int]]:
    """Whole amounts for each line by lot; what rounding leaves is filled in the same order."""
    found = linprog(
        pairs.costs, A_ub=pairs.limits, b_ub=pairs.caps, bounds=(0, None), method="highs"
    )
    if found.x is None:
        raise ArithmeticError(f"the allocation was not solved: {found.message}")
    amounts = np.floor(found.x * pairs.unit + 1e-6).astype(np.int64)
    free = [lot.free for lot in queue]
    left = [line.amount for line in wanted]
    given: dict[int, dict[int, int]] = {}
    solved = sorted(range(len(amounts)), key=lambda one: (pairs.lots[one], pairs.lines[one]))
    for fill_rest in (False, True):
        for one in solved:
            place, at = int(pairs.lines[one]), int(pairs.lots[one])
            ask = left[place] if fill_rest else int(amounts[one])
            amount = min(ask, free[at], left[place])
            if amount > 0:
                mine = given.setdefault(place, {})
                mine[at] = mine.get(at, 0) + amount
                free[at] -= amount
                left[place] -= amount
    return given


def _proposal(line: Wanted, queue: Sequence[LotOffer], mine: dict[int, int]) -> LineProposal:
    takes = tuple(LotTake(queue[at].id, mine[at]) for at in sorted(mine))
    return LineProposal(line.id, takes, line.amount - sum(take.amount for take in takes))
