"""The day book's entries: what changed, in a form that knows its own opposite."""

from __future__ import annotations

import json
import secrets
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from farmdesk.domain.cells import Cells


@dataclass(frozen=True)
class Entry:
    """One thing changed by one act.

    `before` is None when the thing was made, `after` is None when it was taken away; otherwise
    both hold just the fields that changed. `other` is the parent of a link, else 0.
    """

    number: int
    act: str
    line: int
    kind: str
    thing: str
    subject: int
    other: int
    before: Cells | None
    after: Cells | None
    happened_at: str
    written_at: str
    person: int | None
    station: str
    undoes: int | None
    note: str


State = dict[tuple[str, int, int], Cells]
"""All things of a farm: (kind, id, parent id for links) to cells."""


def inverse(entry: Entry) -> tuple[Cells | None, Cells | None]:
    """The (before, after) that takes an entry back."""
    return entry.after, entry.before


def fold(entries: Iterable[Entry]) -> State:
    """The state of the farm that a day book amounts to; raises ValueError where it is torn."""
    state: State = {}
    for entry in entries:
        fold_one(state, entry)
    return state


def fold_one(state: State, entry: Entry) -> None:
    """Apply one entry to a state; ValueError when it does not follow from what was before."""
    key = (entry.thing, entry.subject, entry.other)
    now = state.get(key)
    if entry.before is None:
        if now is not None or entry.after is None:
            raise ValueError(f"entry {entry.number} makes {key} twice")
        state[key] = dict(entry.after)
        return
    if now is None or any(now.get(name) != value for name, value in entry.before.items()):
        raise ValueError(f"entry {entry.number} does not follow from what {key} was")
    if entry.after is None:
        del state[key]
    else:
        now.update(entry.after)


def write_cells(cells: Mapping[str, object] | None) -> str:
    """Cells as text, always the same for the same cells; nothing for None."""
    if cells is None:
        return ""
    return json.dumps(cells, ensure_ascii=False, separators=(",", ":"))


def read_cells(text: str) -> Cells | None:
    """Cells from their text; ValueError when it is not an object of plain cells."""
    if text == "":
        return None
    value = json.loads(text)
    if not isinstance(value, dict):
        raise ValueError("not an object")
    if not all(v is None or type(v) in (int, str) for v in value.values()):
        raise ValueError("a cell is neither number nor text")
    return value


def new_act_id() -> str:
    """An id for an act: milliseconds, then chance, laid out as a version 7 UUID (RFC 9562).

    Ids that grow with time keep the day book's index writing at one end: a scan on a farm of
    millions of entries touches as few pages as on a small one.
    """
    stamp = time.time_ns() // 1_000_000
    chance = secrets.randbits(74)
    value = stamp << 80 | 7 << 76 | (chance >> 62) << 64 | 2 << 62 | chance & (1 << 62) - 1
    return f"{value:032x}"
