"""Pictures with places to go to: drawn from the same marks on screen and on paper."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, pi, sin
from typing import NamedTuple

from farmdesk.paper.fonts import PT_MM, fit_text, text_width_mm
from farmdesk.paper.pages import Mark, Page, Shape, TextRun

TEXT_PT, SMALL_PT, LEAST_PT = 9.0, 8.0, 6.5
PALE = ("#E9E1CF", "#DCE8D8", "#DDE6EC", "#F0DFD2", "#E6E2EC", "#ECECE8")
"""Fills that black letters stand on (more than 12 : 1); words, never they alone, tell apart."""
INK, EDGE, HAIR = "#221F1B", "#6B6459", "#CFC8BB"


class Spot(NamedTuple):
    """A place of a picture that says something and may lead somewhere (`target`)."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float
    words: str
    target: object = None


class Picture(NamedTuple):
    """Marks and spots, in millimetres from the top left; `words` says it all in a sentence."""

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
    spots: tuple[Spot, ...] = ()
    words: str = ""


def as_page(picture: Picture, page_mm: tuple[float, float], *, edge_mm: float = 14.0) -> Page:
    """A page with the picture in its top left corner."""
    marks = tuple(moved(mark, edge_mm, edge_mm) for mark in picture.marks)
    return Page(page_mm[0], page_mm[1], marks)


def moved(mark: Mark, x_mm: float, y_mm: float) -> Mark:
    """A mark somewhere else."""
    if isinstance(mark, Shape):
        return mark._replace(points=tuple((x + x_mm, y + y_mm) for x, y in mark.points))
    if isinstance(mark, TextRun):
        return mark._replace(x_mm=mark.x_mm + x_mm, y_mm=mark.y_mm + y_mm)
    raise TypeError(f"a picture has no {type(mark).__name__}")


def rectangle(
    left: float, top: float, width: float, height: float, *, fill: str = "", line: float = 0.2,
    ink: str = EDGE, dash: tuple[float, ...] = (),
) -> Shape:  # fmt: skip
    """A box with an edge, and a fill where one is given."""
    right, below = left + width, top + height
    points = ((left, top), (right, top), (right, below), (left, below))
    return Shape(points, line, ink if line else "", fill, dash_mm=dash, closed=True)


def stroke(points: Iterable[tuple[float, float]], *, line: float = 0.2, ink: str = EDGE,
           dash: tuple[float, ...] = ()) -> Shape:  # fmt: skip
    """A line through points."""
    return Shape(tuple(points), line, ink, dash_mm=dash)


def sign(kind: str, x: float, y: float, size: float = 1.7) -> Shape:
    """A small mark by its shape: circle, square, diamond or triangle around a point."""
    if kind == "square":
        return rectangle(x - size * 0.85, y - size * 0.85, size * 1.7, size * 1.7, fill="#FFFFFF",
                         line=0.5, ink=INK)  # fmt: skip
    corners, turn = {"circle": (16, 0.0), "diamond": (4, 0.0), "triangle": (3, pi / 2)}[kind]
    turns = [turn + 2 * pi * at / corners for at in range(corners)]
    points = tuple((x + size * cos(one), y - size * sin(one)) for one in turns)
    return Shape(points, 0.3, INK, INK, closed=True)


Area = tuple[float, float, float, float]
"""Left, top, width and height in mm."""


def text_in(
    text: str, area: Area, *, bold: bool = False, size_pt: float = TEXT_PT, lines: int = 1,
    middle: bool = False,
) -> list[Mark]:  # fmt: skip
    """Text fitted into a box, level with its middle; nothing where it has no room at all."""
    left, top, width, height = area
    fitted = fit_text(
        text, width, height_mm=height, size_pt=size_pt, min_pt=LEAST_PT, lines=lines, bold=bold
    )
    step = fitted.size_pt * PT_MM * 1.25
    base = top + height / 2 - step * len(fitted.lines) / 2 + step * 0.78
    marks: list[Mark] = []
    for at, line in enumerate(fitted.lines):
        wide = text_width_mm(line, fitted.size_pt, bold=bold)
        x = left + (width - wide) / 2 if middle else left
        marks.append(TextRun(x, base + at * step, line, fitted.size_pt, bold))
    return marks


def scaled(picture: Picture, factor: float) -> Picture:
    """The picture larger or smaller, its letters and lines too."""
    if factor == 1.0:
        return picture
    return Picture(
        picture.width_mm * factor,
        picture.height_mm * factor,
        tuple(_scaled(mark, factor) for mark in picture.marks),
        tuple(
            Spot(
                one.left_mm * factor,
                one.top_mm * factor,
                one.width_mm * factor,
                one.height_mm * factor,
                one.words,
                one.target,
            )
            for one in picture.spots
        ),
        picture.words,
    )


def _scaled(mark: Mark, factor: float) -> Mark:
    if isinstance(mark, Shape):
        points = tuple((x * factor, y * factor) for x, y in mark.points)
        dashes = tuple(one * factor for one in mark.dash_mm)
        return mark._replace(points=points, line_mm=mark.line_mm * factor, dash_mm=dashes)
    if isinstance(mark, TextRun):
        return TextRun(mark.x_mm * factor, mark.y_mm * factor, mark.text, mark.size_pt * factor,
                       mark.bold)  # fmt: skip
    raise TypeError(f"a picture has no {type(mark).__name__}")


def stack(pictures: Sequence[Picture], *, gap_mm: float = 6.0) -> Picture:
    """Pictures one below another, as one."""
    marks: list[Mark] = []
    spots: list[Spot] = []
    top = 0.0
    for one in pictures:
        marks += [moved(mark, 0.0, top) for mark in one.marks]
        spots += [spot._replace(top_mm=spot.top_mm + top) for spot in one.spots]
        top += one.height_mm + gap_mm
    wide = max((one.width_mm for one in pictures), default=0.0)
    words = " ".join(one.words for one in pictures if one.words)
    return Picture(wide, max(0.0, top - gap_mm), tuple(marks), tuple(spots), words)
