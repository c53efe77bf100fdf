"""Wall cards: several to a page, to be cut apart and hung; and a sheet of keys for weights."""

from __future__ import annotations

import functools
from collections.abc import Iterable, Iterator, Mapping

from farmdesk.errors import Refused, problem
from farmdesk.labels.fields import LabelItem
from farmdesk.labels.layout_files import Layout
from farmdesk.labels.sheets import label_pages
from farmdesk.labels.stocks import Stock, load_stocks
from farmdesk.paper.pages import Line, Page
from farmdesk.settings.places import resource_path

_CUT_MM = 0.1


def card_pages(
    items: Iterable[LabelItem],
    page: str = "a4",
    *,
    folder: str = "cards",
    layouts: Mapping[str, Layout] | None = None,
) -> Iterator[Page]:
    """Pages of wall cards with lines to cut along; `page` is `a4` or `letter`.

    `folder` is `cards`, or `keys` for the small ones that type weights. Raises Refused
    (`card_page_unknown`) at once.
    """
    pages = _card_stocks(folder)
    if page not in pages:
        raise Refused(problem("card_page_unknown", page=page, known=", ".join(sorted(pages))))
    stock = pages[page]
    cuts = tuple(_cut_lines(stock))
    return (
        Page(one.width_mm, one.height_mm, (*one.marks, *cuts))
        for one in label_pages(items, stock, layouts=layouts)
    )


@functools.cache
def _card_stocks(folder: str) -> Mapping[str, Stock]:
    return load_stocks(resource_path("stocks", folder))


def _cut_lines(stock: Stock) -> Iterator[Line]:
    """Hairlines along every edge of the cards, from one outer edge to the other."""
    left, top = stock.left_um / 1000, stock.top_um / 1000
    wide, tall = stock.column_step_um / 1000, stock.row_step_um / 1000
    right, bottom = left + stock.columns * wide, top + stock.rows * tall
    for column in range(stock.columns + 1):
        x = left + column * wide
        yield Line(x, top, x, bottom, _CUT_MM)
    for row in range(stock.rows + 1):
        y = top + row * tall
        yield Line(left, y, right, y, _CUT_MM)
