"""Walking the lineage both ways, with the amounts that went along."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, bindparam, select

from farmdesk.domain.codes import kind_of
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_LINK = TABLES["link"].c


@dataclass(frozen=True)
class Reached:
    """One thing reached on a walk: how many steps away, and what came to or from it there."""

    id: int
    kind: str
    step: int
    amount_mg: int


def walk_back(reading: Reading, start: int, *, most: int | None = None) -> list[Reached]:
    """Everything a thing came from, nearest first; amounts are what each gave on this way."""
    return _walk(reading, start, back=True, most=most)


def walk_forward(reading: Reading, start: int, *, most: int | None = None) -> list[Reached]:
    """Everything a thing went into, nearest first; amounts are what each took on this way."""
    return _walk(reading, start, back=False, most=most)


def _walk(reading: Reading, start: int, *, back: bool, most: int | None) -> list[Reached]:
    """Breadth first, a level at a time: each level is one question for up to 500 things."""
    seen: dict[int, int] = {start: 0}
    amounts: dict[int, int] = {}
    level = [start]
    step = 0
    while level and (most is None or len(seen) <= most):
        step += 1
        following: list[int] = []
        for found, amount in _neighbours(reading, level, back=back):
            if found == start:
                continue
            amounts[found] = amounts.get(found, 0) + amount
            if found not in seen:
                seen[found] = step
                following.append(found)
        level = following
    del seen[start]
    reached = [Reached(one, kind_of(one), at, amounts[one]) for one, at in seen.items()]
    return reached if most is None else reached[:most]


def _neighbours(reading: Reading, level: Sequence[int], *, back: bool) -> Iterable[tuple[int, int]]:
    for at in range(0, len(level), 500):
        part = level[at : at + 500]
        # A few lengths of lists, padded with the last id, keep the number of statements small.
        size = next(n for n in (1, 20, 500) if len(part) <= n)
        padded = list(part) + [part[-1]] * (size - len(part))
        values = {f"i{n}": one for n, one in enumerate(padded)}
        for row in reading.rows(("step", back, size), lambda s=size: _step(s, back), **values):
            yield row[0], row[1]


def _step(size: int, back: bool) -> Select[Any]:
    near, far = (_LINK.child, _LINK.parent) if back else (_LINK.parent, _LINK.child)
    wanted: list[Any] = [bindparam(f"i{n}") for n in range(size)]
    return select(far, _LINK.amount_mg).where(near.in_(wanted)).order_by(near, far)
