"""Readings of rooms: those typed by hand and those of loggers, as one row of readings."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any, NamedTuple

from sqlalchemy import Select, bindparam, func, select

from farmdesk.arithmetic.packed_readings import (
    DAY_S,
    Readings,
    join_readings,
    make_readings,
    unpack_day,
)
from farmdesk.domain.cells import maker_of
from farmdesk.domain.climate import ClimateDay, RoomReading
from farmdesk.quantities.times import from_iso
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_DAY = TABLES["climate_day"].c
_TYPED = TABLES["room_reading"].c
_DAY_SIGNS = 10


class LoggerSpan(NamedTuple):
    """One logger in one room: its first and last UTC day, and how many readings it gave."""

    room: int
    logger: str
    first: str
    last: str
    readings: int


def second_of(iso: str) -> int:
    """An instant as seconds since 1970."""
    return int(from_iso(iso).timestamp())


def day_second(day: str) -> int:
    """The second at which a UTC day begins."""
    return second_of(f"{day}T00:00:00Z")


def climate_days(
    reading: Reading, room: int, logger: str, days: Sequence[str]
) -> dict[str, ClimateDay]:
    """A logger's days in a room by their day, of those from the first to the last named."""
    if not days:
        return {}
    make = maker_of(ClimateDay)
    rows = reading.rows(
        "climate_days", _climate_days, room=room, logger=logger, first=min(days), last=max(days)
    )
    return {one.day: one for one in (make(tuple(row)) for row in rows)}


def typed_readings(reading: Reading, room: int, start: str, end: str) -> list[RoomReading]:
    """Readings typed by hand from an instant up to another, in the order of time."""
    make = maker_of(RoomReading)
    rows = reading.rows("typed_readings", _typed_readings, room=room, start=start, end=end)
    return [make(tuple(row)) for row in rows]


def read_room(reading: Reading, room: int, start: str, end: str) -> Readings:
    """Every reading of a room from an instant up to another, of all loggers and by hand."""
    rows = reading.rows(
        "packed_days", _packed_days, room=room, first=start[:_DAY_SIGNS], last=end[:_DAY_SIGNS]
    )
    parts = [unpack_day(packed, day_second(day)) for day, packed in rows]
    typed = typed_readings(reading, room, start, end)
    parts.append(
        make_readings(
            (second_of(one.at), _float(one.celsius), _float(one.humidity), _float(one.co2))
            for one in typed
        )
    )
    return join_readings(parts).between(second_of(start), second_of(end))


def loggers_known(reading: Reading) -> list[LoggerSpan]:
    """Every logger of every room with the days it covers."""
    rows = reading.rows("loggers_known", _loggers_known)
    return [LoggerSpan(row[0], row[1], row[2], row[3], int(row[4])) for row in rows]


def last_read(reading: Reading, room: int) -> str | None:
    """The instant of a room's newest reading, None for a room without."""
    typed = reading.rows("last_typed", _last_typed, room=room)[0][0]
    logged = reading.rows("last_logged", _last_logged, room=room)
    found = [typed] if typed else []
    if logged:
        day, packed = logged[0]
        seconds = unpack_day(packed, day_second(day)).seconds
        found += [_iso(day, int(seconds[-1]) - day_second(day))] if len(seconds) else []
    return max(found, default=None)


def _iso(day: str, second: int) -> str:
    second = min(second, DAY_S - 1)
    return f"{day}T{second // 3600:02d}:{second % 3600 // 60:02d}:{second % 60:02d}Z"


def _float(value: Decimal | int | None) -> float | None:
    return None if value is None else float(value)


def _climate_days() -> Select[Any]:
    return (
        select(TABLES["climate_day"])
        .where(
            _DAY.room == bindparam("room"),
            _DAY.logger == bindparam("logger"),
            _DAY.day.between(bindparam("first"), bindparam("last")),
        )
        .order_by(_DAY.day)
    )


def _packed_days() -> Select[Any]:
    return (
        select(_DAY.day, _DAY.packed)
        .where(
            _DAY.room == bindparam("room"),
            _DAY.day.between(bindparam("first"), bindparam("last")),
        )
        .order_by(_DAY.day, _DAY.id)
    )


def _typed_readings() -> Select[Any]:
    return (
        select(TABLES["room_reading"])
        .where(
            _TYPED.room == bindparam("room"),
            _TYPED.at >= bindparam("start"),
            _TYPED.at < bindparam("end"),
        )
        .order_by(_TYPED.at, _TYPED.id)
    )


def _loggers_known() -> Select[Any]:
    return (
        select(
            _DAY.room, _DAY.logger, func.min(_DAY.day), func.max(_DAY.day), func.sum(_DAY.readings)
        )
        .group_by(_DAY.room, _DAY.logger)
        .order_by(_DAY.room, _DAY.logger)
    )


def _last_typed() -> Select[Any]:
    return select(func.max(_TYPED.at)).where(_TYPED.room == bindparam("room"))


def _last_logged() -> Select[Any]:
    return (
        select(_DAY.day, _DAY.packed)
        .where(_DAY.room == bindparam("room"))
        .order_by(_DAY.day.desc(), _DAY.id.desc())
        .limit(1)
    )
