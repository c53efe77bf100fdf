"""The list to pack orders by: which lots lie where, and how much of each is for whom."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from farmdesk.domain.catalogue import Product, Room
from farmdesk.domain.codes import code_of
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.paper.tables import Column, Table
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr


@dataclass(frozen=True)
class PackingLine:
    """An amount of one lot for one customer, mg or packs."""

    lot: int
    product: int
    order: str
    customer: str
    amount_mg: int = 0
    packs: int = 0


def packing_table(
    reading: Reading,
    lines: Sequence[PackingLine],
    short: Sequence[str],
    *,
    now: str | None = None,
) -> Table:
    """The lines in the order of a walk through the cold store; `short` says what there is not."""
    terms = read_terms(reading, now)
    rooms = {one.id: one.name for one in reading.all(Room)}
    products = {one.id: one.name for one in reading.all(Product)}
    rows = sorted(_row(reading, one, terms, rooms, products) for one in lines)
    columns = (
        Column("place", tr("Place")),
        Column("lot", tr("Lot")),
        Column("code", tr("Code"), "code"),
        Column("product", tr("Product")),
        Column("amount", tr("Take")),
        Column("order", tr("Order")),
        Column("customer", tr("For")),
        Column("shelf_on", tr("Shelf date"), "day"),
        Column("packed", tr("Packed")),
    )
    notes = [
        tr("Lots that end first are taken first, as far as each customer accepts them."),
        *short,
    ]
    return Table("packing", tr("Packing list"), columns, rows, notes)


def _row(
    reading: Reading,
    one: PackingLine,
    terms: FarmTerms,
    rooms: Mapping[int, str],
    products: Mapping[int, str],
) -> tuple[str, ...]:
    lot: Pick | Pack | None = (
        reading.get(Pack, one.lot) if one.packs else reading.get(Pick, one.lot)
    )
    place = "" if lot is None else rooms.get(lot.room or 0, "")
    amount = (
        terms.formats.count(one.packs, "pack", "packs")
        if one.packs
        else terms.formats.mass(one.amount_mg)
    )
    name, shelf = ("", "") if lot is None else (lot.name, lot.shelf_on or "")
    return (
        place or tr("no place told"), name, code_of(one.lot), products.get(one.product, ""),
        amount, one.order, one.customer, shelf, "☐ ______",
    )  # fmt: skip
