"""The rows of a worksheet as XML (ECMA-376, SpreadsheetML), column by column, in chunks.

Long sheets are streamed: cells are never held as objects. Text is always an inline string, so it
is never a formula.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from functools import partial
from math import isfinite
from typing import Protocol
from xml.sax.saxutils import escape
from zoneinfo import ZoneInfo

from farmdesk.paper.tables import Column, Table, clean_text, split_in_columns

LONGEST_TEXT = 32_767
"""Characters that one cell of a spreadsheet can hold."""

_EPOCH = date(1899, 12, 30).toordinal()
_FIRST_DAY = date(1900, 3, 1)
_MIDNIGHT_SECONDS = 86_400
_CARE = re.compile(
    "[&<>\x01-\x1f\x7f\ud800-\udfff\ufffe\uffff]|_x[0-9A-Fa-f]{4}_|(?:^|\x00)\\s|\\s(?:\x00|$)"
)
_ESCAPED_LOOK = re.compile("_(?=x[0-9A-Fa-f]{4}_)")
_MEMORY = 4_096

Cells = list[str]
Maker = Callable[[Sequence[object], Sequence[str]], Cells]


class Sink(Protocol):
    """Where bytes go."""

    def write(self, data: bytes, /) -> object:
        """Take some bytes."""


@dataclass(frozen=True)
class Place:
    """Where a cell stands and how it looks: column letter, and style numbers by kind of value."""

    letter: str
    style: int
    text_style: int


def text_cell(text: str, reference: str, style: int) -> str:
    """A cell that holds text and nothing else."""
    return f'<c r="{reference}" s="{style}" t="inlineStr"><is>{_text(text)}</is></c>'


def row_of(cells: str, number: int, height: float | None = None) -> str:
    """A row of ready cells, its height in points."""
    look = f' ht="{height:g}" customHeight="1"' if height else ""
    return f'<row r="{number}"{look}>{cells}</row>'


def write_rows(sink: Sink, table: Table, first: int, *, makers: Sequence[Maker], last: int) -> int:
    """Write all rows from row `first` on; give the row after them, or `last` + 1 if they overrun.

    Stops as soon as the sheet is full, so that the caller can refuse.
    """
    at = first
    for chunk in split_in_columns(table):
        after = at + len(chunk[0])
        if after > last + 1:
            return after
        numbers = [str(number) for number in range(at, after)]
        cells = [make(values, numbers) for make, values in zip(makers, chunk, strict=True)]
        rows = zip(numbers, map("".join, zip(*cells, strict=True)), strict=True)
        sink.write("".join([f'<row r="{n}">{row}</row>' for n, row in rows]).encode())
        at = after
    return at


def make_cells(column: Column, place: Place, *, mass_factor: float, zone: ZoneInfo) -> Maker:
    """What turns a column's values into cells; milligrams are divided by `mass_factor`."""
    if column.kind in ("text", "code"):
        return partial(_texts, place=place)
    if column.kind in ("integer", "number", "money"):
        return partial(_figures, place=place, factor=1)
    if column.kind == "percent":
        return partial(_figures, place=place, factor=100)
    if column.kind == "mass":
        return partial(_figures, place=place, factor=mass_factor)
    if column.kind == "day":
        return partial(_serials, place=place, serials=_Days())
    if column.kind == "instant":
        return partial(_instants, place=place, tens=_TenMinutes(zone), zone=zone)
    return partial(_others, place=place)


def day_serial(day: str) -> int | None:
    """The number that spreadsheets count a day by; None for a text that is no such day."""
    try:
        plain = date.fromisoformat(day) if len(day) == 10 else None
    except ValueError:
        return None
    return plain.toordinal() - _EPOCH if plain and plain >= _FIRST_DAY else None


def instant_serial(iso: str, zone: ZoneInfo) -> float | None:
    """The number for an instant on the clock of a zone; None for a text that is none."""
    try:
        instant = datetime.fromisoformat(iso)
    except ValueError:
        return None
    if instant.tzinfo is None or instant.year < 1901:
        return None
    local = instant.astimezone(zone).replace(tzinfo=UTC)
    return local.timestamp() / _MIDNIGHT_SECONDS + 25_569


def _texts(values: Sequence[object], numbers: Sequence[str], *, place: Place) -> Cells:
    try:
        joined = "\x00".join(values)  # type: ignore[arg-type]
    except TypeError:
        return _others(values, numbers, place=place)
    is_plain = _CARE.search(joined) is None and joined.count("\x00") == len(values) - 1
    if not is_plain or len(max(values, key=len)) > LONGEST_TEXT:  # type: ignore[arg-type]
        return _others(values, numbers, place=place)
    start, style = f'<c r="{place.letter}', f'" s="{place.text_style}" t="inlineStr"><is><t>'
    return [
        f"{start}{n}{style}{value}</t></is></c>" for value, n in zip(values, numbers, strict=True)
    ]


