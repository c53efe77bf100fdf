"""Tables of a document on its pages: wide rows to be written in, or close ones to be read."""

from __future__ import annotations

from collections.abc import Sequence

from farmdesk.paper.fonts import PT_MM, fit_text, line_mm, text_width_mm
from farmdesk.paper.page_filling import SMALL_PT, TEXT_PT, Sheets
from farmdesk.paper.pages import Line, Shape, TextRun
from farmdesk.paper.table_pages import narrow_columns
from farmdesk.paper.tables import EMPTY, Column, Table, show_heading, show_value
from farmdesk.wording.formats import Formats

RULE_MM = 0.2
_ROW_MM = 9.0
_PAD_MM = 1.5
_CLOSE_PT, _CLOSE_TITLE_PT, _LEAST_PT, _NOTE_PT = 8.5, 7.5, 6.0, 7.5
_CLOSE_MM, _CLOSE_GAP_MM, _SPARE_MM = 4.5, 3.0, 1.0
_HAIR_MM, _STRONG_MM = 0.12, 0.25
_HAIR_INK, _STRONG_INK = "#c6cbc2", "#5a5f57"
_MOST_LINES = 3

_Row = tuple[str, ...]


def draw_table(sheets: Sheets, table: Table) -> None:
    """A table with its totals as a bold last row, and its notes; close together if that is dense.

    In a dense document headings come again on each page and totals never stand alone.
    """
    empty = EMPTY if sheets.is_dense else ""
    rows = [_shown(row, table.columns, sheets.formats, empty) for row in table.rows]
    titles = tuple(show_heading(one, sheets.formats) for one in table.columns)
    totals = (
        None
        if table.totals is None
        else _shown(table.totals, table.columns, sheets.formats, empty="")
    )
    if sheets.is_dense:
        _draw_close(sheets, table.columns, titles, rows, totals)
    else:
        _draw_wide(sheets, table.columns, titles, rows, totals)
    for note in table.notes:
        sheets.skip(0.8 if sheets.is_dense else 0)
        sheets.write(note, _NOTE_PT if sheets.is_dense else SMALL_PT)


def least_table_mm(*, is_dense: bool) -> float:
    """The height of a table's headings and its first rows, which a heading is kept with."""
    return _CLOSE_MM * 5 if is_dense else _ROW_MM * 2


def _shown(row: Sequence[object], columns: Sequence[Column], formats: Formats, empty: str) -> _Row:
    return tuple(
        empty if value is None else show_value(value, column, formats)
        for value, column in zip(row, columns, strict=True)
    )


# ---- rows to be written in


def _draw_wide(
    sheets: Sheets,
    columns: Sequence[Column],
    titles: _Row,
    rows: Sequence[_Row],
    totals: _Row | None,
) -> None:
    """A ruled table whose empty cells are there to be written in."""
    last = [] if totals is None else [totals]
    widths = _wide_widths(columns, titles, [*rows, *last], sheets.room)
    for at, cells in enumerate([titles, *rows, *last]):
        top = sheets.take(_ROW_MM)
        x = sheets.left
        size = SMALL_PT if at == 0 else TEXT_PT
        is_bold = at == 0 or at > len(rows)
        for column, text, wide in zip(columns, cells, widths, strict=True):
            _wide_cell(
                sheets, text, (x, top, wide), size, is_right=column.is_figure, is_bold=is_bold
            )
            sheets.add(Line(x, top, x, top + _ROW_MM, RULE_MM))
            x += wide
        sheets.add(Line(x, top, x, top + _ROW_MM, RULE_MM))
        for y in (top, top + _ROW_MM):
            sheets.add(Line(sheets.left, y, x, y, RULE_MM * (2 if at == 0 else 1)))


def _wide_cell(
    sheets: Sheets,
    text: str,
    at: tuple[float, float, float],
    size: float,
    *,
    is_right: bool,
    is_bold: bool,
) -> None:
    left, top, wide = at
    if not text:
        return
    fitted = fit_text(
        text, wide - 2 * _PAD_MM, height_mm=_ROW_MM, size_pt=size, min_pt=5, lines=2, bold=is_bold
    )
    tall = line_mm(fitted.size_pt)
    y = top + (_ROW_MM - tall * len(fitted.lines)) / 2 + fitted.size_pt * PT_MM * 0.95
    for line in fitted.lines:
        spare = wide - 2 * _PAD_MM - text_width_mm(line, fitted.size_pt, bold=is_bold)
        x = left + _PAD_MM + (spare if is_right else 0)
        sheets.add(TextRun(x, y, line, fitted.size_pt, is_bold))
        y += tall


def _wide_widths(
    columns: Sequence[Column], titles: _Row, rows: Sequence[_Row], room: float
) -> list[float]:
    """Each column as wide as its texts or as it asks for, together as wide as the page."""
    wanted = []
    for at, column in enumerate(columns):
        texts = [text_width_mm(titles[at], SMALL_PT, bold=True)]
        texts += [text_width_mm(row[at], TEXT_PT) for row in rows]
        wanted.append(max(*texts, (column.width or 0) * 2.0) + 2 * _PAD_MM)
    scale = room / sum(wanted)
    return [one * scale for one in wanted]


