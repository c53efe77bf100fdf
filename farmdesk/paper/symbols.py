"""Code 128 symbols (ISO/IEC 15417) as rows of modules, and modules in whole printer dots."""

from __future__ import annotations

import functools
import math
from typing import Any

from farmdesk.errors import Refused, problem

QUIET_MODULES = 10
"""Clear space on each side of a symbol, in modules (ISO/IEC 15417: at least 10X)."""

SMALLEST_MODULE_MM = 0.25
"""Below this, decoders begin to fail at 203 dots per inch."""

_START_C = 105


def modules(text: str) -> str:
    """The symbol's modules, `1` dark and `0` light, without quiet zones.

    An even number of digits takes set C throughout, the narrowest form. Raises Refused
    (`symbol_not_possible`) for empty text or a character that Code 128 does not have.
    """
    tables = _tables()
    if len(text) % 2 == 0 and text.isascii() and text.isdigit():
        pairs = [int(text[at : at + 2]) for at in range(0, len(text), 2)]
        check = _START_C + sum(place * pair for place, pair in enumerate(pairs, 1))
        patterns = tables.CODES
        inside = "".join([patterns[pair] for pair in pairs])
        return f"{patterns[_START_C]}{inside}{patterns[check % 103]}{tables.STOP}11"
    if not text or not text.isascii():
        raise Refused(problem("symbol_not_possible", text=ascii(text[:40])))
    return str(_encoder()(text, writer=object()).build()[0])


def dot_mm(dpi: int) -> float:
    """The size of a printer's dot; heads sold as 203 dpi have 8 dots to the millimetre."""
    return 0.125 if dpi == 203 else 25.4 / dpi


def module_mm(dpi: int, wanted_mm: float) -> float:
    """The module width nearest to the wanted one that is a whole number of printer dots."""
    dot = dot_mm(dpi)
    return max(1, round(wanted_mm / dot)) * dot


def widest_module_mm(dpi: int, count: int, *, width_mm: float, most_mm: float) -> float | None:
    """The widest module, in whole dots, at which a symbol of `count` modules fits a width.

    The quiet zones are within the width, and one dot is left to move the symbol onto the dots.
    None when even the smallest usable module is too wide.
    """
    dot = dot_mm(dpi)
    least = max(1, round(SMALLEST_MODULE_MM / dot))
    most = max(least, round(most_mm / dot))
    fits = math.floor((width_mm / dot - 1) / (count + 2 * QUIET_MODULES) + 1e-9)
    return min(most, fits) * dot if fits >= least else None


def on_dots(value_mm: float, dpi: int) -> float:
    """The first place at or after `value_mm` that lies on a whole printer dot."""
    dot = dot_mm(dpi)
    return math.ceil(value_mm / dot - 1e-6) * dot


@functools.cache
def _tables() -> Any:
    from barcode.charsets import code128  # noqa: PLC0415  loads an image library: not at start

    return code128


@functools.cache
def _encoder() -> Any:
    from barcode.codex import Code128  # noqa: PLC0415  loads an image library: not at start

    return Code128
