"""The paper of a credit note, as values that any writer can print."""

from __future__ import annotations

from farmdesk.domain.catalogue import Customer, Product
from farmdesk.domain.trade import CreditLine, CreditNote, DeliveryLine, GoodsReturn, Invoice
from farmdesk.paper.documents import Block, Details, Document, Note, TotalsBox
from farmdesk.paper.tables import Column, Table
from farmdesk.reports.farm_terms import read_terms
from farmdesk.reports.sales_lists import say_quantity
from farmdesk.reports.sales_papers import addresses, need, sum_lines
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_unit


def credit_note(reading: Reading, credit_id: int, *, now: str | None = None) -> Document:
    """The credit note: what is taken off which invoice, and why. Raises NotFound."""
    terms = read_terms(reading, now, for_others=True)
    formats = terms.formats
    credit = need(reading.get(CreditNote, credit_id), "credit_note", credit_id)
    bill = need(reading.get(Invoice, credit.invoice), "invoice", credit.invoice)
    customer = need(reading.get(Customer, credit.customer), "customer", credit.customer)
    lines = reading.all(CreditLine, credit_note=credit.id)
    rows = []
    came_back = False
    for one in lines:
        sent = need(reading.get(DeliveryLine, one.delivery_line), "line", one.delivery_line)
        product = need(reading.get(Product, sent.product), "product", sent.product)
        quantity = say_quantity(one.quantity, one.unit, formats)
        rows.append((product.name, quantity, one.unit_price, say_unit(one.unit), one.total))
        returns = reading.all(GoodsReturn, delivery_line=sent.id)
        came_back = came_back or any(back.returned_on == credit.issued_on for back in returns)
    columns = (
        Column("product", tr("Product")),
        Column("quantity", tr("Quantity"), "number"),
        Column("unit_price", tr("Price"), "money"),
        Column("unit", tr("for one")),
        Column("total", tr("Amount"), "money"),
    )
    blocks: list[Block] = [
        addresses(terms, customer, tr("Credit to")),
        Details([
            (tr("Number"), credit.name),
            (tr("Date"), formats.day(credit.issued_on)),
            (tr("For invoice"), f"{bill.name}, {formats.day(bill.issued_on)}"),
            (tr("Why"), credit.reason),
        ]),
        Table("credit", tr("Lines"), columns, rows),
        TotalsBox(sum_lines(reading, credit, terms, tr("Credited"))),
    ]  # fmt: skip
    if came_back:
        blocks.append(Note(tr("The goods came back. They are not sold again.")))
    if credit.note:
        blocks.append(Note(credit.note))
    title = tr("Credit note {name}").format(name=credit.name)
    footer = f"{terms.farm.name} · {title}"
    return Document(title=title, blocks=blocks, footer=footer, author=terms.farm.name)
