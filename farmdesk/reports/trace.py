"""Where a thing came from and where it went, through splits and mixes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from farmdesk.domain.codes import code_of, kind_of
from farmdesk.store.links import Reached, walk_back, walk_forward
from farmdesk.store.names import names_of
from farmdesk.store.returns import returned_of_deliveries
from farmdesk.store.transaction import Reading


class Relative(NamedTuple):
    """A thing on the way: its code (a delivery's number), name, kind, steps away, and masses."""

    id: int
    code: str
    name: str
    kind: str
    step: int
    amount_mg: int
    returned_mg: int = 0
    """What came back of it from a customer; it never became stock again."""


@dataclass(frozen=True)
class Trace:
    """A thing's relatives both ways; `*_more` counts what a limit left out."""

    id: int
    code: str
    name: str
    back: tuple[Relative, ...]
    forward: tuple[Relative, ...]
    back_is_whole: bool = True
    forward_is_whole: bool = True


def trace(reading: Reading, thing_id: int, *, most: int | None = None) -> Trace:
    """Walk both ways from a thing; `most` caps each way for a screen."""
    back = walk_back(reading, thing_id, most=most)
    forward = walk_forward(reading, thing_id, most=most)
    ids = [thing_id] + [one.id for one in back] + [one.id for one in forward]
    names = names_of(reading, ids)
    returned = _returned(reading, ids)
    return Trace(
        id=thing_id,
        code=_code(thing_id, names),
        name=names.get(thing_id, ""),
        back=tuple(_relative(one, names) for one in back),
        forward=tuple(
            _relative(one, names)._replace(returned_mg=returned.get(one.id, 0)) for one in forward
        ),
        back_is_whole=most is None or len(back) < most,
        forward_is_whole=most is None or len(forward) < most,
    )


def _relative(one: Reached, names: dict[int, str]) -> Relative:
    name = names.get(one.id, "")
    code = name if one.kind == "delivery" else code_of(one.id)
    return Relative(one.id, code, name, one.kind, one.step, one.amount_mg)


def _returned(reading: Reading, ids: Sequence[int]) -> dict[int, int]:
    """What came back of the deliveries among these, of the lots among these."""
    if not any(kind_of(one) == "delivery" for one in ids):
        return {}
    return returned_of_deliveries(reading, set(ids))


def _code(thing_id: int, names: dict[int, str]) -> str:
    if kind_of(thing_id) == "delivery":
        return names.get(thing_id, str(thing_id))
    return code_of(thing_id)
