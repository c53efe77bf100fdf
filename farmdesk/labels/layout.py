"""A label item, a stock and a layout become marks on paper, in millimetres.

The work is done once for each stock and layout (`prepare`) and once for each text; a label then
only moves finished marks to its place.
"""

from __future__ import annotations

import functools
import zlib
from dataclasses import dataclass, field

from farmdesk.domain.codes import group_code
from farmdesk.errors import Refused, problem
from farmdesk.labels.fields import LabelItem, field_of
from farmdesk.labels.layout_files import (
    CODE,
    FIELD,
    RULE,
    RUNGS,
    SYMBOL,
    TEXT,
    TICKS,
    TRADE,
    Layout,
    Place,
    Variant,
)
from farmdesk.labels.stocks import SHEET, Stock
from farmdesk.labels.trade_symbols import draw_trade
from farmdesk.paper.fonts import ASCENT, PT_MM, fit_text, line_mm, text_width_mm
from farmdesk.paper.pages import Bars, Box, Line, Mark, Shape, TextRun
from farmdesk.paper.symbols import QUIET_MODULES, modules, on_dots, widest_module_mm

CODE_MODULES = 90
"""A ten-digit code in set C: start, five pairs, check, stop."""

_SHEET_EDGE_MM = 5.0
"""Desktop printers leave about this much of a sheet's edge white (common practice, no source)."""

_RULE_MM = 0.25
_TICK_LINE_MM = 0.3
_RUNGS = 5
_MOST_KEPT = 2_000

Area = tuple[float, float, float, float]
Wanted = tuple[float, float | None, float, int, bool]


@dataclass(eq=False)
class _TextSlot:
    """A place for text, with every text it has already been given."""

    what: str
    name: str
    default: str
    caption: str
    area: Area
    place: Place
    known: dict[str, tuple[TextRun, ...]] = field(default_factory=dict)

    def runs(self, text: str) -> tuple[TextRun, ...]:
        found = self.known.get(text)
        if found is None:
            if len(self.known) >= _MOST_KEPT:
                self.known.clear()
            found = self.known[text] = _set_text(self, text)
        return found


@dataclass(frozen=True, eq=False)
class Prepared:
    """A layout worked out for one stock: everything but the texts and the code."""

    fixed: tuple[Mark, ...]
    texts: tuple[_TextSlot, ...]
    rungs: tuple[tuple[str, Area], ...]
    symbol: Area
    module_mm: float
    dpi: int
    trade: Area | None = None


def free_area_mm(stock: Stock) -> Area:
    """Left, top, width and height of what may be printed on, from the label's own corner.

    The same for every label of a sheet; labels at the paper's edge keep clear of it.
    """
    width, height = stock.label_width_um / 1000, stock.label_height_um / 1000
    pad = min(3.0, max(1.5, 0.025 * min(width, height * 2)))
    if stock.feed != SHEET:
        return pad, pad, width - 2 * pad, height - 2 * pad
    right = stock.left_um + (stock.columns - 1) * stock.column_step_um + stock.label_width_um
    bottom = stock.top_um + (stock.rows - 1) * stock.row_step_um + stock.label_height_um
    side = min(stock.left_um, stock.page_width_um - right) / 1000
    end = min(stock.top_um, stock.page_height_um - bottom) / 1000
    pad_x, pad_y = max(pad, _SHEET_EDGE_MM - side), max(pad, _SHEET_EDGE_MM - end)
    return pad_x, pad_y, width - 2 * pad_x, height - 2 * pad_y


@functools.lru_cache(128)
def prepare(layout: Layout, stock: Stock) -> Prepared:
    """The layout's variant for this stock, in mm; Refused (`label_too_small`) when none fits."""
    left, top, width, height = free_area_mm(stock)
    for variant in layout.variants:
        if variant.least_width_mm <= width + 1e-6 and variant.least_height_mm <= height + 1e-6:
            prepared = _work_out(layout.kind, variant, (left, top, width, height), stock.dpi)
            if prepared is not None:
                return prepared
    least = layout.variants[-1]
    raise Refused(
        problem(
            "label_too_small",
            stock=stock.name,
            kind=layout.kind,
            width=f"{width:.1f}",
            height=f"{height:.1f}",
            least_width=f"{least.least_width_mm:g}",
            least_height=f"{least.least_height_mm:g}",
        )
    )


