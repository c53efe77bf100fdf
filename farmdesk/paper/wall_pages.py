"""A sheet for the wall: lines in large letters under headings, each with a box to tick.

Names are set in 20 points, headings larger: by a rule of thumb (common practice, no source) a
letter is read with ease from 200 times its height, and capitals of 20 points are 5 mm high.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from farmdesk.paper.documents import PageSize
from farmdesk.paper.fonts import PT_MM, fit_text, line_mm, text_width_mm
from farmdesk.paper.pages import Box, Line, Mark, Page, TextRun
from farmdesk.paper.table_pages import SIZES_MM
from farmdesk.wording.language import tr

TITLE_PT, PART_PT, PLACE_PT, NAME_PT, WHY_PT, FOOT_PT = 28.0, 26.0, 22.0, 20.0, 16.0, 9.0
LEAST_TITLE_PT, LEAST_NAME_PT = 18.0, 18.0
EDGE_MM, BOX_MM, GAP_MM = 12.0, 8.0, 4.0
_FOOT_MM = 8.0
_THICK_MM, _THIN_MM, _BOX_LINE_MM = 0.9, 0.2, 0.6
_MOST_LINES = 5


@dataclass(frozen=True)
class WallLine:
    """One thing to do: what (`name`), more of it (`which`) and why, in few words."""

    name: str
    which: str
    why: str


@dataclass(frozen=True)
class WallPlace:
    """A place with its lines in the order in which they are done."""

    title: str
    lines: Sequence[WallLine]


@dataclass(frozen=True)
class WallPart:
    """Some places under a heading; `empty` is said where there is none."""

    title: str
    places: Sequence[WallPlace]
    empty: str


@dataclass(frozen=True)
class WallSheet:
    """A sheet: title and week stand on top of each page, `foot` at the end of each."""

    title: str
    week: str
    parts: Sequence[WallPart]
    notes: Sequence[str] = ()
    foot: str = ""


def lay_out_wall(sheet: WallSheet, *, page: PageSize = "A4") -> tuple[Page, ...]:
    """The pages of a sheet; a place that goes on over a page has its heading there again."""
    wide, tall = SIZES_MM[page]
    wall = _Wall(sheet, wide, tall)
    wall.begin_page()
    for part in sheet.parts:
        wall.add_part(part)
    for note in sheet.notes:
        wall.write(note, WHY_PT)
    return wall.finish()


@dataclass
class _Wall:
    """Pages being filled from top to bottom."""

    sheet: WallSheet
    wide: float
    tall: float
    pages: list[list[Mark]] = field(default_factory=list)
    y: float = 0.0

    @property
    def right(self) -> float:
        return self.wide - EDGE_MM

    @property
    def room(self) -> float:
        return self.wide - 2 * EDGE_MM

    def has_room(self, height: float) -> bool:
        return self.y + height <= self.tall - EDGE_MM - _FOOT_MM

    def begin_page(self) -> None:
        """A new page with the day on the left and the week on the right."""
        self.pages.append([])
        self.y = EDGE_MM
        week = text_width_mm(self.sheet.week, TITLE_PT, bold=True)
        room = self.room - week - GAP_MM
        title = fit_text(
            self.sheet.title, room, height_mm=2 * line_mm(TITLE_PT), size_pt=TITLE_PT,
            min_pt=LEAST_TITLE_PT, lines=2, bold=True,
        )  # fmt: skip
        self.y += TITLE_PT * PT_MM
        self._mark(TextRun(self.right - week, self.y, self.sheet.week, TITLE_PT, bold=True))
        for at, line in enumerate(title.lines):
            self.y += line_mm(title.size_pt) if at else 0.0
            self._mark(TextRun(EDGE_MM, self.y, line, title.size_pt, bold=True))
        self.y += 4.0
        self._rule(_THICK_MM)
        self.y += 3.0

    def add_part(self, part: WallPart) -> None:
        """A part with all its places; its heading stays with the first line."""
        first = _height(part.places[0].lines[0], self.room) if part.places else line_mm(WHY_PT)
        needed = line_mm(PART_PT) + line_mm(PLACE_PT) + 10 + first
        if not self.has_room(needed):
            self.begin_page()
        self.write(part.title, PART_PT, bold=True)
        self.y += 1.0
        if not part.places:
            self.write(part.empty, NAME_PT)
            self.y += GAP_MM
        for place in part.places:
            self._add_place(place)

    def write(self, text: str, size: float, *, bold: bool = False) -> None:
        """Running text, on a new page where it does not fit on this one."""
        fitted = _fit(text, self.room, size, bold=bold)
        if not self.has_room(line_mm(size) * len(fitted)):
            self.begin_page()
        self._lines(fitted, size, left=EDGE_MM, bold=bold)

    def finish(self) -> tuple[Page, ...]:
        """The pages, each with its foot."""
        found = []
        for number, marks in enumerate(self.pages, start=1):
            place = tr("Page {number} of {count}").format(number=number, count=len(self.pages))
            y = self.tall - EDGE_MM
            left = self.right - text_width_mm(place, FOOT_PT)
            foot = fit_text(
                self.sheet.foot, left - EDGE_MM - GAP_MM, height_mm=_FOOT_MM, size_pt=FOOT_PT,
                min_pt=6.0,
            )  # fmt: skip
            runs = [TextRun(EDGE_MM, y, line, foot.size_pt) for line in foot.lines]
            runs.append(TextRun(left, y, place, FOOT_PT))
            found.append(Page(self.wide, self.tall, (*marks, *runs)))
        return tuple(found)

    def _add_place(self, place: WallPlace) -> None:
        if not self.has_room(_heading_mm() + _height(place.lines[0], self.room)):
            self.begin_page()
        self._heading(place.title)
        for line in place.lines:
            if not self.has_room(_height(line, self.room)):
                self.begin_page()
                self._heading(tr("{place} (continued)").format(place=place.title))
            self._line(line)
        self.y += GAP_MM

    def _heading(self, title: str) -> None:
        one = fit_text(
            title, self.room, height_mm=line_mm(PLACE_PT), size_pt=PLACE_PT,
            min_pt=LEAST_NAME_PT, bold=True,
        )  # fmt: skip
        self._lines(one.lines, one.size_pt, bold=True)
        self.y += 0.8
        self._rule(_BOX_LINE_MM)
        self.y += 2.0

    def _line(self, line: WallLine) -> None:
        top = self.y
        self._mark(Box(EDGE_MM, top + 1.0, BOX_MM, BOX_MM, _BOX_LINE_MM))
        left = EDGE_MM + BOX_MM + GAP_MM
        names, which, whys = _texts(line, self.room)
        self._lines(names, NAME_PT, left=left, bold=True)
        if names and which and _fits_beside(names[-1], which, self.room):
            at = left + text_width_mm(names[-1], NAME_PT, bold=True) + GAP_MM
            base = self.y - line_mm(NAME_PT) + NAME_PT * PT_MM
            self._mark(TextRun(at, base, which[0], LEAST_NAME_PT))
        else:
            self._lines(which, LEAST_NAME_PT, left=left)
        self._lines(whys, WHY_PT, left=left)
        self.y = max(self.y, top + BOX_MM + 1.0) + 1.5
        self._rule(_THIN_MM)
        self.y += 1.5

    def _lines(
        self, lines: Sequence[str], size: float, *, left: float = EDGE_MM, bold: bool = False
    ) -> None:
        for line in lines:
            self._mark(TextRun(left, self.y + size * PT_MM, line, size, bold))
            self.y += line_mm(size)

    def _rule(self, line: float) -> None:
        self._mark(Line(EDGE_MM, self.y, self.right, self.y, line))

    def _mark(self, mark: Mark) -> None:
        self.pages[-1].append(mark)


def _heading_mm() -> float:
    return line_mm(PLACE_PT) + 2.8


def _text_room(room: float) -> float:
    return room - BOX_MM - GAP_MM


def _texts(line: WallLine, room: float) -> tuple[Sequence[str], Sequence[str], Sequence[str]]:
    """The lines of a line's three texts."""
    wide = _text_room(room)
    return (
        _fit(line.name, wide, NAME_PT, bold=True),
        _fit(line.which, wide, LEAST_NAME_PT),
        _fit(line.why, wide, WHY_PT),
    )


def _height(line: WallLine, room: float) -> float:
    names, which, whys = _texts(line, room)
    tall = line_mm(NAME_PT) * len(names) + line_mm(WHY_PT) * len(whys)
    if not (names and which and _fits_beside(names[-1], which, room)):
        tall += line_mm(LEAST_NAME_PT) * len(which)
    return max(tall, BOX_MM + 1.0) + 3.0


def _fits_beside(name: str, which: Sequence[str], room: float) -> bool:
    wide = text_width_mm(name, NAME_PT, bold=True) + GAP_MM
    return len(which) == 1 and wide + text_width_mm(which[0], LEAST_NAME_PT) <= _text_room(room)


def _fit(text: str, width: float, size: float, *, bold: bool = False) -> Sequence[str]:
    """Text in as many lines as it takes in one size; only very long text is cut with …"""
    return fit_text(
        text, width, height_mm=_MOST_LINES * line_mm(size) + 1, size_pt=size, min_pt=size,
        lines=_MOST_LINES, bold=bold,
    ).lines  # fmt: skip
