"""Where bags and lots stood, and since when: followed through the day book, entry by entry."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby, pairwise
from typing import Any, NamedTuple

from sqlalchemy import Select, bindparam, literal, or_, select

from farmdesk.domain.stages import ALIVE, VOID
from farmdesk.store.schema import DAYBOOK, TABLES
from farmdesk.store.transaction import Reading

_BAG, _BATCH = TABLES["bag"].c, TABLES["batch"].c
_AT_ONCE = 500
_WORTH = ('"room":', '"stage":')


class Stay(NamedTuple):
    """One thing in one room and stage, from an instant to another (None: it still is).

    `group` is a bag's batch, and 0 for lots.
    """

    thing: int
    group: int
    room: int | None
    stage: str
    since: str
    until: str | None


class _Move(NamedTuple):
    thing: int
    group: int
    number: int
    happened_at: str
    undoes: int | None
    after: str


def bag_stays(reading: Reading, start: str, end: str, *, room: int) -> list[Stay]:
    """Stays of living bags in a room that touch the time from an instant up to another."""
    values = {"room": room, "within": f'%"room":{room},%', "last": f'%"room":{room}}}%'}
    rows = reading.rows("bag_moves", _bag_moves, start=start, end=end, **values)
    moves = (_Move(row[0], row[1], row[2], row[3], row[4], row[5]) for row in rows)
    return [
        one
        for one in _follow(moves)
        if one.room == room
        and one.stage in ALIVE
        and one.since < end
        and (one.until is None or one.until > start)
    ]


def lot_stays(reading: Reading, lots: Sequence[int]) -> dict[int, list[Stay]]:
    """Where picks and packs stood from their making on, each in the order of time."""
    found: dict[int, list[Stay]] = {}
    for at in range(0, len(lots), _AT_ONCE):
        rows = reading.run(_lot_moves(lots[at : at + _AT_ONCE]))
        moves = (_Move(row[0], 0, row[1], row[2], row[3], row[4]) for row in rows)
        for stay in _follow(moves):
            found.setdefault(stay.thing, []).append(stay)
    return found


def _follow(moves: Iterator[_Move]) -> Iterator[Stay]:
    """Stays of each thing; moves come thing by thing, in the order of their numbers."""
    known: dict[str, Mapping[str, Any]] = {}
    for _, group in groupby(moves, key=lambda one: one.thing):
        yield from _follow_one(_without_undone(list(group)), known)


def _without_undone(moves: list[_Move]) -> list[_Move]:
    """What holds: neither what was taken back nor the taking back itself."""
    gone: set[int] = set()
    for one in reversed(moves):
        if one.undoes is not None:
            if one.number not in gone:
                gone.add(one.undoes)
            gone.add(one.number)
    return [one for one in moves if one.number not in gone]


def _follow_one(moves: list[_Move], known: dict[str, Mapping[str, Any]]) -> Iterator[Stay]:
    moves.sort(key=lambda one: (one.happened_at, one.number))
    room: int | None = None
    stage = ""
    turns: list[tuple[str, int | None, str]] = []
    for one in moves:
        cells = known.get(one.after)
        if cells is None:
            cells = json.loads(one.after) or {}
            if len(one.after) < _AT_ONCE:
                known[one.after] = cells
        room, stage = cells.get("room", room), cells.get("stage", stage)
        if not turns or turns[-1][1:] != (room, stage):
            turns.append((one.happened_at, room, stage))
    if not turns:
        return
    thing, group = moves[0].thing, moves[0].group
    for (since, where, how), (until, _, _) in pairwise(turns):
        yield Stay(thing, group, where, how, since, until)
    since, where, how = turns[-1]
    yield Stay(thing, group, where, how, since, None)


def _bag_moves() -> Select[Any]:
    lives = [literal(stage) for stage in ALIVE]
    left = DAYBOOK.alias("left_it")
    # Who is not in the room now and stood there once, left it by an entry that says so.
    has_left = (
        select(left.c.number)
        .where(
            left.c.subject == _BAG.id,
            left.c.thing == literal("bag"),
            or_(left.c.before.like(bindparam("within")), left.c.before.like(bindparam("last"))),
        )
        .correlate(TABLES["bag"])
        .exists()
    )
    return (
        select(
            DAYBOOK.c.subject, _BAG.batch, DAYBOOK.c.number, DAYBOOK.c.happened_at,
            DAYBOOK.c.undoes, DAYBOOK.c.after,
        )
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], _BAG.batch == _BATCH.id)
        .join(DAYBOOK, DAYBOOK.c.subject == _BAG.id)
        .where(
            _BATCH.inoculated_on <= bindparam("end"),
            _BAG.stage != literal(VOID),
            or_(_BAG.stage.in_(lives), _BAG.stage_since >= bindparam("start")),
            or_(_BAG.room == bindparam("room"), has_left),
            DAYBOOK.c.thing == literal("bag"),
            or_(*(DAYBOOK.c.after.like(f"%{word}%") for word in _WORTH)),
        )
        .order_by(DAYBOOK.c.subject, DAYBOOK.c.number)
    )  # fmt: skip


def _lot_moves(lots: Sequence[int]) -> Select[Any]:
    return (
        select(
            DAYBOOK.c.subject, DAYBOOK.c.number, DAYBOOK.c.happened_at, DAYBOOK.c.undoes,
            DAYBOOK.c.after,
        )
        .where(
            DAYBOOK.c.subject.in_(lots),
            DAYBOOK.c.thing.in_(["pick", "pack"]),
            DAYBOOK.c.after.like('%"room":%'),
        )
        .order_by(DAYBOOK.c.subject, DAYBOOK.c.number)
    )  # fmt: skip
