"""A drawing becomes marks of a page, so that charts are seen in the preview as they are printed."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, pi, sin
from typing import Any

from farmdesk.paper.pages import Mark, Shape, TextRun

_MM = 25.4 / 72
_CORNERS = 16
"""A round mark of a millimetre or two is drawn with so many corners."""


def marks_of(drawing: Any, *, left_mm: float, top_mm: float) -> Iterator[Mark]:
    """The marks of a reportlab drawing whose top left corner stands at a place of the page."""
    from reportlab.graphics.shapes import (  # noqa: PLC0415  slow to load: not at start
        Circle,
        Line,
        Polygon,
        PolyLine,
        Rect,
        String,
    )

    def place(x: float, y: float) -> tuple[float, float]:
        return left_mm + x * _MM, top_mm + (drawing.height - y) * _MM

    def shape(one: Any, points: list[float], *, closed: bool) -> Shape:
        return Shape(
            tuple(place(x, y) for x, y in zip(points[::2], points[1::2], strict=True)),
            line_mm=(one.strokeWidth or 0) * _MM if one.strokeColor is not None else 0.0,
            ink=_hex(one.strokeColor),
            fill=_hex(one.fillColor) if closed else "",
            opacity=float(getattr(one, "fillOpacity", None) or 1.0),
            dash_mm=tuple(part * _MM for part in one.strokeDashArray or ()),
            closed=closed,
        )

    for one in drawing.contents:
        if isinstance(one, String):
            yield _text(one, *place(one.x, one.y))
        elif isinstance(one, Line):
            yield shape(_NoFill(one), [one.x1, one.y1, one.x2, one.y2], closed=False)
        elif isinstance(one, Rect):
            right, top = one.x + one.width, one.y + one.height
            yield shape(one, [one.x, one.y, right, one.y, right, top, one.x, top], closed=True)
        elif isinstance(one, Circle):
            turns = [2 * pi * at / _CORNERS for at in range(_CORNERS)]
            around = [(one.cx + one.r * cos(turn), one.cy + one.r * sin(turn)) for turn in turns]
            yield shape(one, [at for point in around for at in point], closed=True)
        elif isinstance(one, Polygon):
            yield shape(one, list(one.points), closed=True)
        elif isinstance(one, PolyLine):
            yield shape(_NoFill(one), list(one.points), closed=False)
        else:
            raise TypeError(f"a page has no mark for a {type(one).__name__}")


class _NoFill:
    """A line: it has no inside, whatever its class says."""

    fillColor = None  # noqa: N815 - reportlab's own name

    def __init__(self, one: Any) -> None:
        self._one = one

    def __getattr__(self, name: str) -> Any:
        return getattr(self._one, name)


def _text(one: Any, x_mm: float, y_mm: float) -> TextRun:
    from reportlab.pdfbase.pdfmetrics import stringWidth  # noqa: PLC0415

    wide = stringWidth(one.text, one.fontName, one.fontSize) * _MM
    shift = {"start": 0.0, "middle": wide / 2, "end": wide}[one.textAnchor]
    return TextRun(x_mm - shift, y_mm, one.text, one.fontSize, bold="Bold" in one.fontName)


def _hex(colour: Any) -> str:
    return "" if colour is None else f"#{colour.hexval()[2:]}"
