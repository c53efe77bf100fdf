"""Questions to the day book about one thing's life, and about acts with many entries."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Select, bindparam, func, select

from farmdesk.domain.codes import DIGITS
from farmdesk.domain.events import Entry
from farmdesk.store.names import names_of
from farmdesk.store.returns import entries_of_returns
from farmdesk.store.schema import DAYBOOK, TABLES
from farmdesk.store.transaction import Reading

_BAG = TABLES["bag"].c
_DAY = DAYBOOK.c
_LINK = TABLES["link"].c
_AT_ONCE = 400
_LABELS = ("name", "title", "code", "initials")


class Heap(NamedTuple):
    """Entries of one kind in one act: how many, and the number of the first."""

    act: str
    kind: str
    first: int
    entries: int


def heaps_of_acts(reading: Reading, acts: Sequence[str]) -> list[Heap]:
    """The entries of these acts counted by kind, in the order in which each kind began."""
    found: list[Heap] = []
    for part in _parts(acts):
        rows = reading.run(_heaps().where(_DAY.act.in_(part)))
        found += [Heap(row[0], row[1], int(row[2]), int(row[3])) for row in rows]
    return sorted(found, key=lambda heap: heap.first)


def heaps_about_bags(reading: Reading, batch: int) -> list[Heap]:
    """What was done to the bags of a batch, each act's entries counted by kind."""
    bags = select(_BAG.id).where(_BAG.batch == bindparam("batch"))
    statement = _heaps().where(_DAY.subject.in_(bags), _DAY.thing == "bag")
    rows = reading.run(statement, {"batch": batch})
    found = [Heap(row[0], row[1], int(row[2]), int(row[3])) for row in rows]
    return sorted(found, key=lambda heap: heap.first)


def heaps_about(reading: Reading, kind: str, thing: int, limit: int) -> list[Heap]:
    """The newest entries about a thing, what went into it too, each a heap, in order."""
    statement = (
        select(_DAY.act, _DAY.kind, _DAY.number)
        .where(_DAY.subject == bindparam("thing"), _DAY.thing.in_((kind, "link")))
        .order_by(_DAY.number.desc())
        .limit(limit)
    )
    if kind not in DIGITS and kind != "delivery":
        statement = statement.where(_DAY.thing != "link")
    rows = reading.run(statement, {"thing": thing})
    return [Heap(row[0], row[1], int(row[2]), 1) for row in reversed(rows)]


def heaps_beside(reading: Reading, thing: int) -> list[Heap]:
    """Entries of a thing's labels and notes, of stock taken out of it, and of what came back."""
    found: list[Heap] = []
    for kind, column in (("printing", "subject"), ("removal", "lot"), ("note", "subject")):
        table = TABLES[kind]
        rows_of_it = select(table.c.id).where(table.c[column] == bindparam("thing"))
        statement = select(_DAY.act, _DAY.kind, _DAY.number).where(
            _DAY.subject.in_(rows_of_it), _DAY.thing == kind
        )
        rows = reading.run(statement, {"thing": thing})
        found += [Heap(row[0], row[1], int(row[2]), 1) for row in rows]
    return found + [Heap(*one, 1) for one in entries_of_returns(reading, thing)]


def heaps_into(reading: Reading, parent: int, most: int) -> list[Heap]:
    """Entries that link a thing to what it went into, counted by act; none for over `most`."""
    children = reading.run(
        select(_LINK.child).where(_LINK.parent == bindparam("parent")).limit(most + 1),
        {"parent": parent},
    )
    ids = [row[0] for row in children]
    if not ids or len(ids) > most:
        return []
    statement = _heaps().where(_DAY.subject.in_(ids), _DAY.other == bindparam("parent"))
    rows = reading.run(statement, {"parent": parent})
    return [Heap(row[0], row[1], int(row[2]), int(row[3])) for row in rows]


def entries_numbered(reading: Reading, numbers: Iterable[int]) -> dict[int, Entry]:
    """Day book entries by their numbers."""
    found: dict[int, Entry] = {}
    for part in _parts(sorted(set(numbers))):
        statement = select(DAYBOOK).where(_DAY.number.in_(part))
        found |= {entry.number: entry for entry in reading.entries(statement)}
    return found


def undone_among(reading: Reading, numbers: Iterable[int]) -> set[int]:
    """Those of these entries that were taken back and not done again since."""
    taken_back: dict[int, int] = {}
    for part in _parts(sorted(set(numbers))):
        rows = reading.run(select(_DAY.number, _DAY.undoes).where(_DAY.undoes.in_(part)))
        for number, undoes in rows:
            taken_back[undoes] = max(number, taken_back.get(undoes, 0))
    if not taken_back:
        return set()
    done_again = undone_among(reading, taken_back.values())
    return {number for number, undo in taken_back.items() if undo not in done_again}


def names_of_things(
    reading: Reading, wanted: Iterable[tuple[str, int]]
) -> Mapping[tuple[str, int], str]:
    """Names by (kind, id), of scannable things and of those of the catalogue alike."""
    by_kind: dict[str, set[int]] = {}
    for kind, thing in wanted:
        by_kind.setdefault(kind, set()).add(thing)
    names: dict[tuple[str, int], str] = {}
    for kind, ids in by_kind.items():
        if kind in DIGITS or kind == "delivery":
            found: Mapping[int, str] = names_of(reading, ids)
        else:
            found = _plain_names(reading, kind, sorted(ids))
        names |= {(kind, one): name for one, name in found.items()}
    return names


def _plain_names(reading: Reading, kind: str, ids: Sequence[int]) -> dict[int, str]:
    table = TABLES.get(kind)
    label = next((one for one in _LABELS if table is not None and one in table.c), None)
    if table is None or label is None:
        return {}
    found: dict[int, str] = {}
    for part in _parts(ids):
        rows = reading.run(select(table.c.id, table.c[label]).where(table.c.id.in_(part)))
        found |= {row[0]: row[1] for row in rows}
    return found


def _heaps() -> Select[Any]:
    return select(_DAY.act, _DAY.kind, func.min(_DAY.number), func.count()).group_by(
        _DAY.act, _DAY.kind
    )


def _parts(items: Sequence[Any]) -> Iterator[Sequence[Any]]:
    for at in range(0, len(items), _AT_ONCE):
        yield items[at : at + _AT_ONCE]
