"""Walking the lineage both ways, with the amounts that went along."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import BigInteger, Select, bindparam, select

from farmdesk.domain.codes import kind_of
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_LINK = TABLES["link"].c
WHOLE = 1_000_000_000
"""A limit that nothing reaches."""


class Reached(NamedTuple):
    """One thing reached on a walk: how many steps away, and what came to or from it there."""

    id: int
    step: int
    amount_mg: int

    @property
    def kind(self) -> str:
        """The kind of thing it is."""
        return kind_of(self.id)


def walk_back(reading: Reading, start: int, *, most: int | None = None) -> list[Reached]:
    """Everything a thing came from, nearest first; amounts are what each gave on this way."""
    return _walk(reading, start, back=True, most=most)


def walk_forward(reading: Reading, start: int, *, most: int | None = None) -> list[Reached]:
    """Everything a thing went into, nearest first; amounts are what each took on this way."""
    return _walk(reading, start, back=False, most=most)


def _walk(reading: Reading, start: int, *, back: bool, most: int | None) -> list[Reached]:
    rows = reading.rows(
        ("way", back), lambda: _way(back=back), start=start, most=WHOLE if most is None else most
    )
    onward: dict[int, list[int]] = {}
    amounts: dict[int, int] = {}
    for near, far, amount in rows:
        if near in onward:
            onward[near].append(far)
        else:
            onward[near] = [far]
        amounts[far] = amounts.get(far, 0) + amount
    reached = [
        Reached(one, step, amounts[one]) for one, step in _steps(start, onward) if one != start
    ]
    return reached if most is None else reached[:most]


def _steps(start: int, onward: dict[int, list[int]]) -> list[tuple[int, int]]:
    """Each thing with its least number of steps from the start, nearest first."""
    seen = {start}
    found: list[tuple[int, int]] = []
    level: Sequence[int] = [start]
    step = 0
    while level:
        step += 1
        following: list[int] = []
        for near in level:
            for far in onward.get(near, ()):
                if far not in seen:
                    seen.add(far)
                    following.append(far)
                    found.append((far, step))
        level = following
    return found


def _way(*, back: bool) -> Select[Any]:
    """All links on the way from `start`: (near end, far end, amount), for `most` near ends."""
    near, far = (_LINK.child, _LINK.parent) if back else (_LINK.parent, _LINK.child)
    way = select(bindparam("start", type_=BigInteger).label("id")).cte("way", recursive=True)
    way = way.union(select(far).where(near == way.c.id))
    some = select(way.c.id).limit(bindparam("most", type_=BigInteger)).subquery()
    return (
        select(near, far, _LINK.amount_mg).select_from(some).join(TABLES["link"], near == some.c.id)
    )
