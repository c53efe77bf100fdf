"""Walking the lineage both ways, with the amounts that went along."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Select, bindparam, select

from farmdesk.domain.codes import kind_of
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_LINK = TABLES["link"].c
_SIZES = (1, 8, 60, 200, 500)
_NAMES = tuple(f"i{at}" for at in range(_SIZES[-1]))


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
    """Breadth first, a level at a time: each link is read once, by the index of its near end."""
    steps: dict[int, int] = {start: 0}
    amounts: dict[int, int] = {start: 0}
    level: Sequence[int] = [start]
    step = 0
    while level and (most is None or len(steps) <= most):
        step += 1
        following: list[int] = []
        for far, amount in _links_from(reading, level, back=back):
            if far in steps:
                amounts[far] += amount
            else:
                steps[far] = step
                amounts[far] = amount
                following.append(far)
        level = following
    del steps[start]
    reached = [Reached(one, at, amounts[one]) for one, at in steps.items()]
    return reached if most is None else reached[:most]


def _links_from(reading: Reading, level: Sequence[int], *, back: bool) -> list[Any]:
    found: list[Any] = []
    for at in range(0, len(level), _SIZES[-1]):
        part = level[at : at + _SIZES[-1]]
        size = next(one for one in _SIZES if len(part) <= one)
        # Padded with an id that is none, so that a few statements serve every length.
        values = dict(zip(_NAMES[:size], [*part, *[0] * (size - len(part))], strict=True))
        found += reading.rows(("links", back, size), _maker(size, back=back), **values)
    return found


def _maker(size: int, *, back: bool) -> Callable[[], Select[Any]]:
    def make() -> Select[Any]:
        near, far = (_LINK.child, _LINK.parent) if back else (_LINK.parent, _LINK.child)
        wanted: list[Any] = [bindparam(name) for name in _NAMES[:size]]
        return select(far, _LINK.amount_mg).where(near.in_(wanted))

    return make
