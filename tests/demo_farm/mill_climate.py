"""Six weeks of readings in the mill's rooms, with a warm night in the cold store and a dry day."""

from __future__ import annotations

import math
from datetime import timedelta
from decimal import Decimal
from functools import partial
from random import Random

from mill_catalogue import COLD, ROLLERS, SILO, Mill
from mill_diary import Diary

from farmdesk.actions.climate import import_readings, note_reading
from farmdesk.arithmetic.packed_readings import Readings, make_readings
from farmdesk.store.climate import second_of

_DAYS, _STEP_S, _DAY_S = 42, 1_800, 86_400
_ROOMS = {
    # Celsius, humidity %, CO2 ppm, and how far the temperature swings in a day
    ROLLERS: (20.5, 90.0, 820.0, 1.4),
    SILO: (15.5, 88.5, 760.0, 0.9),
    COLD: (2.8, 92.0, 480.0, 0.3),
}
_WARM_NIGHT = (3.0, 9)
"""So many days back from the last reading, for so many hours, the cold store's door stood open."""
_DRY_DAY = (4.5, 14)
_GAP = (2.5, 7)


def read_rooms(diary: Diary, mill: Mill) -> None:
    """Read in what the loggers of three rooms wrote down, and a reading taken by hand."""
    chance = diary.chance("climate")
    end = second_of(diary.instant("14:00"))
    for name in _ROOMS:
        room = mill.rooms[name]
        read = partial(
            import_readings, room=room, logger="Shelf top", readings=_write_down(name, end, chance)
        )
        diary.do(read, person="june", station="desk")
    diary.do(
        partial(
            note_reading, room=mill.rooms[ROLLERS], celsius=Decimal("20.56"), humidity=Decimal(89),
            typed="69 F, 89 %", note="By hand, beside the logger.",
        ),
        person="tomas",
    )  # fmt: skip


def _write_down(name: str, end: int, chance: Random) -> Readings:
    start = end - int(timedelta(days=_DAYS).total_seconds())
    celsius, damp, air, swing = _ROOMS[name]
    rows = []
    for second in range(start, end, _STEP_S):
        turn = 2 * math.pi * (second % _DAY_S) / _DAY_S
        warm = celsius + swing * math.sin(turn - 2) + chance.gauss(0, 0.12)
        percent = min(100.0, damp - 2.5 * math.sin(turn - 2) + chance.gauss(0, 0.7))
        ppm = air + 90 * math.sin(2 * turn) + chance.gauss(0, 25)
        if name == COLD and _lies_in(second, end, _WARM_NIGHT):
            warm += 10.5
        if name == ROLLERS and _lies_in(second, end, _DRY_DAY):
            percent -= 15
        if name == SILO and _lies_in(second, end, _GAP):
            continue
        rows.append((second, round(warm, 2), round(percent, 1), float(round(ppm))))
    return make_readings(rows)


def _lies_in(second: int, end: int, when: tuple[float, int]) -> bool:
    days, hours = when
    first = end - int(days * _DAY_S)
    return first <= second < first + hours * 3_600
