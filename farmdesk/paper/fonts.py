"""The two faces that papers are set in: what they can show, its width, and how text is fitted."""

from __future__ import annotations

import functools
import re
import unicodedata
from pathlib import Path
from typing import NamedTuple

from farmdesk.settings.places import resource_path

PT_MM = 25.4 / 72
ASCENT = 0.93
DESCENT = 0.24
"""How far the faces reach above and below the baseline, in parts of their size (DejaVu Sans)."""
LINE_HEIGHT = ASCENT + DESCENT

REPLACEMENT = "\ufffd"
"""Stands, for all to see, where the faces lack a character."""
ELLIPSIS = "…"

NO_BREAK = "\u00a0"
"""A space at which no line is broken."""

_SPACES = re.compile(" +")
_SIZE_STEP_PT = 0.25
_RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]")
_UNSEEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
_SHOWN_TEXTS = 5_000


class Face(NamedTuple):
    """One face as the writers know it; `widths` are in thousandths of the size."""

    name: str
    path: Path
    widths: dict[str, float]


class Fitted(NamedTuple):
    """Text made to fit a box: its size and its lines, in reading order."""

    size_pt: float
    lines: tuple[str, ...]


@functools.cache
def face(bold: bool = False) -> Face:
    """The plain or the bold face, registered with the PDF writer at its first use."""
    from reportlab.pdfbase import pdfmetrics, ttfonts  # noqa: PLC0415  slow to load: not at start

    name = "FarmdeskSans-Bold" if bold else "FarmdeskSans"
    path = resource_path("fonts", "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")
    font = ttfonts.TTFont(name, str(path), asciiReadable=1)
    pdfmetrics.registerFont(font)
    widths = {chr(code): float(width) for code, width in font.face.charWidths.items()}
    return Face(name, path, widths)


@functools.lru_cache(_SHOWN_TEXTS)
def clean_text(text: str) -> str:
    """Text that can be set on one line: no control characters, and no character the faces lack."""
    if text.isascii() and text.isprintable() and "  " not in text and text == text.strip():
        return text
    known = face().widths
    kept = []
    for char in unicodedata.normalize("NFC", text):
        if char == NO_BREAK:
            kept.append(char)
        elif char.isspace():
            kept.append(" ")
        elif "\ufe00" <= char <= "\ufe0f" or unicodedata.category(char) in _UNSEEN:
            continue
        else:
            kept.append(char if char in known else REPLACEMENT)
    return _SPACES.sub(" ", "".join(kept)).strip()


@functools.lru_cache(_SHOWN_TEXTS)
def visual_text(text: str) -> str:
    """Text in the order its characters are drawn, joined as its script wants.

    Latin text comes back as it is. Hebrew and Arabic follow the Unicode bidirectional algorithm.
    """
    if text.isascii() or not _RIGHT_TO_LEFT.search(text):
        return text
    import arabic_reshaper  # noqa: PLC0415  only where such text is printed
    import bidi  # noqa: PLC0415  only where such text is printed

    joined = arabic_reshaper.reshape(text)
    if any(char not in face().widths for char in joined):
        joined = text
    return str(bidi.get_display(joined))


def text_width_mm(text: str, size_pt: float, *, bold: bool = False) -> float:
    """How wide a line of text is."""
    return _thousandths(text, bold) * size_pt * (PT_MM / 1000)


def line_mm(size_pt: float) -> float:
    """The height of a line of text."""
    return size_pt * PT_MM * LINE_HEIGHT


