"""A table as pages that are seen before they are printed: columns fitted, then its charts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from farmdesk.paper.charts import Chart
from farmdesk.paper.documents import PageSize
from farmdesk.paper.drawing_marks import marks_of
from farmdesk.paper.fonts import fit_text, text_width_mm
from farmdesk.paper.pages import Line, Mark, Page, TextRun
from farmdesk.paper.tables import Column, Table, show_heading, show_value
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

SIZES_MM = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}
EDGE_MM, GAP_MM = 14.0, 3.0
ROW_MM = 5.4
TEXT_PT, TITLE_PT, LEAST_PT = 9.0, 14.0, 6.0
WIDEST_MM = 70.0
"""A column of long texts is not made wider than this; its texts are cut with …."""
_FOOT_MM, _CHART_MM = 8.0, 86.0
_MOST_LINES = 12
_PT = 72 / 25.4
_LOOKED_AT = 400


class StrongRow(tuple[object, ...]):
    """A row in bold, such as the heading of a group with its sums."""

    __slots__ = ()


class _Cell(NamedTuple):
    left: float
    width: float
    is_right: bool


class _Sheet(NamedTuple):
    wide: float
    tall: float
    cells: tuple[_Cell, ...]


def lay_out_table(table: Table, formats: Formats, *, page: PageSize = "A4") -> tuple[Page, ...]:
    """The pages of a table: upright, or lying where that makes the columns fit better."""
    rows = [(_texts(row, table, formats), isinstance(row, StrongRow)) for row in table.rows]
    if table.totals is not None:
        last = _texts(table.totals, table, formats)
        rows.append(([text if text != "–" else "" for text in last], True))
    titles = [show_heading(one, formats) for one in table.columns]
    sheet = _fit_columns(table.columns, titles, [texts for texts, _ in rows], SIZES_MM[page])
    notes = [line for note in table.notes for line in _lines_of(note, sheet)]
    parts = _split(rows, sheet, len(notes))
    drawn = _share_charts(table.charts, sheet)
    count = len(parts) + len(drawn)
    pages = [
        _page(sheet, table, titles, part, _say_place(number, count),
              notes=notes if number == 1 else None)
        for number, part in enumerate(parts, start=1)
    ]  # fmt: skip
    for number, charts in enumerate(drawn, start=len(parts) + 1):
        pages.append(_chart_page(sheet, table, charts, _say_place(number, count), formats))
    return tuple(pages)


def _lines_of(note: str, sheet: _Sheet) -> tuple[str, ...]:
    """A note in as many lines as it takes, in the size of the table's text."""
    return fit_text(
        note, sheet.wide - EDGE_MM * 2, height_mm=ROW_MM * _MOST_LINES, size_pt=TEXT_PT,
        min_pt=TEXT_PT, lines=_MOST_LINES,
    ).lines  # fmt: skip


def _share_charts(charts: Sequence[Chart], sheet: _Sheet) -> list[Sequence[Chart]]:
    room = sheet.tall - EDGE_MM * 2 - _FOOT_MM
    each = max(1, int(room / _CHART_MM))
    return [charts[at : at + each] for at in range(0, len(charts), each)]


def _chart_page(
    sheet: _Sheet, table: Table, charts: Sequence[Chart], foot: str, formats: Formats
) -> Page:
    from farmdesk.paper.chart_drawing import draw_chart  # noqa: PLC0415  slow to load
    from farmdesk.paper.document_styles import Look  # noqa: PLC0415  slow to load

    wide, marks = sheet.wide - EDGE_MM * 2, list[Mark]()
    for at, chart in enumerate(charts):
        drawing = draw_chart(
            chart, wide * _PT, (_CHART_MM - _FOOT_MM) * _PT, look=Look(), formats=formats
        )
        marks += marks_of(drawing, left_mm=EDGE_MM, top_mm=EDGE_MM + at * _CHART_MM)
    return Page(sheet.wide, sheet.tall, (*marks, *_foot(sheet, table, foot)))


def _say_place(number: int, count: int) -> str:
    return tr("Page {number} of {count}").format(number=number, count=count)


_Row = tuple[list[str], bool]


def _split(rows: list[_Row], sheet: _Sheet, note_lines: int) -> list[list[_Row]]:
    """Rows by page; the first has the title, and an empty table has one page too."""
    notes = ROW_MM * note_lines
    first = max(1, int((sheet.tall - EDGE_MM * 2 - _FOOT_MM - 12 - ROW_MM * 1.5 - notes) / ROW_MM))
    later = max(1, int((sheet.tall - EDGE_MM * 2 - _FOOT_MM - ROW_MM * 1.5) / ROW_MM))
    parts = [rows[:first]]
    parts += [rows[at : at + later] for at in range(first, len(rows), later)]
    return parts


