"""A plain document as pages that are seen before they are printed, from the same values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from farmdesk.paper.charts import Chart
from farmdesk.paper.document_parts import (
    AddressPair,
    Block,
    Columns,
    Details,
    Document,
    Figure,
    Figures,
    Heading,
    Note,
    PageBreak,
    PageSize,
    Paragraph,
    SignLines,
    TotalsBox,
)
from farmdesk.paper.document_tables import RULE_MM, draw_table, least_table_mm
from farmdesk.paper.drawing_marks import marks_of
from farmdesk.paper.fonts import PT_MM, fit_text, line_mm, text_width_mm
from farmdesk.paper.page_filling import HEADING_PT, SMALL_PT, TEXT_PT, TITLE_PT, Sheets, wrap
from farmdesk.paper.pages import Line, Page, TextRun
from farmdesk.paper.table_pages import SIZES_MM
from farmdesk.paper.tables import Table
from farmdesk.wording.formats import Formats

_CLOSE_HEADING_PT, _FIGURE_PT, _WORD_PT = 10.5, 15.0, 7.0
_GAP_MM, _ABOVE_HEADING_MM, _BELOW_HEADING_MM = 3.0, 2.0, 0.8
_GUTTER_MM, _FIGURE_GAP_MM = 7.0, 4.0
_MOST_FIGURES, _LEAST_LINES = 5, 3
_CHART_RATIO, _LEAST_CHART_MM, _MOST_CHART_MM = 0.5, 42.0, 74.0
_PT = 72 / 25.4


def lay_out_document(
    document: Document, formats: Formats, *, page: PageSize = "A4"
) -> tuple[Page, ...]:
    """The pages of a document; a heading is never the last thing on one of them."""
    wide, tall = SIZES_MM[page]
    if document.is_wide:
        wide, tall = tall, wide
    sheets = Sheets(wide, tall, formats, document.is_dense)
    sheets.write(document.title, TITLE_PT, bold=True)
    if document.subtitle:
        sheets.write(document.subtitle, TEXT_PT)
    sheets.skip(_GAP_MM)
    _draw_blocks(sheets, [_settled(block) for block in document.blocks])
    return sheets.finish(document.footer)


def _settled(block: Block) -> Block:
    """Rows that come only once are kept, since they are measured before they are drawn."""
    if isinstance(block, Table):
        return replace(block, rows=list(block.rows))
    if isinstance(block, Columns):
        return Columns([[_settled(one) for one in part] for part in block.parts])
    return block


def _draw_blocks(sheets: Sheets, blocks: Sequence[Block]) -> None:
    before: Block | None = None
    for at, block in enumerate(blocks):
        if before is not None:
            sheets.skip(_gap(sheets, before, block))
        if isinstance(block, Heading):
            _heading(sheets, block, blocks[at + 1] if at + 1 < len(blocks) else None)
        else:
            _draw(sheets, block)
        before = block


def _gap(sheets: Sheets, before: Block, block: Block) -> float:
    if sheets.is_dense and isinstance(before, Heading):
        return _BELOW_HEADING_MM
    return _GAP_MM + (_ABOVE_HEADING_MM if isinstance(block, Columns) else 0.0)


def _draw(sheets: Sheets, block: Block) -> None:
    match block:
        case Paragraph():
            sheets.write(block.text, TEXT_PT)
        case Figures():
            _figures(sheets, block)
        case Details():
            _details(sheets, block)
        case Table():
            draw_table(sheets, block)
        case Chart():
            _chart(sheets, block)
        case Columns():
            _columns(sheets, block)
        case Note():
            _note(sheets, block)
        case SignLines():
            _sign_lines(sheets, block)
        case AddressPair():
            _addresses(sheets, block)
        case TotalsBox():
            _totals(sheets, block)
        case PageBreak():
            sheets.begin_page()
        case Heading():
            _heading(sheets, block, None)


def _heading(sheets: Sheets, block: Heading, after: Block | None) -> None:
    """A heading, on a new page where what it is about would not begin on this one."""
    size = _CLOSE_HEADING_PT if sheets.is_dense else HEADING_PT
    sheets.skip(_ABOVE_HEADING_MM)
    lines = len(list(wrap(block.text, sheets.room, size, bold=True)))
    kept = 0.0 if after is None else _gap(sheets, block, after) + _least_mm(sheets, after)
    if not sheets.has_room(lines * line_mm(size) + kept):
        sheets.begin_page()
    sheets.write(block.text, size, bold=True)


def _least_mm(sheets: Sheets, block: Block) -> float:
    """How much of a block must stand on the page of its heading, mm."""
    if isinstance(block, Table):
        least = least_table_mm(is_dense=sheets.is_dense)
        return min(least, _height(sheets, [block], sheets.room))
    if isinstance(block, Chart):
        return _chart_mm(sheets)
    if isinstance(block, Columns | Figures | SignLines):
        whole = _height(sheets, [block], sheets.room)
        return whole if whole <= sheets.most / 2 else _LEAST_LINES * line_mm(TEXT_PT)
    return _LEAST_LINES * line_mm(TEXT_PT)


def _height(sheets: Sheets, blocks: Sequence[Block], room: float) -> float:
    trial = sheets.strip(sheets.left, room, 0.0)
    _draw_blocks(trial, blocks)
    return trial.y


def _columns(sheets: Sheets, block: Columns) -> None:
    """Parts side by side; below each other where one of them is taller than a page."""
    count = max(1, len(block.parts))
    room = (sheets.room - _GUTTER_MM * (count - 1)) / count
    tallest = max((_height(sheets, part, room) for part in block.parts), default=0.0)
    if tallest > sheets.most:
        _draw_blocks(sheets, [one for part in block.parts for one in part])
        return
    top = sheets.take(tallest)
    for at, part in enumerate(block.parts):
        beside = sheets.strip(sheets.left + at * (room + _GUTTER_MM), room, top)
        _draw_blocks(beside, part)
        sheets.add(*beside.pages[0])


def _chart_mm(sheets: Sheets) -> float:
    return min(max(sheets.room * _CHART_RATIO, _LEAST_CHART_MM), _MOST_CHART_MM)


def _chart(sheets: Sheets, block: Chart) -> None:
    from farmdesk.paper.chart_drawing import draw_chart  # noqa: PLC0415  slow to load
    from farmdesk.paper.document_styles import Look  # noqa: PLC0415  slow to load

    tall = _chart_mm(sheets)
    top = sheets.take(tall)
    drawing = draw_chart(block, sheets.room * _PT, tall * _PT, look=Look(), formats=sheets.formats)
    sheets.add(*marks_of(drawing, left_mm=sheets.left, top_mm=top))


def _figures(sheets: Sheets, block: Figures) -> None:
    """Large figures side by side, as many in a row as their figures leave room for."""
    items = list(block.items)
    beside = min(_MOST_FIGURES, max(1, len(items)))
    widest = max((text_width_mm(one.value, _FIGURE_PT, bold=True) for one in items), default=0.0)
    while beside > 1 and widest > sheets.room / beside - _FIGURE_GAP_MM:
        beside -= 1
    for at in range(0, len(items), beside):
        _figures_row(sheets, items[at : at + beside], sheets.room / beside)


def _figures_row(sheets: Sheets, items: Sequence[Figure], each: float) -> None:
    parts = [
        [
            (fit_text(text, each - _FIGURE_GAP_MM, height_mm=line_mm(size) * lines + 0.1,
                      size_pt=size, min_pt=least, lines=lines, bold=is_bold), is_bold)
            for text, size, least, lines, is_bold in (
                (item.label, _WORD_PT, 6.0, 1, False),
                (item.value, _FIGURE_PT, 8.0, 1, True),
                (item.detail, _WORD_PT, _WORD_PT, 3, False),
            )
        ]
        for item in items
    ]  # fmt: skip
    tall = max(
        sum(len(fitted.lines) * line_mm(fitted.size_pt) for fitted, _ in part) for part in parts
    )
    top = sheets.take(tall + 2)
    for at, part in enumerate(parts):
        x, y = sheets.left + at * each, top
        if at:
            line_x = x - _FIGURE_GAP_MM / 2
            sheets.add(Line(line_x, top + 0.5, line_x, top + tall, RULE_MM / 2))
        for fitted, is_bold in part:
            for line in fitted.lines:
                run = TextRun(x, y + fitted.size_pt * PT_MM * 0.95, line, fitted.size_pt, is_bold)
                sheets.add(run)
                y += line_mm(fitted.size_pt)
    bottom, right = top + tall + 2, sheets.left + sheets.room
    sheets.add(Line(sheets.left, bottom, right, bottom, RULE_MM))


def _details(sheets: Sheets, block: Details) -> None:
    first = max((text_width_mm(label, TEXT_PT) for label, _ in block.pairs), default=0.0) + 5
    for label, value in block.pairs:
        lines = list(wrap(value, sheets.room - first, TEXT_PT, bold=True)) or [""]
        top = sheets.take(line_mm(TEXT_PT) * len(lines))
        sheets.add(TextRun(sheets.left, top + TEXT_PT * PT_MM, label, TEXT_PT))
        for at, line in enumerate(lines):
            y = top + line_mm(TEXT_PT) * at + TEXT_PT * PT_MM
            sheets.add(TextRun(sheets.left + first, y, line, TEXT_PT, bold=True))


def _addresses(sheets: Sheets, block: AddressPair) -> None:
    half = sheets.room / 2
    parts = [
        [(address.title, SMALL_PT, False)]
        + [(line, TEXT_PT, True) for text in address.lines for line in wrap(text, half, TEXT_PT)]
        for address in (block.left, block.right)
    ]
    top = sheets.take(line_mm(TEXT_PT) * max(len(lines) for lines in parts))
    for at, lines in enumerate(parts):
        for row, (text, size, bold) in enumerate(lines):
            y = top + line_mm(TEXT_PT) * row + TEXT_PT * PT_MM
            sheets.add(TextRun(sheets.left + at * half, y, text, size, bold and row == 1))


def _totals(sheets: Sheets, block: TotalsBox) -> None:
    """Sums at the right edge, the last one under a rule."""
    right = sheets.left + sheets.room
    for at, (label, value) in enumerate(block.lines):
        is_last = at == len(block.lines) - 1
        top = sheets.take(line_mm(TEXT_PT) + (1 if is_last else 0))
        if is_last:
            sheets.add(Line(right - 90, top + 0.5, right, top + 0.5, RULE_MM))
        y = top + TEXT_PT * PT_MM + (1 if is_last else 0)
        sheets.add(TextRun(right - 90, y, label, TEXT_PT, bold=is_last))
        wide = text_width_mm(value, TEXT_PT, bold=is_last)
        sheets.add(TextRun(right - wide, y, value, TEXT_PT, bold=is_last))


def _note(sheets: Sheets, block: Note) -> None:
    if not block.is_caution:
        sheets.write(block.text, SMALL_PT)
        return
    lines = list(wrap(f"⚠ {block.text}", sheets.room - 4, SMALL_PT))
    top = sheets.take(line_mm(SMALL_PT) * len(lines) + 1)
    for at, line in enumerate(lines):
        y = top + line_mm(SMALL_PT) * at + SMALL_PT * PT_MM
        sheets.add(TextRun(sheets.left + 4, y, line, SMALL_PT))
    sheets.add(Line(sheets.left + 1, top, sheets.left + 1, sheets.y - 1, 0.8))


def _sign_lines(sheets: Sheets, block: SignLines) -> None:
    count = max(1, len(block.labels))
    wide = (sheets.room - 6 * (count - 1)) / count
    top = sheets.take(16.0)
    for at, label in enumerate(block.labels):
        x = sheets.left + at * (wide + 6)
        sheets.add(Line(x, top + 10, x + wide, top + 10, RULE_MM))
        sheets.add(TextRun(x, top + 10 + SMALL_PT * PT_MM + 1, label, SMALL_PT))