def lay_out(
    item: LabelItem, stock: Stock, layout: Layout, *, x_mm: float = 0.0, y_mm: float = 0.0
) -> list[Mark]:
    """The marks of one label whose top left corner is at `x_mm`, `y_mm` of the page.

    Raises Refused: `label_too_small`, or `label_code_wrong` for anything but ten digits.
    """
    return place_marks(item, prepare(layout, stock), x_mm, y_mm)


def place_marks(item: LabelItem, prepared: Prepared, x_mm: float, y_mm: float) -> list[Mark]:
    """The same as `lay_out`, for a layout that was prepared before."""
    code = item.code
    if len(code) != 10 or not (code.isascii() and code.isdigit()):
        raise Refused(problem("label_code_wrong", text=repr(code[:40])))
    fields = item.fields
    left, top, _, height = prepared.symbol
    marks: list[Mark] = [
        Bars(
            on_dots(x_mm + left, prepared.dpi),
            y_mm + top,
            height,
            prepared.module_mm,
            modules(code),
        )
    ]
    for slot in prepared.texts:
        text = group_code(code) if slot.what == CODE else fields.get(slot.name, slot.default)
        if text:
            for x, y, line, size, bold in slot.runs(text):
                marks.append(TextRun(x_mm + x, y_mm + y, line, size, bold))
    for name, area in prepared.rungs:
        text = fields.get(name, "")
        if text:
            marks.extend(_move(box, x_mm, y_mm) for box in _draw_rungs(text, area))
    if item.trade is not None and prepared.trade is not None:
        kind, text = item.trade
        for mark in draw_trade(kind, text, prepared.trade, prepared.dpi):
            marks.append(_move(mark, x_mm, y_mm))
    marks.extend(_move(mark, x_mm, y_mm) for mark in prepared.fixed)
    return marks


def _work_out(kind: str, variant: Variant, free: Area, dpi: int) -> Prepared | None:
    """The variant's places in mm, or None when its symbol would be too fine to read."""
    fixed: list[Mark] = []
    texts: list[_TextSlot] = []
    rungs: list[tuple[str, Area]] = []
    symbol: tuple[Area, float] | None = None
    trade: Area | None = None
    for place in variant.places:
        area = _area(place, free)
        if place.what == SYMBOL:
            symbol = _symbol_area(place, area, dpi)
        elif place.what == RUNGS:
            rungs.append((place.name, area))
        elif place.what == TRADE:
            trade = area
        elif place.what == RULE:
            fixed.append(_draw_rule(area))
        elif place.what == TICKS:
            fixed.extend(_draw_ticks(place, area))
        elif place.what == TEXT:
            slot = _TextSlot(TEXT, "", "", "", area, place)
            fixed.extend(slot.runs(place.name))
        else:
            texts.append(_text_slot(kind, place, area))
    if symbol is None:
        return None
    area, module = symbol
    return Prepared(tuple(fixed), tuple(texts), tuple(rungs), area, module, dpi, trade)


def _area(place: Place, free: Area) -> Area:
    left, top, width, height = free
    x, y, wide, tall = place.at
    return left + x * width, top + y * height, wide * width, tall * height


def _text_slot(kind: str, place: Place, area: Area) -> _TextSlot:
    known = field_of(kind, place.name) if place.what == FIELD else None
    if known is None:
        return _TextSlot(place.what, "", "", "", area, place)
    caption = {"above": known.caption, "inline": known.short or known.caption}
    return _TextSlot(FIELD, known.name, known.default, caption.get(place.caption, ""), area, place)


def _symbol_area(place: Place, area: Area, dpi: int) -> tuple[Area, float] | None:
    """Where the first bar may stand, so that both quiet zones lie within the place."""
    left, top, width, height = area
    module = widest_module_mm(dpi, CODE_MODULES, width_mm=width, most_mm=place.module_mm)
    if module is None:
        return None
    spare = width - (CODE_MODULES + 2 * QUIET_MODULES) * module
    moved = {"left": 0.0, "center": spare / 2, "right": spare}[place.align]
    start = left + min(moved, spare - on_dots(1e-3, dpi)) + QUIET_MODULES * module
    return (start, top, CODE_MODULES * module, height), module


