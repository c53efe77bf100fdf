"""A ruler sheet shows where a printer puts things, and what must be corrected."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.errors import Refused, problem
from farmdesk.labels.sheets import label_corner_mm
from farmdesk.labels.stocks import Stock
from farmdesk.paper.fonts import fit_text
from farmdesk.paper.pages import Line, Mark, Page, TextRun
from farmdesk.wording.language import tr

_CROSS_MM = 20.0
_SCALE_MM = 100.0
_LINE_MM = 0.2
_MOST_UM = 15_000
_MOST_STRETCH = 0.015
"""A bar that is 1.5 % off was scaled to the paper, which no shift can mend."""


@dataclass(frozen=True)
class Ruler:
    """What is measured on a ruler sheet, micrometres: where the lines and the bar should be."""

    right_um: int
    down_um: int
    bar_um: int


@dataclass(frozen=True)
class Correction:
    """How far all marks are to be moved to the right and down, micrometres."""

    right_um: int
    down_um: int


def ruler_of(stock: Stock) -> Ruler:
    """Where the lines of a stock's ruler sheet stand: 20 mm from each edge, less on small ones."""
    width, height = stock.page_width_um, stock.page_height_um
    cross = round(_CROSS_MM * 1000)
    return Ruler(
        right_um=min(cross, width // 3 // 1000 * 1000),
        down_um=min(cross, height // 3 // 1000 * 1000),
        bar_um=min(round(_SCALE_MM * 1000), width // 2 // 10_000 * 10_000),
    )


def ruler_page(stock: Stock) -> Page:
    """The ruler sheet of a stock: a line down, a line across, a bar, and the labels' corners."""
    ruler = ruler_of(stock)
    wide, tall = stock.page_width_um / 1000, stock.page_height_um / 1000
    across, down, bar = ruler.right_um / 1000, ruler.down_um / 1000, ruler.bar_um / 1000
    marks: list[Mark] = [
        Line(across, 0, across, tall, _LINE_MM * 2),
        Line(0, down, wide, down, _LINE_MM * 2),
    ]
    marks += _bar(across + 3, min(down * 2.1, tall - 3), bar)
    room = wide - across - 6
    lines = (
        tr("A: from the left edge to the upright line, {mm} mm wanted").format(mm=f"{across:g}"),
        tr("B: from the top edge to the level line, {mm} mm wanted").format(mm=f"{down:g}"),
        tr("C: length of the bar, {mm} mm wanted").format(mm=f"{bar:g}"),
    )
    for at, line in enumerate(lines):
        size = min(9.0, tall / 10)
        step = size * 0.45
        fitted = fit_text(line, room, height_mm=step, size_pt=size, min_pt=3.0)
        marks.append(TextRun(across + 3, down + (at + 1) * step, fitted.lines[0], fitted.size_pt))
    marks += _corners(stock)
    return Page(wide, tall, tuple(marks))


def find_correction(
    stock: Stock, *, right_um: int, down_um: int, bar_um: int | None = None
) -> Correction:
    """What to move by, from the distances measured on the ruler sheet, micrometres.

    Raises Refused when a figure is too far off to be a shift: a wrong unit, or a scaled page.
    """
    ruler = ruler_of(stock)
    if bar_um is not None and abs(bar_um - ruler.bar_um) > ruler.bar_um * _MOST_STRETCH:
        percent = f"{bar_um * 100 / ruler.bar_um:.1f}"
        raise Refused(problem("print_is_scaled", field="bar", percent=percent))
    found = Correction(ruler.right_um - right_um, ruler.down_um - down_um)
    off = (("right", found.right_um, ruler.right_um), ("down", found.down_um, ruler.down_um))
    wrong = [
        problem("offset_too_large", field=field, wanted=f"{wanted / 1000:g}", off=f"{by / 1000:g}")
        for field, by, wanted in off
        if abs(by) > _MOST_UM
    ]
    if wrong:
        raise Refused(*wrong)
    return found


def _bar(x: float, y: float, length: float) -> list[Mark]:
    marks: list[Mark] = [Line(x, y, x + length, y, _LINE_MM * 2)]
    for mm in range(int(length) + 1):
        tall = 3.0 if mm % 10 == 0 else 2.0 if mm % 5 == 0 else 1.0
        marks.append(Line(x + mm, y - tall, x + mm, y, _LINE_MM))
    return marks


def _corners(stock: Stock) -> list[Mark]:
    """The corners of all labels, to be held against an empty sheet and the light."""
    wide, tall = stock.label_width_um / 1000, stock.label_height_um / 1000
    long = min(3.0, wide / 6, tall / 6)
    marks: list[Mark] = []
    for place in range(stock.labels):
        x, y = label_corner_mm(stock, place)
        for edge, inward in ((x, long), (x + wide, -long)):
            for end, down in ((y, long), (y + tall, -long)):
                marks.append(Line(edge, end, edge + inward, end, _LINE_MM))
                marks.append(Line(edge, end, edge, end + down, _LINE_MM))
    return marks
