"""Trade symbols on labels: GS1-128, GS1 DataMatrix and QR codes, snapped to printer dots."""

from __future__ import annotations

import functools

from farmdesk.paper.gs1_symbols import symbol_rows
from farmdesk.paper.pages import Bars, Box, Mark
from farmdesk.paper.symbols import dot_mm, on_dots

GS1_128, DATAMATRIX, QR = "gs1_128", "gs1_datamatrix", "qr"
LEAST_MM = 0.25
"""The narrowest module of GS1-128 in general distribution is 0.495 mm, and 0.25 mm where space
is short (GS1 General Specifications 5.12, from memory); 2D modules are drawn no smaller."""
_QUIET = {GS1_128: 10, DATAMATRIX: 1, QR: 4}
"""Light modules on every side (GS1-128, QR: ISO/IEC 15417 and 18004; DataMatrix: 16022)."""

Area = tuple[float, float, float, float]


@functools.lru_cache(256)
def draw_trade(kind: str, text: str, area: Area, dpi: int) -> tuple[Mark, ...]:
    """The symbol as large as fits the area (left, top, width, height in mm).

    GS1-128 that would be too fine there becomes a GS1 DataMatrix of the same data. Nothing is
    drawn where even that does not fit. Raises Refused for data that no symbol can hold.
    """
    left, top, width, height = area
    rows = symbol_rows(kind, text)
    quiet = _QUIET[kind]
    module = _module(width, len(rows[0]) + 2 * quiet, dpi)
    if kind == GS1_128:
        if module < LEAST_MM or height < 8:
            return draw_trade(DATAMATRIX, text, area, dpi)
        start = on_dots(left + quiet * module, dpi)
        return (Bars(start, top, height, module, rows[0]),)
    module = min(module, _module(height, len(rows) + 2 * quiet, dpi))
    if module < LEAST_MM:
        return ()
    start, first = on_dots(left + quiet * module, dpi), on_dots(top + quiet * module, dpi)
    return tuple(
        Box(start + at * module, first + line * module, length * module, module)
        for line, row in enumerate(rows)
        for at, length in _runs(row)
    )


def _module(room_mm: float, count: int, dpi: int) -> float:
    dot = dot_mm(dpi)
    return min(int(room_mm / count / dot + 1e-6) * dot, 0.75)


def _runs(row: str) -> list[tuple[int, int]]:
    """Where dark modules begin in a row, and how many stand together."""
    found, at = [], 0
    while at < len(row):
        length = len(row) - len(row[at:].lstrip("1")) - at
        if length:
            found.append((at, length))
        at += max(length, 1)
    return found