def _set_text(slot: _TextSlot, text: str) -> tuple[TextRun, ...]:
    place = slot.place
    left, top, width, height = slot.area
    runs: list[TextRun] = []
    if slot.caption and place.caption == "above":
        size = min(9.0, max(5.5, 0.3 * height / line_mm(1.0)))
        tall = min(line_mm(size), height / 2)
        runs += _set_lines(
            place, (left, top, width, tall), slot.caption, (size, None, 4.0, 1, False)
        )
        top, height = top + tall, height - tall
    elif slot.caption:
        text = f"{slot.caption} {text}"
    wanted = (place.size_pt, place.wrap_pt, place.min_pt, place.lines, place.bold)
    runs += _set_lines(place, (left, top, width, height), text, wanted)
    return tuple(runs)


def _set_lines(place: Place, area: Area, text: str, wanted: Wanted) -> list[TextRun]:
    """The text's lines, together in the middle of the area's height."""
    left, top, width, height = area
    size_pt, wrap_pt, min_pt, lines, bold = wanted
    fitted = fit_text(
        text,
        width,
        height_mm=height,
        size_pt=size_pt,
        wrap_pt=wrap_pt,
        min_pt=min_pt,
        lines=lines,
        bold=bold,
    )
    tall = line_mm(fitted.size_pt)
    y = top + (height - tall * len(fitted.lines)) / 2 + ASCENT * fitted.size_pt * PT_MM
    runs = []
    for line in fitted.lines:
        spare = width - text_width_mm(line, fitted.size_pt, bold=bold)
        x = left + {"left": 0.0, "center": spare / 2, "right": spare}[place.align]
        runs.append(TextRun(x, y, line, fitted.size_pt, bold))
        y += tall
    return runs


def _draw_rule(area: Area) -> Line:
    left, top, width, height = area
    half = _RULE_MM / 2
    if height > width:
        return Line(left + half, top, left + half, top + height, _RULE_MM)
    return Line(left, top + half, left + width, top + half, _RULE_MM)


def _draw_ticks(place: Place, area: Area) -> list[Mark]:
    """Numbered empty boxes to tick by hand."""
    left, top, width, height = area
    step = width / place.count
    side = min(height, step * 0.85)
    marks: list[Mark] = []
    for number in range(place.count):
        x = left + number * step
        marks.append(Box(x, top, side, side, _TICK_LINE_MM))
        inside = (x + 0.6, top + 0.6, side / 2, side / 2.4)
        marks += _set_lines(place, inside, str(number + 1), (7.0, None, 4.0, 1, False))
    return marks


@functools.lru_cache(512)
def _draw_rungs(text: str, area: Area) -> tuple[Box, ...]:
    """Five rungs, each thick, thin or split: the same text always gives the same pattern.

    The pattern lets one species be told from another across a rack, without colour.
    """
    left, top, width, height = area
    pick = zlib.crc32(text.casefold().encode("utf-8", "replace"))
    step = height / _RUNGS
    boxes: list[Box] = []
    for rung in range(_RUNGS):
        pick, kind = divmod(pick, 3)
        y = top + rung * step
        if kind == 0:
            boxes.append(Box(left, y, width, step * 0.75))
        elif kind == 1:
            boxes.append(Box(left, y + step * 0.25, width, step * 0.25))
        else:
            half = width * 0.4
            boxes.append(Box(left, y, half, step * 0.75))
            boxes.append(Box(left + width - half, y, half, step * 0.75))
    return tuple(boxes)


def _move(mark: Mark, x_mm: float, y_mm: float) -> Mark:
    if isinstance(mark, Line):
        return Line(
            mark.x1_mm + x_mm, mark.y1_mm + y_mm, mark.x2_mm + x_mm, mark.y2_mm + y_mm, mark.line_mm
        )
    if isinstance(mark, Shape):
        return mark._replace(points=tuple((x + x_mm, y + y_mm) for x, y in mark.points))
    return mark._replace(x_mm=mark.x_mm + x_mm, y_mm=mark.y_mm + y_mm)
