"""The packing list of open orders: joint proposals, written in the order of the places."""

from __future__ import annotations

from collections.abc import Sequence

from farmdesk.actions.proposals import OrderProposal, propose_orders
from farmdesk.domain.catalogue import Customer, Product
from farmdesk.domain.trade import Order
from farmdesk.errors import Refused, problem
from farmdesk.paper.tables import Table
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.packing_list import PackingLine, packing_table
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr


def load_packing_list(store: FarmStore, orders: Sequence[int]) -> Table:
    """The packing list of these orders, all of them allocated together.

    Raises Refused when none of them is open.
    """
    with store.reading() as reading:
        found = [one for one in (reading.get(Order, each) for each in orders) if one is not None]
        waiting = [one for one in found if one.status == "open"]
        if not waiting:
            raise Refused(problem("packing_nothing_open"))
        proposals = propose_orders(reading, waiting)
        terms = read_terms(reading)
        names = {one.id: one.name for one in reading.all(Customer)}
        lines = [
            PackingLine(
                lot=line.lot, product=line.product, order=order.name,
                customer=names.get(order.customer, ""), amount_mg=line.amount_mg or 0,
                packs=line.count or 0,
            )
            for order, one in zip(waiting, proposals, strict=True)
            for line in one.lines
        ]  # fmt: skip
        short = [
            sentence
            for order, one in zip(waiting, proposals, strict=True)
            for sentence in _short(reading, order, one, terms)
        ]
        return packing_table(reading, lines, short)


def _short(reading: Reading, order: Order, one: OrderProposal, terms: FarmTerms) -> list[str]:
    said = []
    for short in one.short:
        product = reading.get(Product, short.product)
        amount = (
            terms.formats.count(short.count, "pack", "packs")
            if short.count
            else terms.formats.mass(short.amount_mg)
        )
        said.append(
            tr("{order} is short of {amount} {product}.").format(
                order=order.name, amount=amount, product=product.name if product else ""
            )
        )
    return said
