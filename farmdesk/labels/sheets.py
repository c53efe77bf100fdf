"""Labels fill sheets, or come off a roll one by one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from farmdesk.errors import Refused, problem
from farmdesk.labels.fields import LabelItem
from farmdesk.labels.layout import Prepared, place_marks, prepare
from farmdesk.labels.layout_files import Layout, shipped_layouts
from farmdesk.labels.stocks import Stock
from farmdesk.paper.pages import Mark, Page


def label_pages(
    items: Iterable[LabelItem],
    stock: Stock,
    *,
    start: int = 1,
    layouts: Mapping[str, Layout] | None = None,
) -> Iterator[Page]:
    """The pages these labels fill, made one at a time.

    `start` is the first free label of a used sheet, counted along the rows from 1. Raises Refused
    (`label_start_outside`) at once, and for a label that cannot be laid out when its page is made.
    """
    if not 1 <= start <= stock.labels:
        raise Refused(
            problem("label_start_outside", stock=stock.name, last=stock.labels, start=start)
        )
    return _fill_pages(items, stock, start - 1, shipped_layouts() if layouts is None else layouts)


def label_corner_mm(stock: Stock, place: int) -> tuple[float, float]:
    """The top left corner, on its page, of the label at this place (from 0, along the rows)."""
    row, column = divmod(place, stock.columns)
    x = stock.left_um + column * stock.column_step_um
    return x / 1000, (stock.top_um + row * stock.row_step_um) / 1000


def find_layout(layouts: Mapping[str, Layout], kind: str) -> Layout:
    """The layout for a kind of label; Refused (`layout_missing`) when there is none."""
    if kind not in layouts:
        raise Refused(problem("layout_missing", layout=kind, known=", ".join(sorted(layouts))))
    return layouts[kind]


def _fill_pages(
    items: Iterable[LabelItem], stock: Stock, place: int, layouts: Mapping[str, Layout]
) -> Iterator[Page]:
    width, height = stock.page_width_um / 1000, stock.page_height_um / 1000
    corners = [label_corner_mm(stock, one) for one in range(stock.labels)]
    ready: dict[str, Prepared] = {}
    marks: list[Mark] = []
    for item in items:
        prepared = ready.get(item.kind)
        if prepared is None:
            prepared = ready[item.kind] = prepare(find_layout(layouts, item.kind), stock)
        x, y = corners[place]
        marks += place_marks(item, prepared, x, y)
        place += 1
        if place == stock.labels:
            yield Page(width, height, tuple(marks))
            place, marks = 0, []
    if marks:
        yield Page(width, height, tuple(marks))