def _texts(row: Sequence[object], table: Table, formats: Formats) -> list[str]:
    return [
        " ".join(show_value(value, column, formats).split()) if value is not None else ""
        for value, column in zip(row, table.columns, strict=True)
    ]


def _fit_columns(
    columns: Sequence[Column],
    titles: Sequence[str],
    rows: Sequence[Sequence[str]],
    size: tuple[float, float],
) -> _Sheet:
    wanted = [
        min(
            WIDEST_MM,
            max(
                text_width_mm(title, TEXT_PT, bold=True),
                max((text_width_mm(row[at], TEXT_PT) for row in rows[:_LOOKED_AT]), default=0.0),
            )
            + 1.0,
        )
        for at, title in enumerate(titles)
    ]
    short, long = size
    needed = sum(wanted) + GAP_MM * (len(wanted) - 1)
    wide, tall = (short, long) if needed <= short - EDGE_MM * 2 else (long, short)
    room = wide - EDGE_MM * 2 - GAP_MM * (len(wanted) - 1)
    if sum(wanted) > room:
        wanted = narrow_columns(wanted, room)
    cells: list[_Cell] = []
    left = EDGE_MM
    for column, width in zip(columns, wanted, strict=True):
        cells.append(_Cell(left, width, column.is_figure))
        left += width + GAP_MM
    return _Sheet(wide, tall, tuple(cells))


def narrow_columns(wanted: list[float], room: float) -> list[float]:
    """The widest columns give way first, all to one width, so that the narrow ones stay whole."""
    low, high = 0.0, max(wanted)
    for _ in range(40):
        middle = (low + high) / 2
        fits = sum(min(one, middle) for one in wanted) <= room
        low, high = (middle, high) if fits else (low, middle)
    return [min(one, low) for one in wanted]


def _page(
    sheet: _Sheet,
    table: Table,
    titles: Sequence[str],
    rows: Sequence[_Row],
    foot: str,
    *,
    notes: Sequence[str] | None,
) -> Page:
    marks: list[Mark] = []
    top = EDGE_MM
    right = sheet.wide - EDGE_MM
    if notes is not None:
        marks.append(TextRun(EDGE_MM, top + 5, table.title, TITLE_PT, bold=True))
        top += 12
        for line in notes:
            marks.append(TextRun(EDGE_MM, top + 4, line, TEXT_PT))
            top += ROW_MM
    for cell, title in zip(sheet.cells, titles, strict=True):
        marks += _put(cell, top + 4, title, bold=True)
    top += ROW_MM * 1.2
    marks.append(Line(EDGE_MM, top, right, top, 0.3))
    for texts, is_strong in rows:
        marks += _row(sheet, top, texts, is_strong=is_strong)
        top += ROW_MM
    return Page(sheet.wide, sheet.tall, (*marks, *_foot(sheet, table, foot)))


def _foot(sheet: _Sheet, table: Table, text: str) -> list[Mark]:
    below, right = sheet.tall - EDGE_MM, sheet.wide - EDGE_MM
    return [
        *_put(_Cell(EDGE_MM, right - EDGE_MM - 40, False), below, table.title, bold=False),
        *_put(_Cell(right - 40, 40, True), below, text, bold=False),
    ]


def _row(sheet: _Sheet, top: float, texts: Sequence[str], *, is_strong: bool) -> list[Mark]:
    marks: list[Mark] = []
    for at, (cell, text) in enumerate(zip(sheet.cells, texts, strict=True)):
        place = cell
        if is_strong and at == 0:
            empty = next((n for n in range(1, len(texts)) if texts[n]), len(texts)) - 1
            last = sheet.cells[empty]
            place = _Cell(
                cell.left, last.left + last.width - cell.left, cell.is_right and not empty
            )
        marks += _put(place, top + 4, text, bold=is_strong)
    if is_strong:
        right = sheet.wide - EDGE_MM
        marks.append(Line(EDGE_MM, top + ROW_MM, right, top + ROW_MM, 0.1))
    return marks


def _put(cell: _Cell, base: float, text: str, *, bold: bool) -> list[Mark]:
    if not text:
        return []
    size = TEXT_PT
    if text_width_mm(text, size, bold=bold) > cell.width:
        fitted = fit_text(
            text, cell.width, height_mm=ROW_MM, size_pt=TEXT_PT, min_pt=LEAST_PT, bold=bold
        )
        if not fitted.lines:
            return []
        size, text = fitted.size_pt, fitted.lines[0]
    left = cell.left
    if cell.is_right:
        left += cell.width - text_width_mm(text, size, bold=bold)
    return [TextRun(left, base, text, size, bold=bold)]
