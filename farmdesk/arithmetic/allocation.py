"""Which lots for which order lines: earliest shelf date first, lenient customers before strict.

A lenient customer takes early lots that a strict one could not take anyway, so late lots stay
for the strict. Nothing is promised that is not there: what is short is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from farmdesk.arithmetic.limits import check_not_negative, refuse_any
from farmdesk.quantities.times import day_plus


@dataclass(frozen=True)
class LotOffer:
    """A lot on hand: what it is, the last day of its life, and what is free, mg or packs.

    `kind` is whatever must match the line (a product, or species and grade as one text).
    """

    id: int
    kind: str
    shelf_on: str
    free: int
    picked_at: str = ""
    is_held: bool = False


@dataclass(frozen=True)
class Wanted:
    """An order line: how much of which kind, and how many days it must last from delivery."""

    id: int
    kind: str
    amount: int
    due_on: str
    minimum_life_days: int = 0

    @property
    def lasts_until(self) -> str:
        """The earliest shelf date that the customer accepts."""
        return day_plus(self.due_on, self.minimum_life_days)


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


def propose_lots(lots: Sequence[LotOffer], wanted: Sequence[Wanted]) -> tuple[LineProposal, ...]:
    """A proposal for every line, in the order of the lines.

    Lots that are held, or end before a customer's minimum life, are left out. Ties go by pick
    time, then lot number; equally lenient lines go by due day, then in the order given.
    """
    refuse_any(
        [
            *(check_not_negative("amount free", lot.free) for lot in lots),
            *(check_not_negative("amount asked", line.amount) for line in wanted),
            *(check_not_negative("minimum life", line.minimum_life_days) for line in wanted),
        ]
    )
    queue = sorted(
        (lot for lot in lots if not lot.is_held),
        key=lambda lot: (lot.shelf_on, lot.picked_at, lot.id),
    )
    free = {lot.id: lot.free for lot in queue}
    answers = {
        place: _fill(wanted[place], queue, free)
        for place in sorted(
            range(len(wanted)), key=lambda place: (wanted[place].lasts_until, wanted[place].due_on)
        )
    }
    return tuple(answers[place] for place in range(len(wanted)))


def _fill(line: Wanted, queue: Sequence[LotOffer], free: dict[int, int]) -> LineProposal:
    missing = line.amount
    takes = []
    for lot in queue:
        if lot.kind != line.kind or lot.shelf_on < line.lasts_until:
            continue
        amount = min(missing, free[lot.id])
        if amount:
            takes.append(LotTake(lot.id, amount))
            free[lot.id] -= amount
            missing -= amount
    return LineProposal(line.id, tuple(takes), missing)
