"""A plain document as pages that are seen before they are printed, from the same values."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from farmdesk.paper.document_parts import (
    AddressPair,
    Details,
    Document,
    Heading,
    Note,
    PageSize,
    Paragraph,
    SignLines,
    TotalsBox,
)
from farmdesk.paper.fonts import PT_MM, fit_text, line_mm, text_width_mm
from farmdesk.paper.pages import Line, Mark, Page, TextRun
from farmdesk.paper.table_pages import EDGE_MM, SIZES_MM
from farmdesk.paper.tables import Table, show_heading, show_value
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

TEXT_PT, SMALL_PT, HEADING_PT, TITLE_PT = 10.0, 8.0, 12.0, 16.0
_ROW_MM = 9.0
_RULE_MM = 0.2
_FOOT_MM = 8.0
_PAD_MM = 1.5


@dataclass
class _Sheets:
    """Pages being filled from top to bottom."""

    wide: float
    tall: float
    footer: str
    pages: list[list[Mark]] = field(default_factory=lambda: [[]])
    y: float = EDGE_MM

    @property
    def room(self) -> float:
        """Width between the edges, mm."""
        return self.wide - 2 * EDGE_MM

    def take(self, height: float) -> float:
        """Room of so many mm; its top, on a new page where it does not fit on this one."""
        if self.y + height > self.tall - EDGE_MM - _FOOT_MM and self.pages[-1]:
            self.pages.append([])
            self.y = EDGE_MM
        top = self.y
        self.y += height
        return top

    def add(self, *marks: Mark) -> None:
        """Put marks on the page being filled."""
        self.pages[-1].extend(marks)

    def write(self, text: str, size: float, *, bold: bool = False, left: float = EDGE_MM) -> None:
        """Running text in as many lines as it needs."""
        tall = line_mm(size)
        for line in _wrap(text, self.room - (left - EDGE_MM), size, bold=bold):
            top = self.take(tall)
            self.add(TextRun(left, top + size * PT_MM, line, size, bold))

    def finish(self) -> tuple[Page, ...]:
        """The pages, each with its foot."""
        found = []
        for number, marks in enumerate(self.pages, start=1):
            place = tr("Page {number} of {count}").format(number=number, count=len(self.pages))
            y = self.tall - EDGE_MM
            right = self.wide - EDGE_MM - text_width_mm(place, SMALL_PT)
            foot = (TextRun(EDGE_MM, y, self.footer, SMALL_PT), TextRun(right, y, place, SMALL_PT))
            found.append(Page(self.wide, self.tall, (*marks, *foot)))
        return tuple(found)


def lay_out_document(
    document: Document, formats: Formats, *, page: PageSize = "A4"
) -> tuple[Page, ...]:
    """The pages of a document of headings, text, details, tables, notes and lines to fill in.

    Raises TypeError for a block that only the PDF has, such as a chart.
    """
    wide, tall = SIZES_MM[page]
    sheets = _Sheets(wide, tall, document.footer)
    sheets.write(document.title, TITLE_PT, bold=True)
    if document.subtitle:
        sheets.write(document.subtitle, TEXT_PT)
    for block in document.blocks:
        sheets.y += 3
        match block:
            case Heading():
                sheets.y += 2
                sheets.write(block.text, HEADING_PT, bold=True)
            case Paragraph():
                sheets.write(block.text, TEXT_PT)
            case Details():
                _details(sheets, block)
            case Table():
                _table(sheets, block, formats)
            case Note():
                _note(sheets, block)
            case SignLines():
                _sign_lines(sheets, block)
            case AddressPair():
                _addresses(sheets, block)
            case TotalsBox():
                _totals(sheets, block)
            case _:
                raise TypeError(f"{type(block).__name__} cannot be laid out on plain pages")
    return sheets.finish()


def _details(sheets: _Sheets, block: Details) -> None:
    first = max((text_width_mm(label, TEXT_PT) for label, _ in block.pairs), default=0.0) + 5
    for label, value in block.pairs:
        lines = list(_wrap(value, sheets.room - first, TEXT_PT)) or [""]
        top = sheets.take(line_mm(TEXT_PT) * len(lines))
        sheets.add(TextRun(EDGE_MM, top + TEXT_PT * PT_MM, label, TEXT_PT))
        for at, line in enumerate(lines):
            y = top + line_mm(TEXT_PT) * at + TEXT_PT * PT_MM
            sheets.add(TextRun(EDGE_MM + first, y, line, TEXT_PT, bold=True))


def _addresses(sheets: _Sheets, block: AddressPair) -> None:
    half = sheets.room / 2
    parts = [
        [(address.title, SMALL_PT, False)]
        + [(line, TEXT_PT, True) for text in address.lines for line in _wrap(text, half, TEXT_PT)]
        for address in (block.left, block.right)
    ]
    top = sheets.take(line_mm(TEXT_PT) * max(len(lines) for lines in parts))
    for at, lines in enumerate(parts):
        for row, (text, size, bold) in enumerate(lines):
            y = top + line_mm(TEXT_PT) * row + TEXT_PT * PT_MM
            sheets.add(TextRun(EDGE_MM + at * half, y, text, size, bold and row == 1))


def _totals(sheets: _Sheets, block: TotalsBox) -> None:
    """Sums at the right edge, the last one under a rule."""
    right = EDGE_MM + sheets.room
    for at, (label, value) in enumerate(block.lines):
        is_last = at == len(block.lines) - 1
        top = sheets.take(line_mm(TEXT_PT) + (1 if is_last else 0))
        if is_last:
            sheets.add(Line(right - 90, top + 0.5, right, top + 0.5, _RULE_MM))
        y = top + TEXT_PT * PT_MM + (1 if is_last else 0)
        sheets.add(TextRun(right - 90, y, label, TEXT_PT, bold=is_last))
        wide = text_width_mm(value, TEXT_PT, bold=is_last)
        sheets.add(TextRun(right - wide, y, value, TEXT_PT, bold=is_last))


def _note(sheets: _Sheets, block: Note) -> None:
    if not block.is_caution:
        sheets.write(block.text, SMALL_PT)
        return
    lines = list(_wrap(f"⚠ {block.text}", sheets.room - 4, SMALL_PT))
    top = sheets.take(line_mm(SMALL_PT) * len(lines) + 1)
    for at, line in enumerate(lines):
        y = top + line_mm(SMALL_PT) * at + SMALL_PT * PT_MM
        sheets.add(TextRun(EDGE_MM + 4, y, line, SMALL_PT))
    sheets.add(Line(EDGE_MM + 1, top, EDGE_MM + 1, sheets.y - 1, 0.8))


def _sign_lines(sheets: _Sheets, block: SignLines) -> None:
    count = max(1, len(block.labels))
    wide = (sheets.room - 6 * (count - 1)) / count
    top = sheets.take(16.0)
    for at, label in enumerate(block.labels):
        x = EDGE_MM + at * (wide + 6)
        sheets.add(Line(x, top + 10, x + wide, top + 10, _RULE_MM))
        sheets.add(TextRun(x, top + 10 + SMALL_PT * PT_MM + 1, label, SMALL_PT))


def _table(sheets: _Sheets, table: Table, formats: Formats) -> None:
    """A ruled table whose empty cells are there to be written in."""
    rows = [
        ["" if value is None else show_value(value, column, formats)
         for value, column in zip(row, table.columns, strict=True)]
        for row in table.rows
    ]  # fmt: skip
    titles = [show_heading(one, formats) for one in table.columns]
    widths = _widths(table, titles, rows, sheets.room)
    for at, cells in enumerate([titles, *rows]):
        top = sheets.take(_ROW_MM)
        x = EDGE_MM
        for column, text, wide in zip(table.columns, cells, widths, strict=True):
            _cell(sheets, text, (x, top, wide), is_right=column.is_figure, bold=at == 0)
            sheets.add(Line(x, top, x, top + _ROW_MM, _RULE_MM))
            x += wide
        sheets.add(Line(x, top, x, top + _ROW_MM, _RULE_MM))
        for y in (top, top + _ROW_MM):
            sheets.add(Line(EDGE_MM, y, x, y, _RULE_MM * (2 if at == 0 else 1)))
    for note in table.notes:
        sheets.write(note, SMALL_PT)


def _cell(
    sheets: _Sheets, text: str, at: tuple[float, float, float], *, is_right: bool, bold: bool
) -> None:
    left, top, wide = at
    if not text:
        return
    size = SMALL_PT if bold else TEXT_PT
    fitted = fit_text(
        text, wide - 2 * _PAD_MM, height_mm=_ROW_MM, size_pt=size, min_pt=5, lines=2, bold=bold
    )
    tall = line_mm(fitted.size_pt)
    y = top + (_ROW_MM - tall * len(fitted.lines)) / 2 + fitted.size_pt * PT_MM * 0.95
    for line in fitted.lines:
        spare = wide - 2 * _PAD_MM - text_width_mm(line, fitted.size_pt, bold=bold)
        sheets.add(
            TextRun(left + _PAD_MM + (spare if is_right else 0), y, line, fitted.size_pt, bold)
        )
        y += tall


def _widths(
    table: Table, titles: Sequence[str], rows: Sequence[Sequence[str]], room: float
) -> list[float]:
    """Each column as wide as its texts or as it asks for, together as wide as the page."""
    wanted = []
    for at, column in enumerate(table.columns):
        texts = [text_width_mm(titles[at], SMALL_PT, bold=True)]
        texts += [text_width_mm(row[at], TEXT_PT) for row in rows]
        wanted.append(max(*texts, (column.width or 0) * 2.0) + 2 * _PAD_MM)
    scale = room / sum(wanted)
    return [one * scale for one in wanted]


def _wrap(text: str, width: float, size: float, *, bold: bool = False) -> Iterator[str]:
    for paragraph in text.splitlines():
        line = ""
        for word in paragraph.split():
            longer = f"{line} {word}".strip()
            if line and text_width_mm(longer, size, bold=bold) > width:
                yield line
                line = word
            else:
                line = longer
        yield line