# ---- rows close together


def _draw_close(
    sheets: Sheets,
    columns: Sequence[Column],
    titles: _Row,
    rows: Sequence[_Row],
    totals: _Row | None,
) -> None:
    """Light rules below the rows, stronger ones below the headings and above the totals."""
    lines = _CloseLines(sheets, columns, _close_widths(columns, titles, rows, totals, sheets.room))
    lines.draw(titles, _CLOSE_TITLE_PT, is_bold=True, rule=_STRONG_MM)
    sum_tall = 0.0 if totals is None else lines.height(totals, _CLOSE_PT, is_bold=True)
    for at, cells in enumerate(rows):
        is_last = at == len(rows) - 1
        needed = lines.height(cells, _CLOSE_PT) + (sum_tall if is_last else 0.0)
        if not sheets.has_room(needed):
            sheets.begin_page()
            lines.draw(titles, _CLOSE_TITLE_PT, is_bold=True, rule=_STRONG_MM)
        rule = _STRONG_MM if is_last and totals is not None else _HAIR_MM
        lines.draw(cells, _CLOSE_PT, rule=rule)
    if totals is not None:
        lines.draw(totals, _CLOSE_PT, is_bold=True)


class _CloseLines:
    """Lines of a close table in columns that are as wide as settled."""

    def __init__(self, sheets: Sheets, columns: Sequence[Column], widths: Sequence[float]) -> None:
        self._sheets, self._columns, self._widths = sheets, columns, widths

    def height(self, cells: _Row, size: float, *, is_bold: bool = False) -> float:
        """How tall a row of these cells is, mm."""
        fitted = self._fit(cells, size, is_bold=is_bold)
        tallest = max(len(lines) * line_mm(least) for least, lines in fitted)
        return max(_CLOSE_MM, tallest + _SPARE_MM)

    def draw(self, cells: _Row, size: float, *, is_bold: bool = False, rule: float = 0.0) -> None:
        """Put a row on the page, on a new one if need be."""
        sheets, tall = self._sheets, self.height(cells, size, is_bold=is_bold)
        top = sheets.take(tall)
        x = sheets.left
        fitted = self._fit(cells, size, is_bold=is_bold)
        for (least, lines), column, wide in zip(fitted, self._columns, self._widths, strict=True):
            # Headings stand on their rule, rows begin at the top.
            first = tall - _SPARE_MM / 2 - len(lines) * line_mm(least) if is_bold else None
            y = top + (_SPARE_MM / 2 if first is None else first) + least * PT_MM * 0.93
            for line in lines:
                spare = wide - text_width_mm(line, least, bold=is_bold)
                sheets.add(TextRun(x + (spare if column.is_figure else 0), y, line, least, is_bold))
                y += line_mm(least)
            x += wide + _CLOSE_GAP_MM
        if rule:
            right = sheets.left + sheets.room
            ends = ((sheets.left, top + tall), (right, top + tall))
            sheets.add(Shape(ends, rule, _HAIR_INK if rule == _HAIR_MM else _STRONG_INK))

    def _fit(
        self, cells: _Row, size: float, *, is_bold: bool
    ) -> list[tuple[float, tuple[str, ...]]]:
        """Each cell's size and lines: figures shrink, texts are wrapped."""
        found = []
        for text, column, wide in zip(cells, self._columns, self._widths, strict=True):
            is_figure = column.is_figure and size == _CLOSE_PT
            fitted = fit_text(
                " ".join(text.split()), wide, height_mm=line_mm(size) * _MOST_LINES + 0.1,
                size_pt=size, min_pt=_LEAST_PT if is_figure else size,
                lines=1 if is_figure else _MOST_LINES, bold=is_bold,
            )  # fmt: skip
            found.append((fitted.size_pt, fitted.lines))
        return found


def _close_widths(
    columns: Sequence[Column],
    titles: _Row,
    rows: Sequence[_Row],
    totals: _Row | None,
    room: float,
) -> list[float]:
    """Texts share what is left; where room is scarce headings wrap first, then texts."""
    room -= _CLOSE_GAP_MM * (len(columns) - 1)
    fair, full = list[float](), list[float]()
    for at, title in enumerate(titles):
        cells = [text_width_mm(row[at], _CLOSE_PT) for row in rows]
        if totals is not None:
            cells.append(text_width_mm(totals[at], _CLOSE_PT, bold=True))
        widest = max(cells, default=0.0)
        words = [text_width_mm(word, _CLOSE_TITLE_PT, bold=True) for word in title.split()]
        whole = text_width_mm(title, _CLOSE_TITLE_PT, bold=True)
        fair.append(max(widest, *words, 0.0) + 0.2)
        full.append(max(widest, whole) + 0.2)
    if sum(full) <= room:
        texts = [at for at, one in enumerate(columns) if not one.is_figure] or range(len(columns))
        share = (room - sum(full)) / len(texts)
        return [one + (share if at in texts else 0.0) for at, one in enumerate(full)]
    if sum(fair) <= room:
        part = (room - sum(fair)) / (sum(full) - sum(fair))
        return [low + (high - low) * part for low, high in zip(fair, full, strict=True)]
    return narrow_columns(fair, room)
