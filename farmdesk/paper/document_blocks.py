"""The blocks of a document as flowables of the PDF writer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Spacer
from reportlab.platypus import PageBreak as NewPage
from reportlab.platypus import Table as Grid

from farmdesk.paper.chart_drawing import draw_chart
from farmdesk.paper.charts import Chart
from farmdesk.paper.document_parts import (
    Address,
    AddressPair,
    Block,
    Columns,
    Details,
    Figure,
    Figures,
    Heading,
    Note,
    PageBreak,
    Paragraph,
    SignLines,
    TotalsBox,
)
from farmdesk.paper.document_styles import CAUTION, HAIR, INK, MUTED, RULE, SHADE, Look
from farmdesk.paper.table_drawing import draw_table
from farmdesk.paper.tables import Table
from farmdesk.wording.formats import Formats

Rules = list[tuple[object, ...]]

_FIGURES_IN_A_ROW = 5
_GUTTER = 7 * mm
_CHART_RATIO = 0.42
_BARE: Rules = [
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]


@dataclass(frozen=True)
class Setting:
    """What a block is set with: the look, the formats and the room of a page in points."""

    look: Look
    formats: Formats
    width: float
    height: float

    def narrowed(self, width: float) -> Setting:
        """The same in a narrower place."""
        return Setting(self.look, self.formats, width, self.height)


def draw_blocks(blocks: Sequence[Block], setting: Setting) -> list[Flowable]:
    """All blocks in order, with white space between them."""
    drawn: list[Flowable] = []
    before: Block | None = None
    for block in blocks:
        if before is not None and not isinstance(block, PageBreak):
            drawn.append(Spacer(0, _gap(before, block)))
        drawn += _draw(block, setting)
        before = block
    return drawn


def _gap(before: Block, block: Block) -> float:
    if isinstance(before, Heading):
        return 3
    return 16 if isinstance(block, Heading | Columns) else 10


def _draw(block: Block, at: Setting) -> list[Flowable]:  # noqa: PLR0911 - one line for each block
    match block:
        case Heading():
            return _heading(block, at)
        case Paragraph():
            return [at.look.text(block.text, "body")]
        case Figures():
            return [_figures(block, at)]
        case Details():
            return [_details(block, at)]
        case AddressPair():
            return [_addresses(block, at)]
        case TotalsBox():
            return [_totals(block, at)]
        case Note():
            return [_note(block, at)]
        case SignLines():
            return [_sign_lines(block, at)]
        case Columns():
            return _columns(block, at)
        case PageBreak():
            return [NewPage()]
        case Table():
            return draw_table(block, at.width, look=at.look, formats=at.formats)
        case Chart():
            return [_chart(block, at)]


def _heading(block: Heading, at: Setting) -> list[Flowable]:
    text = at.look.text(block.text, "heading", is_bold=True)
    return [CondPageBreak(70), text]


def _chart(block: Chart, at: Setting) -> Flowable:
    height = min(max(at.width * _CHART_RATIO, 120), 210)
    return draw_chart(block, at.width, height, look=at.look, formats=at.formats)


def _figures(block: Figures, at: Setting) -> Flowable:
    items = list(block.items)
    in_a_row = min(_FIGURES_IN_A_ROW, max(1, len(items)))
    while in_a_row > 1 and not _values_fit(items, at.width / in_a_row, at.look):
        in_a_row -= 1
    rows = [items[start : start + in_a_row] for start in range(0, len(items), in_a_row)]
    cells = [
        [_figure(item, at.look) for item in row] + [""] * (in_a_row - len(row)) for row in rows
    ]
    pad = 7
    rules: Rules = [
        ("LINEBELOW", (0, 0), (-1, -1), 0.5, HAIR),
        ("LINEAFTER", (0, 0), (-2, -1), 0.5, HAIR),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), pad),
        ("RIGHTPADDING", (0, 0), (-1, -1), 4),
        ("LEFTPADDING", (0, 0), (0, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), pad),
    ]
    return _grid(cells or [[""]], [at.width / in_a_row] * in_a_row, rules)


def _values_fit(items: Sequence[Figure], width: float, look: Look) -> bool:
    room = width - 12
    return all(look.width(item.value, "figure", is_bold=True) <= room for item in items)


def _figure(item: Figure, look: Look) -> list[Flowable]:
    parts: list[Flowable] = [
        look.text(item.label, "small", colour=MUTED),
        look.text(item.value, "figure", is_bold=True),
    ]
    if item.detail:
        parts += [Spacer(0, 1.5), look.text(item.detail, "small", colour=MUTED)]
    return parts


def _details(block: Details, at: Setting) -> Flowable:
    labels = [label for label, _ in block.pairs]
    widest = max((at.look.width(label, "body") for label in labels), default=0.0)
    first = min(widest + 14, at.width * 0.45)
    cells = [
        [at.look.text(label, "body", colour=MUTED), at.look.text(value, "body")]
        for label, value in block.pairs
    ]
    rules = [*_BARE, ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5)]
    return _grid(cells or [["", ""]], [first, at.width - first], rules)


def _addresses(block: AddressPair, at: Setting) -> Flowable:
    half = at.width / 2
    cells = [[_address(block.left, at.look), _address(block.right, at.look)]]
    rules = [*_BARE, ("RIGHTPADDING", (0, 0), (0, -1), _GUTTER)]
    return _grid(cells, [half, half], rules)


def _address(address: Address, look: Look) -> list[Flowable]:
    parts: list[Flowable] = [look.text(address.title, "small", colour=MUTED), Spacer(0, 2)]
    for number, line in enumerate(address.lines):
        parts.append(look.text(line, "body", is_bold=number == 0))
    return parts


def _totals(block: TotalsBox, at: Setting) -> Flowable:
    width = min(at.width, max(at.width * 0.42, 190))
    last = len(block.lines) - 1
    cells = [
        [
            at.look.text(label, "body", is_bold=number == last),
            at.look.text(value, "body", is_bold=number == last, is_right=True),
        ]
        for number, (label, value) in enumerate(block.lines)
    ]
    rules: Rules = [
        *_BARE,
        ("TOPPADDING", (0, 0), (-1, -1), 2.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
        ("LINEABOVE", (0, -1), (-1, -1), 0.8, RULE),
        ("LINEBELOW", (0, -1), (-1, -1), 0.8, RULE),
    ]
    return _grid(cells or [["", ""]], [width * 0.55, width * 0.45], rules, align="RIGHT")


def _note(block: Note, at: Setting) -> Flowable:
    if not block.is_caution:
        return at.look.text(block.text, "small", colour=MUTED)
    cells = [
        [
            [
                at.look.text("Caution", "body", is_bold=True, colour=CAUTION),
                at.look.text(block.text, "body", colour=INK),
            ]
        ]
    ]
    pad = 6
    rules: Rules = [
        ("LINEBEFORE", (0, 0), (0, -1), 3, CAUTION),
        ("BACKGROUND", (0, 0), (-1, -1), SHADE),
        ("LEFTPADDING", (0, 0), (-1, -1), pad + 4),
        ("RIGHTPADDING", (0, 0), (-1, -1), pad),
        ("TOPPADDING", (0, 0), (-1, -1), pad * 0.7),
        ("BOTTOMPADDING", (0, 0), (-1, -1), pad),
    ]
    return _grid(cells, [at.width], rules)


def _sign_lines(block: SignLines, at: Setting) -> Flowable:
    count = max(1, len(block.labels))
    gutter = _GUTTER
    width = (at.width - gutter * (count - 1)) / count
    cells: list[object] = []
    widths: list[float] = []
    rules: Rules = [*_BARE, ("TOPPADDING", (0, 0), (-1, -1), 3)]
    for number, label in enumerate(block.labels or [""]):
        if number:
            cells.append("")
            widths.append(gutter)
        rules.append(("LINEABOVE", (len(cells), 0), (len(cells), 0), 0.6, INK))
        cells.append(at.look.text(label, "small", colour=MUTED))
        widths.append(width)
    return KeepTogether([Spacer(0, 34), _grid([cells], widths, rules)])


def _columns(block: Columns, at: Setting) -> list[Flowable]:
    count = max(1, len(block.parts))
    width = (at.width - _GUTTER * (count - 1)) / count
    narrow = at.narrowed(width)
    parts = [_without_breaks(draw_blocks(part, narrow)) for part in block.parts]
    if any(_height(part, narrow) > at.height * 0.9 for part in parts):
        return draw_blocks([one for part in block.parts for one in part], at)
    cells: list[object] = []
    widths: list[float] = []
    for number, part in enumerate(parts):
        if number:
            cells.append("")
            widths.append(_GUTTER)
        cells.append(part)
        widths.append(width)
    return [_grid([cells], widths, _BARE)] if cells else []


def _without_breaks(part: Sequence[Flowable]) -> list[Flowable]:
    """Beside others nothing may ask for a new page: it would be an empty one after them all."""
    return [one for one in part if not isinstance(one, CondPageBreak)]


def _height(part: Sequence[Flowable], at: Setting) -> float:
    return sum(float(one.wrap(at.width, at.height)[1]) for one in part)


def _grid(
    cells: Sequence[Sequence[object]],
    widths: Sequence[float],
    rules: Rules,
    *,
    align: str = "LEFT",
) -> Flowable:
    rows = [list(row) for row in cells]
    grid = Grid(rows, colWidths=list(widths), hAlign=align, splitInRow=1)
    grid.setStyle(rules)
    return grid
