"""The long list of bags: its ids in any order and filter, and its rows by id."""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, case, false, or_, select

from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Reason, Room, Species
from farmdesk.domain.cells import maker_of
from farmdesk.domain.codes import DIGITS, SERIALS, read_name
from farmdesk.domain.stages import STAGES
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_TABLE = TABLES["bag"]
_BAG = _TABLE.c
_BATCH = TABLES["batch"].c
_STRAIN = TABLES["strain"].c
_CODE_DIGITS = 10
_ID_DIGITS = 8


@dataclass(frozen=True)
class BagScope:
    """Which bags the list is about: of a batch, in a room, in these stages (all when empty)."""

    batch: int | None = None
    room: int | None = None
    stages: tuple[str, ...] = ()


def bag_ids(
    reading: Reading,
    scope: BagScope,
    *,
    words: str = "",
    column: str = "",
    descending: bool = False,
    limit: int | None = None,
) -> array[int]:
    """Ids of the bags whose row holds all words, in the order of a column, 8 bytes each."""
    statement = select(_BAG.id).select_from(_TABLE)
    if column in ("name", "species"):
        statement = statement.join(TABLES["batch"], _BATCH.id == _BAG.batch)
    if column == "species":
        statement = statement.join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
    statement = statement.where(*_in_scope(scope))
    statement = statement.where(*(_holds(reading, word) for word in words.split()))
    ordered = [
        one.desc() if descending else one.asc() for one in (*_order(reading, column), _BAG.id)
    ]
    result = reading.connection.execute(statement.order_by(*ordered).limit(limit))
    # A million rows go straight from the driver's tuples into the vector.
    ids: array[int] = array("q", chain.from_iterable(result.cursor))  # type: ignore[arg-type]
    result.close()
    return ids


def bags_by_id(reading: Reading, ids: Sequence[int]) -> dict[int, tuple[Bag, str, int]]:
    """(bag, batch name, species) by id; those that are gone are left out."""
    make = maker_of(Bag)
    statement = (
        select(_TABLE, _BATCH.name.label("batch_name"), _STRAIN.species)
        .join(TABLES["batch"], _BATCH.id == _BAG.batch)
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .where(_BAG.id.in_(list(ids)))
    )
    rows = [tuple(row) for row in reading.run(statement)]
    return {row[0]: (make(row[:-2]), row[-2], row[-1]) for row in rows}


def _in_scope(scope: BagScope) -> list[ColumnElement[bool]]:
    clauses: list[ColumnElement[bool]] = []
    if scope.batch is not None:
        clauses.append(_BAG.batch == scope.batch)
    if scope.room is not None:
        clauses.append(_BAG.room == scope.room)
    if scope.stages:
        clauses.append(_BAG.stage.in_(scope.stages))
    return clauses


def _holds(reading: Reading, word: str) -> ColumnElement[bool]:
    """A word stands in the bag's name or code, or in its stage, room, species or reason."""
    wanted = word.casefold()
    named = read_name(word)
    clauses: list[ColumnElement[bool]] = [
        _BAG.stage.in_([stage for stage in STAGES if wanted in stage]),
        _BAG.room.in_(_matching(reading, Room, wanted)),
        _BAG.reason.in_(_matching(reading, Reason, wanted)),
        _BAG.batch.in_(_batches_named(reading, wanted)),
    ]
    if named is not None and named[1] is not None:
        of_batch = select(_BATCH.id).where(_BATCH.name == named[0])
        clauses.append(and_(_BAG.batch.in_(of_batch), _BAG.number == named[1]))
    if wanted.isascii() and wanted.isdigit():
        clauses.append(_code_begins(wanted))
    return or_(*clauses)


def _matching(reading: Reading, cls: type[Any], wanted: str) -> list[int]:
    return [one.id for one in reading.all(cls) if wanted in one.name.casefold()]


def _batches_named(reading: Reading, wanted: str) -> Select[Any]:
    # Only % and _ mean something to LIKE; a name has neither, so they must not match all.
    pattern = "".join("\\" + sign if sign in "%_\\" else sign for sign in wanted.upper())
    species = _matching(reading, Species, wanted)
    strains = select(_STRAIN.id).where(_STRAIN.species.in_(species))
    return select(_BATCH.id).where(
        or_(_BATCH.name.like(f"%{pattern}%", escape="\\"), _BATCH.strain.in_(strains))
    )


def _code_begins(digits: str) -> ColumnElement[bool]:
    """A code's first eight digits are the id; the two check digits follow from it."""
    if len(digits) > _CODE_DIGITS:
        return false()
    missing = max(0, _ID_DIGITS - len(digits))
    first = int(digits[:_ID_DIGITS]) * 10**missing
    if first // SERIALS != DIGITS["bag"]:
        return false()
    return _BAG.id.between(first, first + 10**missing - 1)


def _order(reading: Reading, column: str) -> list[Any]:
    if column == "name":
        return [_BATCH.name, _BAG.number]
    if column == "species":
        return [_ranked(_STRAIN.species, _names(reading, Species))]
    if column in ("room", "reason"):
        cls = Room if column == "room" else Reason
        return [_ranked(_BAG[column], _names(reading, cls))]
    if column == "stage":
        return [_ranked(_BAG.stage, list(STAGES))]
    known = ("shelf", "stage_since", "looked_on", "opened_on", "picked_on", "flush", "slow", "note")
    return [_BAG[column]] if column in known else []


def _names(reading: Reading, cls: type[Any]) -> list[Any]:
    """Ids in the order of their names."""
    return [one.id for one in sorted(reading.all(cls), key=lambda one: one.name.casefold())]


def _ranked(column: Any, values: list[Any]) -> Any:
    ranks = {value: rank for rank, value in enumerate(values, start=1)}
    return case(ranks, value=column, else_=0) if ranks else column
