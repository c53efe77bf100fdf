"""How well orders were filled: by quantity and by line, against what was asked."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.arithmetic.balance import Asked, measure_fill
from farmdesk.paper.tables import Column, Table
from farmdesk.store.order_fill import AskedLine, lines_asked
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr


@dataclass(frozen=True)
class FillRow:
    """One customer's lines due in some days; shares in percent, mass and packs apart.

    `as_asked` counts what came of the very product that was asked for; `with_swaps` what the
    customer agreed to take instead as well.
    """

    customer: str
    lines: int
    whole: int
    by_quantity: Decimal | None
    by_line: Decimal | None
    with_swaps: Decimal | None
    reasons: str


def read_fill(reading: Reading, first: str, last: str) -> list[FillRow]:
    """How the orders due from a day to another, both counted, were filled, by customer."""
    by_customer: dict[str, list[AskedLine]] = {}
    for one in lines_asked(reading, first, last):
        by_customer.setdefault(one.customer, []).append(one)
    return [_row(name, lines) for name, lines in sorted(by_customer.items())]


def fill_table(reading: Reading, first: str, last: str) -> Table:
    """The same as a table, with everybody together below."""
    columns = (
        Column("customer", tr("Customer")),
        Column("lines", tr("Lines asked"), "integer"),
        Column("whole", tr("Lines filled"), "integer"),
        Column("by_quantity", tr("Filled by quantity"), "percent"),
        Column("by_line", tr("Filled by line"), "percent"),
        Column("with_swaps", tr("With what was agreed instead"), "percent"),
        Column("reasons", tr("Why less")),
    )
    rows = read_fill(reading, first, last)
    everything = _row(tr("All"), list(lines_asked(reading, first, last)))
    notes = [
        tr(
            "Orders due in these days against what was asked, not against what there was. More on"
            " one line makes up for nothing on another. Mean of the lines, each by its own unit."
        )
    ]
    shown = [[getattr(one, column.key) for column in columns] for one in rows]
    totals = [getattr(everything, column.key) for column in columns] if rows else None
    return Table("fill", tr("Orders filled"), columns, shown, notes, totals=totals)


def _row(name: str, lines: list[AskedLine]) -> FillRow:
    # Kilograms and packs cannot be added: each line counts by the share of it that came.
    as_asked = [_share(one.asked, one.as_asked) for one in lines]
    swapped = [_share(one.asked, one.as_asked + one.swapped) for one in lines]
    fill = measure_fill(as_asked)
    return FillRow(
        customer=name,
        lines=len(lines),
        whole=sum(one.as_asked >= one.asked for one in lines),
        by_quantity=_fine(fill.by_quantity_percent),
        by_line=_fine(fill.by_line_percent),
        with_swaps=_fine(measure_fill(swapped).by_quantity_percent),
        reasons="; ".join(dict.fromkeys(one.reason for one in lines if one.reason)),
    )


def _share(asked: int, shipped: int) -> Asked:
    """A line as parts of a million, so that kilograms and packs weigh alike."""
    whole = 1_000_000
    return Asked(whole, min(whole, whole * shipped // asked) if asked else whole)


def _fine(percent: Decimal | None) -> Decimal | None:
    return None if percent is None else percent.quantize(Decimal("0.1"))
