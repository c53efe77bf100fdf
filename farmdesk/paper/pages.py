"""Pages as values: marks in millimetres from the top left corner, drawn alike by everything.

The PDF, the printer and the preview on screen each draw the same `Page`; none of them knows a
farm. Text is already fitted, in reading order; `fonts.visual_text` gives the order it is drawn in.
"""

from __future__ import annotations

from typing import NamedTuple

from farmdesk.paper.fonts import ASCENT, DESCENT, PT_MM, text_width_mm


class TextRun(NamedTuple):
    """One line of text; `y_mm` is its baseline, `x_mm` its left end."""

    x_mm: float
    y_mm: float
    text: str
    size_pt: float
    bold: bool = False


class Bars(NamedTuple):
    """A bar symbol: `pattern` has a 1 for each dark module; `x_mm`, `y_mm` its top left corner."""

    x_mm: float
    y_mm: float
    height_mm: float
    module_mm: float
    pattern: str


class Line(NamedTuple):
    """A straight line of some thickness."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    line_mm: float


class Box(NamedTuple):
    """A rectangle: outlined with a line of `line_mm` inside its edge, or filled when that is 0."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    line_mm: float = 0.0


class Shape(NamedTuple):
    """A stroke through points, or with `closed` an area; inks are '#rrggbb', '' for none."""

    points: tuple[tuple[float, float], ...]
    line_mm: float = 0.0
    ink: str = "#000000"
    fill: str = ""
    opacity: float = 1.0
    dash_mm: tuple[float, ...] = ()
    closed: bool = False


class Photograph(NamedTuple):
    """A JPEG file's bytes in a rectangle, which has the sides of the picture."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    data: bytes


Mark = TextRun | Bars | Line | Box | Shape | Photograph


class Page(NamedTuple):
    """One sheet of paper or one label of a roll."""

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]


def extent_of(mark: Mark) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of what a mark covers, in mm."""
    if isinstance(mark, TextRun):
        width = text_width_mm(mark.text, mark.size_pt, bold=mark.bold)
        size = mark.size_pt * PT_MM
        top, bottom = mark.y_mm - ASCENT * size, mark.y_mm + DESCENT * size
        return mark.x_mm, top, mark.x_mm + width, bottom
    if isinstance(mark, Bars):
        right = mark.x_mm + len(mark.pattern) * mark.module_mm
        return mark.x_mm, mark.y_mm, right, mark.y_mm + mark.height_mm
    if isinstance(mark, Line):
        across = 0.0 if mark.x1_mm == mark.x2_mm else mark.line_mm / 2
        along = 0.0 if mark.y1_mm == mark.y2_mm else mark.line_mm / 2
        left, right = sorted((mark.x1_mm, mark.x2_mm))
        top, bottom = sorted((mark.y1_mm, mark.y2_mm))
        return left - along, top - across, right + along, bottom + across
    if isinstance(mark, Shape):
        xs, ys = [x for x, _ in mark.points], [y for _, y in mark.points]
        half = mark.line_mm / 2 if mark.ink else 0.0
        return min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half
    return mark.x_mm, mark.y_mm, mark.x_mm + mark.width_mm, mark.y_mm + mark.height_mm
