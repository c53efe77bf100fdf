"""A table set for paper: figures to the right, a heading row on each page, hairlines."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

from reportlab.platypus import Flowable, LongTable, Paragraph, Spacer
from reportlab.platypus import Table as Grid

from farmdesk.errors import Refused, problem
from farmdesk.paper.document_styles import HAIR, MUTED, RULE, Look, settable
from farmdesk.paper.tables import Column, Table, show_heading, show_value
from farmdesk.wording.formats import Formats

MOST_ROWS = 20_000
"""Rows that are still set on paper: some four hundred pages."""

_PADDING = 4.0
_LONG = 200
_SAMPLE = 400
_WIDEST_WORD = 0.3
_LONGEST_HEADING = 80
_LEAST_FOR_TEXTS = 0.25

Row = list[str]


def draw_table(table: Table, width: float, *, look: Look, formats: Formats) -> list[Flowable]:
    """The flowables of a table as wide as its place; raises Refused (`too_many_rows`)."""
    rows = _shown_rows(table, formats)
    headings = [_short(show_heading(column, formats)) for column in table.columns]
    totals = _shown(table.totals, table.columns, formats, empty="") if table.totals else None
    widths = _share_width(
        table.columns, [headings, *rows, *([totals] if totals else [])], width, look
    )
    cells: list[list[object]] = [
        [
            look.text(text, "small", is_bold=True, is_right=column.is_figure)
            for text, column in zip(headings, table.columns, strict=True)
        ]
    ]
    cells += [_cells(row, table.columns, widths, look) for row in rows]
    if totals:
        cells.append(_cells(totals, table.columns, widths, look, is_bold=True))
    kind = LongTable if len(rows) > _LONG else Grid
    drawn = kind(cells, colWidths=widths, repeatRows=1, splitInRow=1, hAlign="LEFT")
    drawn.setStyle(_rules(table, len(cells), look, has_totals=bool(totals)))
    flowables: list[Flowable] = [drawn]
    for note in table.notes:
        flowables += [Spacer(0, 3), look.text(note, "small", colour=MUTED)]
    return flowables


def _short(heading: str) -> str:
    """A heading row stands on each page, so it must leave room for the rows."""
    return heading if len(heading) <= _LONGEST_HEADING else f"{heading[: _LONGEST_HEADING - 1]}…"


def _shown_rows(table: Table, formats: Formats) -> list[Row]:
    rows = list(islice(iter(table.rows), MOST_ROWS + 1))
    if len(rows) > MOST_ROWS:
        raise Refused(problem("too_many_rows", sheet=table.title, limit=MOST_ROWS))
    return [_shown(row, table.columns, formats) for row in rows]


def _shown(
    row: Sequence[object], columns: Sequence[Column], formats: Formats, *, empty: str | None = None
) -> Row:
    return [
        empty if value is None and empty is not None else show_value(value, column, formats)
        for value, column in zip(row, columns, strict=True)
    ]


def _share_width(
    columns: Sequence[Column], rows: Sequence[Row], width: float, look: Look
) -> list[float]:
    """Widths that fill the place: texts stretch, then headings wrap, then texts wrap."""
    needs = [
        _needs(column, [row[index] for row in rows[:_SAMPLE]], width, look)
        for index, column in enumerate(columns)
    ]
    least, fair, full = ([need[level] for need in needs] for level in range(3))
    if sum(full) <= width:
        texts = [index for index, column in enumerate(columns) if column.kind == "text"]
        stretched = texts or range(len(columns))
        share = (width - sum(full)) / len(stretched)
        return [one + (share if index in stretched else 0) for index, one in enumerate(full)]
    for tight, loose in ((fair, full), (least, fair)):
        if sum(tight) <= width:
            part = (width - sum(tight)) / (sum(loose) - sum(tight))
            return [low + (high - low) * part for low, high in zip(tight, loose, strict=True)]
    return _squeeze(columns, least, width)


def _squeeze(columns: Sequence[Column], least: Sequence[float], width: float) -> list[float]:
    """Where even single words are too wide, texts give way before figures are broken."""
    texts = [index for index, column in enumerate(columns) if column.kind == "text"]
    texts_need = sum(least[index] for index in texts)
    left = width - sum(least) + texts_need
    if texts and left >= width * _LEAST_FOR_TEXTS:
        part = left / texts_need
        return [one * (part if index in texts else 1) for index, one in enumerate(least)]
    return [one * width / sum(least) for one in least]


def _needs(
    column: Column, texts: Sequence[str], width: float, look: Look
) -> tuple[float, float, float]:
    """The least width, the width that wraps only the heading, and the width that wraps nothing."""
    heading, *cells = texts
    pad = 2 * _PADDING + 0.5
    title = look.width(heading, "small", is_bold=True)
    title_word = max(look.width(word, "small", is_bold=True) for word in heading.split(" "))
    title_word = min(title_word, width * _WIDEST_WORD)
    widest = max((look.width(text, "cell", is_bold=True) for text in cells), default=0.0)
    word = widest
    if column.kind in ("text", "day", "instant"):
        words = {word for text in cells for word in text.split()}
        longest = max((look.width(one, "cell", is_bold=True) for one in words), default=0.0)
        word = min(longest, width * _WIDEST_WORD)
    return max(title_word, word) + pad, max(title_word, widest) + pad, max(title, widest) + pad


def _cells(
    row: Row,
    columns: Sequence[Column],
    widths: Sequence[float],
    look: Look,
    *,
    is_bold: bool = False,
) -> list[object]:
    """Cells that fit stay plain text, which is far quicker to set; the others wrap."""
    return [
        settable(text)
        if "\n" not in text and look.width(text, "cell", is_bold=is_bold) <= width - 2 * _PADDING
        else _wrapped(text, column, look, is_bold=is_bold)
        for text, column, width in zip(row, columns, widths, strict=True)
    ]


def _wrapped(text: str, column: Column, look: Look, *, is_bold: bool) -> Paragraph:
    return look.text(text, "cell", is_bold=is_bold, is_right=column.is_figure)


def _rules(table: Table, rows: int, look: Look, *, has_totals: bool) -> list[tuple[object, ...]]:
    pad, cell = _PADDING, look.style("cell")
    rules: list[tuple[object, ...]] = [
        ("FONT", (0, 1), (-1, -1), cell.fontName, cell.fontSize, cell.leading),
        ("TEXTCOLOR", (0, 1), (-1, -1), cell.textColor),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("VALIGN", (0, 1), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), pad),
        ("RIGHTPADDING", (0, 0), (-1, -1), pad),
        ("LEFTPADDING", (0, 0), (0, -1), 0),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 2.6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3.0),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, RULE),
    ]
    rules += [
        ("ALIGN", (index, 1), (index, -1), "RIGHT")
        for index, column in enumerate(table.columns)
        if column.is_figure
    ]
    last = rows - (2 if has_totals else 1)
    if last >= 1:
        rules.append(("LINEBELOW", (0, 1), (-1, last), 0.35, HAIR))
    if has_totals:
        bold = look.style("cell", is_bold=True)
        rules.append(("FONT", (0, -1), (-1, -1), bold.fontName, bold.fontSize, bold.leading))
        rules.append(("LINEABOVE", (0, -1), (-1, -1), 0.8, RULE))
    return rules