def fit_text(
    text: str,
    width_mm: float,
    *,
    height_mm: float,
    size_pt: float,
    min_pt: float,
    wrap_pt: float | None = None,
    lines: int = 1,
    bold: bool = False,
) -> Fitted:
    """Text as large as it fits the box: it shrinks, then wraps, and is cut with … at the last.

    With `wrap_pt` it wraps before it would shrink on one line below that size.
    It never runs over the box, even where that makes it smaller than `min_pt`.
    """
    text = clean_text(text)
    ceiling = min(size_pt, height_mm / line_mm(1.0))
    if not text or ceiling <= 0 or width_mm <= 0:
        return Fitted(max(ceiling, 0.0), ())
    one_line = min(ceiling, width_mm / max(text_width_mm(text, 1.0, bold=bold), 1e-9))
    enough = min(min_pt if wrap_pt is None or lines == 1 else wrap_pt, ceiling)
    if one_line >= enough:
        return Fitted(_quarter(one_line), (text,))
    box = _Box(width_mm, height_mm, lines, bold)
    floor = min(min_pt, ceiling)
    for whole_words in (True, False):
        size = _quarter(ceiling)
        while size >= floor:
            broken = _wrap(text, size, box, whole_words=whole_words)
            if broken is not None:
                return Fitted(size, _balance(text, size, box, broken))
            size -= _SIZE_STEP_PT
    return Fitted(floor, _cut(text, floor, box))


class _Box(NamedTuple):
    width_mm: float
    height_mm: float
    lines: int
    bold: bool

    def lines_at(self, size_pt: float) -> int:
        return max(1, min(self.lines, int(self.height_mm / line_mm(size_pt) + 1e-6)))

    def holds(self, text: str, size_pt: float) -> bool:
        return text_width_mm(text, size_pt, bold=self.bold) <= self.width_mm + 1e-9


def _thousandths(text: str, bold: bool) -> float:
    widths = face(bold).widths
    shown = visual_text(text)
    try:
        return sum([widths[char] for char in shown])
    except KeyError:
        return sum([widths.get(char, widths[REPLACEMENT]) for char in shown])


def _quarter(size_pt: float) -> float:
    """Sizes in quarter points look calmer side by side, and never grow by rounding."""
    return int(size_pt / _SIZE_STEP_PT + 1e-6) * _SIZE_STEP_PT or size_pt


def _wrap(text: str, size: float, box: _Box, *, whole_words: bool) -> tuple[str, ...] | None:
    """The text in as many lines as the box has at this size, or None when it needs more."""
    most = box.lines_at(size)
    done: list[str] = []
    rest = text
    while rest:
        if len(done) == most:
            return None
        taken = _longest_start(rest, size, box)
        if taken < len(rest):
            space = rest.rfind(" ", 0, taken + 1)
            if space > 0:
                taken = space
            elif whole_words:
                return None
        done.append(rest[:taken].rstrip())
        rest = rest[taken:].lstrip()
    return tuple(done)


def _balance(text: str, size: float, box: _Box, broken: tuple[str, ...]) -> tuple[str, ...]:
    """The same number of lines, broken so that the longest of them is as short as it can be."""
    narrow = box._replace(lines=len(broken))
    least, most = 0.0, box.width_mm
    while len(broken) > 1 and most - least > size * PT_MM / 4:
        middle = (least + most) / 2
        tried = _wrap(text, size, narrow._replace(width_mm=middle), whole_words=True)
        if tried is None:
            least = middle
        else:
            broken, most = tried, middle
    return broken


def _cut(text: str, size: float, box: _Box) -> tuple[str, ...]:
    """The start of the text in the lines there are, the last one ending in …"""
    done: list[str] = []
    rest = text
    most = box.lines_at(size)
    while rest and len(done) < most - 1:
        taken = _longest_start(rest, size, box)
        space = rest.rfind(" ", 0, taken + 1) if taken < len(rest) else -1
        taken = space if space > 0 else taken
        done.append(rest[:taken].rstrip())
        rest = rest[taken:].lstrip()
    if rest and not box.holds(rest, size):
        rest = rest[: _longest_start(rest, size, box)]
        while rest and not box.holds(rest.rstrip() + ELLIPSIS, size):
            rest = rest[:-1]
        rest = rest.rstrip() + ELLIPSIS
    if rest and box.holds(rest, size):
        done.append(rest)
    return tuple(done)


def _longest_start(text: str, size: float, box: _Box) -> int:
    """How many characters fit one line, at least one."""
    low, high = 1, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if box.holds(text[:middle], size):
            low = middle
        else:
            high = middle - 1
    return low
