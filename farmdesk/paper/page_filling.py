"""Pages being filled from top to bottom with what a document holds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from math import inf

from farmdesk.paper.fonts import PT_MM, fit_text, line_mm, text_width_mm
from farmdesk.paper.pages import Mark, Page, TextRun
from farmdesk.paper.table_pages import EDGE_MM
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

TEXT_PT, SMALL_PT, HEADING_PT, TITLE_PT = 10.0, 8.0, 12.0, 16.0
_FOOT_MM = 8.0
_FOOT_GAP_MM = 4.0


@dataclass
class Sheets:
    """Pages of a size in mm, the last of them filled down to `y`, between `left` and its room."""

    wide: float
    tall: float
    formats: Formats
    is_dense: bool = False
    left: float = EDGE_MM
    room: float = 0.0
    """Width to be filled, mm; from edge to edge unless it is given."""
    pages: list[list[Mark]] = field(default_factory=lambda: [[]])
    y: float = EDGE_MM

    def __post_init__(self) -> None:
        self.room = self.room or self.wide - 2 * EDGE_MM

    @property
    def most(self) -> float:
        """The height that a page has room for, mm."""
        return self.tall - 2 * EDGE_MM - _FOOT_MM

    def has_room(self, height: float) -> bool:
        """Whether so many mm are left on the page."""
        return self.y + height <= EDGE_MM + self.most

    def begin_page(self) -> None:
        """Go on on a new page, unless nothing stands on this one yet or it has no end."""
        if self.pages[-1] and self.tall < inf:
            self.pages.append([])
            self.y = EDGE_MM

    def skip(self, height: float) -> None:
        """White space, which no page begins with."""
        if self.pages[-1]:
            self.y += height

    def take(self, height: float) -> float:
        """Room of so many mm; its top, on a new page where it does not fit on this one."""
        if not self.has_room(height):
            self.begin_page()
        top = self.y
        self.y += height
        return top

    def add(self, *marks: Mark) -> None:
        """Put marks on the page being filled."""
        self.pages[-1].extend(marks)

    def write(self, text: str, size: float, *, bold: bool = False) -> None:
        """Running text in as many lines as it needs."""
        for line in wrap(text, self.room, size, bold=bold):
            top = self.take(line_mm(size))
            self.add(TextRun(self.left, top + size * PT_MM, line, size, bold))

    def strip(self, left: float, room: float, y: float) -> Sheets:
        """An endless strip of one page from `y` on, to measure what something takes.

        Its marks come to this page when they are added to it.
        """
        return replace(self, tall=inf, left=left, room=room, pages=[[]], y=y)

    def finish(self, footer: str) -> tuple[Page, ...]:
        """The pages, each with its foot; a last one on which nothing stands is left out."""
        pages = [marks for marks in self.pages if marks] or [[]]
        found = []
        for number, marks in enumerate(pages, start=1):
            place = tr("Page {number} of {count}").format(number=number, count=len(pages))
            y = self.tall - EDGE_MM
            right = self.wide - EDGE_MM - text_width_mm(place, SMALL_PT)
            foot = fit_text(
                footer, right - EDGE_MM - _FOOT_GAP_MM, height_mm=line_mm(SMALL_PT) + 0.1,
                size_pt=SMALL_PT, min_pt=6,
            )  # fmt: skip
            runs = [TextRun(EDGE_MM, y, line, foot.size_pt) for line in foot.lines]
            place_run = TextRun(right, y, place, SMALL_PT)
            found.append(Page(self.wide, self.tall, (*marks, *runs, place_run)))
        return tuple(found)


def wrap(text: str, width: float, size: float, *, bold: bool = False) -> Iterator[str]:
    """Text in lines of so many mm; a word that is wider is broken."""
    for paragraph in text.splitlines():
        line = ""
        for word in paragraph.split():
            for piece in _pieces(word, width, size, bold=bold):
                longer = f"{line} {piece}".strip()
                if line and text_width_mm(longer, size, bold=bold) > width:
                    yield line
                    line = piece
                else:
                    line = longer
        yield line


def _pieces(word: str, width: float, size: float, *, bold: bool) -> Iterator[str]:
    while word and text_width_mm(word, size, bold=bold) > width:
        most = len(word) - 1
        while most > 1 and text_width_mm(word[:most], size, bold=bold) > width:
            most -= 1
        yield word[:most]
        word = word[most:]
    if word:
        yield word
