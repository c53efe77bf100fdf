"""Readings of a room as columns, and the packed text in which one day of them is kept.

Packed: the differences from reading to reading (seconds; hundredths of a degree; hundredths of
a percent; ppm), column after column as little-endian integers, deflated, in base64. Nothing is
lost beyond a sensor's own hundredth; 288 readings a day take about a kilobyte.
"""

from __future__ import annotations

import base64
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Seconds = npt.NDArray[np.int64]

DAY_S = 86_400
FIGURES = ("celsius", "humidity", "co2")
_SCALES = {"celsius": 100, "humidity": 100, "co2": 1}
_NONE = {"celsius": -32_768, "humidity": 65_535, "co2": 65_535}
_TYPES = {"celsius": "<i2", "humidity": "<u2", "co2": "<u2"}
_MARK = "1:"


@dataclass(frozen=True)
class Readings:
    """Readings in the order of time: `seconds` since 1970 (UTC); NaN where a figure is missing."""

    seconds: Seconds
    celsius: Floats
    humidity: Floats
    co2: Floats

    def __len__(self) -> int:
        return len(self.seconds)

    def between(self, start: int, end: int) -> Readings:
        """The readings from a second up to another."""
        low, high = np.searchsorted(self.seconds, [start, end])
        return self.take(slice(int(low), int(high)))

    def take(self, which: slice | npt.NDArray[np.intp] | npt.NDArray[np.bool_]) -> Readings:
        """Some of the readings."""
        return Readings(
            self.seconds[which], self.celsius[which], self.humidity[which], self.co2[which]
        )

    def figure(self, name: str) -> Floats:
        """The column of a figure by its name: celsius, humidity or co2."""
        found: Floats = getattr(self, name)
        return found


def no_readings() -> Readings:
    """No reading at all."""
    none: Floats = np.empty(0)
    return Readings(np.empty(0, dtype=np.int64), none, none, none)


def make_readings(
    rows: Iterable[tuple[int, float | None, float | None, float | None]],
) -> Readings:
    """Readings from (second, Celsius, percent, ppm), put in order; of one second the first."""
    table = [(at, *(np.nan if one is None else one for one in rest)) for at, *rest in rows]
    if not table:
        return no_readings()
    seconds = np.array([row[0] for row in table], dtype=np.int64)
    figures = np.array([row[1:] for row in table], dtype=np.float64)
    _, first = np.unique(seconds, return_index=True)
    return Readings(seconds[first], *(figures[first, at] for at in range(3)))


def join_readings(parts: Sequence[Readings]) -> Readings:
    """All of several readings in the order of time; readings of one second stay beside another."""
    if not parts:
        return no_readings()
    seconds = np.concatenate([one.seconds for one in parts])
    order = np.argsort(seconds, kind="stable")
    return Readings(
        seconds[order],
        *(np.concatenate([one.figure(name) for one in parts])[order] for name in FIGURES),
    )


def add_new(known: Readings, more: Readings) -> tuple[Readings, int]:
    """The known readings and those at seconds not known yet; and how many of these there are."""
    is_new = ~np.isin(more.seconds, known.seconds)
    new = more.take(is_new)
    return join_readings([known, new]), len(new)


def count_differing(known: Readings, more: Readings) -> int:
    """How many readings say something else than the known ones of the same second."""
    _, ours, theirs = np.intersect1d(known.seconds, more.seconds, return_indices=True)
    differs = np.zeros(len(ours), dtype=bool)
    for name in FIGURES:
        a, b = known.figure(name)[ours], more.figure(name)[theirs]
        scale = _SCALES[name]
        same = (np.round(a * scale) == np.round(b * scale)) | (np.isnan(a) & np.isnan(b))
        differs |= ~same
    return int(differs.sum())


def pack_day(readings: Readings, day_start: int) -> str:
    """One day's readings as text; `day_start` is the second at which the day begins."""
    columns = [_differences(readings.seconds - day_start, "<u4")]
    for name in FIGURES:
        values = np.round(readings.figure(name) * _SCALES[name])
        whole = np.where(np.isnan(values), _NONE[name], values).astype(np.int64)
        columns.append(_differences(whole, _TYPES[name]))
    body = zlib.compress(len(readings).to_bytes(4, "little") + b"".join(columns), 9)
    return _MARK + base64.b64encode(body).decode("ascii")


def unpack_day(text: str, day_start: int) -> Readings:
    """The readings that were packed; raises ValueError for text that is not of this form."""
    if not text.startswith(_MARK):
        raise ValueError("not packed readings")
    try:
        raw = zlib.decompress(base64.b64decode(text[len(_MARK) :], validate=True))
    except zlib.error as error:
        raise ValueError("packed readings are damaged") from error
    count, at = int.from_bytes(raw[:4], "little"), 4
    if len(raw) != 4 + count * 10:
        raise ValueError("packed readings are damaged")
    seconds = _running(raw[at : at + 4 * count], "<u4").astype(np.int64) + day_start
    at += 4 * count
    figures = []
    for name in FIGURES:
        whole = _running(raw[at : at + 2 * count], _TYPES[name]).astype(np.float64)
        whole[whole == _NONE[name]] = np.nan
        figures.append(whole / _SCALES[name])
        at += 2 * count
    return Readings(seconds, *figures)


def _differences(whole: npt.NDArray[np.int64], kind: str) -> bytes:
    """Differences in the integers' own width: they wrap around, and wrap back when summed."""
    return np.diff(whole.astype(kind), prepend=np.zeros(1, dtype=kind)).astype(kind).tobytes()


def _running(raw: bytes, kind: str) -> npt.NDArray[np.generic]:
    return np.cumsum(np.frombuffer(raw, dtype=kind), dtype=kind)