def _figures(
    values: Sequence[object], numbers: Sequence[str], *, place: Place, factor: float
) -> Cells:
    if not set(map(type, values)) <= {int, float} or not isfinite(sum(values)):  # type: ignore[arg-type]
        return [
            _figure(value, n, place=place, factor=factor)
            for value, n in zip(values, numbers, strict=True)
        ]
    start, style = f'<c r="{place.letter}', f'" s="{place.style}"><v>'
    if factor == 1:
        return [f"{start}{n}{style}{v}</v></c>" for v, n in zip(values, numbers, strict=True)]
    return [
        f"{start}{n}{style}{v / factor}</v></c>"  # type: ignore[operator]
        for v, n in zip(values, numbers, strict=True)
    ]


def _figure(value: object, number: str, *, place: Place, factor: float) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal | Fraction):
        return _other(value, number, place=place)
    if isinstance(value, float | Decimal) and not isfinite(value):
        return ""
    real = value if factor == 1 and isinstance(value, int | Decimal) else float(value) / factor
    return f'<c r="{place.letter}{number}" s="{place.style}"><v>{real}</v></c>'


def _serials(
    values: Sequence[object],
    numbers: Sequence[str],
    *,
    place: Place,
    serials: Mapping[object, int],
) -> Cells:
    start, style = f'<c r="{place.letter}', f'" s="{place.style}"><v>'
    try:
        return [
            f"{start}{n}{style}{serials[v]}</v></c>" for v, n in zip(values, numbers, strict=True)
        ]
    except ValueError:
        return [
            _dated(v, n, day_serial(v) if isinstance(v, str) else None, place)
            for v, n in zip(values, numbers, strict=True)
        ]


def _instants(
    values: Sequence[object],
    numbers: Sequence[str],
    *,
    place: Place,
    tens: Mapping[str, int],
    zone: ZoneInfo,
) -> Cells:
    start, style = f'<c r="{place.letter}', f'" s="{place.style}"><v>'
    try:
        return [
            f"{start}{n}{style}{(tens[v[:15]] + int(v[15]) * 60 + _seconds(v)) / 86400}</v></c>"  # type: ignore[index, arg-type]
            for v, n in zip(values, numbers, strict=True)
        ]
    except (ValueError, TypeError, IndexError):
        return [
            _dated(v, n, instant_serial(v, zone) if isinstance(v, str) else None, place)
            for v, n in zip(values, numbers, strict=True)
        ]


def _seconds(iso: str) -> int:
    if len(iso) != 20 or iso[19] != "Z" or iso[16] != ":":
        raise ValueError(iso)
    return int(iso[17:19])


def _dated(value: object, number: str, serial: float | None, place: Place) -> str:
    if serial is None:
        return _other(value, number, place=place)
    return f'<c r="{place.letter}{number}" s="{place.style}"><v>{serial}</v></c>'


def _others(values: Sequence[object], numbers: Sequence[str], *, place: Place) -> Cells:
    return [_other(value, n, place=place) for value, n in zip(values, numbers, strict=True)]


def _other(value: object, number: str, *, place: Place) -> str:
    if value is None:
        return ""
    reference = place.letter + number
    if isinstance(value, bool):
        return f'<c r="{reference}" s="{place.style}" t="b"><v>{int(value)}</v></c>'
    return text_cell(str(value), reference, place.text_style)


def _text(text: str) -> str:
    """The text element; '_x000A_' in a text means a sign to the format, so its look is broken."""
    text = clean_text(text)
    if len(text) > LONGEST_TEXT:
        text = text[: LONGEST_TEXT - 1] + "…"
    keep = ' xml:space="preserve"' if text != text.strip() or "\n" in text else ""
    return f"<t{keep}>{escape(_ESCAPED_LOOK.sub('_x005F_', text))}</t>"


class _Days(dict[object, int]):
    """Days already counted."""

    def __missing__(self, day: object) -> int:
        serial = day_serial(day) if isinstance(day, str) else None
        if serial is None:
            raise ValueError(day)
        if len(self) > _MEMORY:
            self.clear()
        self[day] = serial
        return serial


class _TenMinutes(dict[str, int]):
    """Local seconds at the start of ten minutes: no zone changes its clock inside them today."""

    def __init__(self, zone: ZoneInfo) -> None:
        super().__init__()
        self._zone = zone

    def __missing__(self, start: str) -> int:
        serial = instant_serial(f"{start}0:00Z", self._zone) if len(start) == 15 else None
        if serial is None or start < "1980":
            raise ValueError(start)
        if len(self) > _MEMORY:
            self.clear()
        self[start] = round(serial * _MIDNIGHT_SECONDS)
        return self[start]
