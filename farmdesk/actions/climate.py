"""Readings of rooms: typed one by one, or taken in from a logger's file; and re-rated dates."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from itertools import pairwise

import numpy as np

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.cold_store import need_lot
from farmdesk.arithmetic.packed_readings import (
    DAY_S,
    Floats,
    Readings,
    add_new,
    count_differing,
    no_readings,
    pack_day,
    unpack_day,
)
from farmdesk.domain.catalogue import Room
from farmdesk.domain.climate import ClimateDay, LoggerFormat, RoomReading, ShelfSetting
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.errors import Problem, Refused, problem, refuse_any
from farmdesk.quantities.temperature import format_temperature
from farmdesk.store.climate import climate_days, day_second

COLDEST_C, WARMEST_C = -40, 80
LEAST_PPM, MOST_PPM = 200, 60_000
RULES = ("of_remaining", "of_total")


@dataclass(frozen=True)
class ImportResult:
    """What a file gave: readings that are new, were known, and say else than those known."""

    added: int
    known: int
    differing: int
    days: int


def note_reading(
    act: Act,
    *,
    room: int,
    at: str | None = None,
    celsius: Decimal | None = None,
    humidity: Decimal | None = None,
    co2: int | None = None,
    typed: str = "",
    note: str = "",
) -> RoomReading:
    """Keep one reading typed by hand; `at` is an instant, now unless given.

    Raises Refused when nothing was read, or a figure cannot be one of a room.
    """
    act.need(Room, room)
    found = RoomReading(0, room, at or act.happened_at, celsius, humidity, co2, typed, note)
    refuse_any(_check_reading(act, found))
    return act.make(
        "room_read",
        RoomReading(
            act.next_id("room_reading"), room, found.at, celsius, humidity, co2,
            typed.strip(), note.strip(),
        ),
    )  # fmt: skip


def change_reading(act: Act, reading: int, **fields: object) -> RoomReading:
    """Correct a reading typed by hand; what it said before stays in the day book."""
    now = act.need(RoomReading, reading)
    wanted = RoomReading(**{**vars(now), **fields})
    refuse_any(_check_reading(act, wanted))
    return act.change_fields("room_reading_changed", now, fields)


def remove_readings(act: Act, readings: list[int]) -> None:
    """Take readings typed by hand away."""
    for one in readings:
        act.take_away("room_reading_removed", act.need(RoomReading, one))


def import_readings(
    act: Act,
    *,
    room: int,
    logger: str,
    readings: Readings,
    form: LoggerFormat | None = None,
    is_cancelled: Callable[[], bool] = lambda: False,
) -> ImportResult:
    """Take a logger's readings in, and remember how its files look.

    A reading of a second that is known already adds nothing; where it differs, the one that came
    first stays and is counted. Raises Refused when it was cancelled: then nothing is kept.
    """
    act.need(Room, room)
    name = logger.strip()
    if not name:
        raise Refused(problem("logger_without_name", field="logger"))
    refuse_any(list(check_text("logger", name, needed=True)))
    days = _part_by_day(readings)
    known = climate_days(act.tx, room, name, list(days))
    added = differing = 0
    for day, part in days.items():
        if is_cancelled():
            raise Refused(problem("logger_import_stopped", file=name))
        new, differs = _keep_day(act, room, name, day, known.get(day), part)
        added += new
        differing += differs
    if form is not None:
        _remember(act, form)
    return ImportResult(added, len(readings) - added, differing, len(days))


def set_shelf_rule(act: Act, rule: str) -> ShelfSetting:
    """Choose what the sell-by share is a share of."""
    if rule not in RULES:
        raise Refused(problem("shelf_rule_unknown", field="rule", text=rule))
    return act.keep_single(ShelfSetting(0, rule))


def shorten_shelf_dates(act: Act, dates: Mapping[int, tuple[str, str | None]]) -> list[Pick | Pack]:
    """Bring the dates of lots forward, by lot: (shelf date, sell-by).

    Raises Refused when one of them would be later than it is now: no date is ever extended.
    """
    kept: list[Pick | Pack] = []
    for lot_id, (shelf_on, sell_by) in dates.items():
        lot = need_lot(act, lot_id)
        if lot.shelf_on is not None and shelf_on > lot.shelf_on:
            facts = {"lot": lot.name, "wanted": shelf_on, "now": lot.shelf_on}
            raise Refused(problem("shelf_date_not_earlier", **facts))
        earlier = [one for one in (sell_by, lot.sell_by) if one is not None]
        fields = {"shelf_on": shelf_on, "sell_by": min(earlier, default=None)}
        kept.append(act.change_fields("shelf_date_shortened", lot, fields))
    return kept


def _check_reading(act: Act, one: RoomReading) -> list[Problem]:
    found = list(check_text("note", one.note, needed=False, long=True))
    if one.celsius is None and one.humidity is None and one.co2 is None:
        found.append(problem("reading_empty", field="celsius"))
    if one.at > act.now:
        found.append(problem("reading_in_future", field="at", at=one.at))
    if one.celsius is not None and not COLDEST_C <= one.celsius <= WARMEST_C:
        facts = {
            name: format_temperature(value, act.farm.temperature_unit, act.farm.locale)
            for name, value in (("value", one.celsius), ("low", COLDEST_C), ("high", WARMEST_C))
        }
        found.append(problem("reading_temperature_wrong", field="celsius", **facts))
    if one.humidity is not None and not 0 < one.humidity <= 100:
        found.append(problem("reading_humidity_wrong", field="humidity", value=one.humidity))
    if one.co2 is not None and not LEAST_PPM <= one.co2 <= MOST_PPM:
        limits = {"low": f"{LEAST_PPM:,}", "high": f"{MOST_PPM:,}"}
        found.append(problem("reading_co2_wrong", field="co2", value=f"{one.co2:,}", **limits))
    return found


def _part_by_day(readings: Readings) -> dict[str, Readings]:
    """The readings of each UTC day."""
    if not len(readings):
        return {}
    days = readings.seconds // DAY_S
    edges = [0, *(np.flatnonzero(np.diff(days)) + 1), len(days)]
    return {
        datetime.fromtimestamp(int(days[first]) * DAY_S, UTC).date().isoformat(): readings.take(
            slice(int(first), int(last))
        )
        for first, last in pairwise(edges)
    }


def _keep_day(
    act: Act, room: int, logger: str, day: str, known: ClimateDay | None, part: Readings
) -> tuple[int, int]:
    """Keep a day's new readings; how many are new, and how many say else than known ones."""
    start = day_second(day)
    before = no_readings() if known is None else unpack_day(known.packed, start)
    whole, added = add_new(before, part)
    differing = count_differing(before, part)
    if not added:
        return 0, differing
    fields = {**_sum_up(whole), "packed": pack_day(whole, start)}
    if known is None:
        made = ClimateDay(act.next_id("climate_day"), room, logger, day, **fields)  # type: ignore[arg-type]
        act.make("readings_imported", made)
    else:
        act.change_fields("readings_imported", known, fields)
    return added, differing


def _sum_up(whole: Readings) -> dict[str, object]:
    found: dict[str, object] = {"readings": len(whole)}
    for name, digits in (("celsius", 2), ("humidity", 1)):
        values = whole.figure(name)
        for word, value in _extremes(values).items():
            found[f"{name}_{word}"] = None if value is None else Decimal(f"{value:.{digits}f}")
    co2 = _extremes(whole.co2)
    found["co2_mean"] = None if co2["mean"] is None else round(co2["mean"])
    found["co2_high"] = None if co2["high"] is None else round(co2["high"])
    return found


def _extremes(values: Floats) -> dict[str, float | None]:
    known = values[~np.isnan(values)]
    if not len(known):
        return {"mean": None, "low": None, "high": None}
    return {"mean": float(known.mean()), "low": float(known.min()), "high": float(known.max())}


def _remember(act: Act, form: LoggerFormat) -> None:
    now = act.tx.first(LoggerFormat, signature=form.signature)
    fields = {name: value for name, value in vars(form).items() if name != "id"}
    if now is None:
        act.make("logger_format_made", LoggerFormat(act.next_id("logger_format"), **fields))
    else:
        act.change_fields("logger_format_changed", now, fields)
