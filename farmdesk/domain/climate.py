"""What was read in the rooms: readings typed by hand, days of a logger, and how its files look."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.cells import ref


@dataclass(frozen=True)
class RoomReading:
    """One reading typed by hand, with what was typed; at least one of the three is known."""

    id: int
    room: int = ref("room")
    at: str = ""
    celsius: Decimal | None = None
    humidity: Decimal | None = None
    co2: int | None = None
    typed: str = ""
    note: str = ""


@dataclass(frozen=True)
class ClimateDay:
    """All readings of one logger in one room on one UTC day, in one value.

    `packed` holds every reading (see `arithmetic.packed_readings`); the others sum the day up:
    means, lowest and highest of temperature (Celsius), humidity (percent) and CO2 (ppm).
    """

    id: int
    room: int = ref("room")
    logger: str = ""
    day: str = ""
    readings: int = 0
    celsius_mean: Decimal | None = None
    celsius_low: Decimal | None = None
    celsius_high: Decimal | None = None
    humidity_mean: Decimal | None = None
    humidity_low: Decimal | None = None
    humidity_high: Decimal | None = None
    co2_mean: int | None = None
    co2_high: int | None = None
    packed: str = ""


@dataclass(frozen=True)
class LoggerFormat:
    """How the files of a logger are read, remembered by the signature of their heading.

    `columns` names the column of each part, such as `time=0 celsius=1`; `clock` is farm, utc or
    standard (the farm's winter time all year round); `day_order` is ymd, dmy or mdy.
    """

    id: int
    signature: str = ""
    logger: str = ""
    room: int | None = ref("room", none=True)
    columns: str = ""
    unit: str = "C"
    day_order: str = "ymd"
    clock: str = "farm"
    decimal: str = "."


@dataclass(frozen=True)
class ShelfSetting:
    """What the sell-by share is a share of, one row: `of_remaining` life or `of_total`."""

    id: int
    rule: str = "of_remaining"
