"""The papers of a sale: delivery note and invoice, as values that any writer can print."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from farmdesk.arithmetic.money_sums import MASS_DECIMALS
from farmdesk.domain.catalogue import Customer, Product, Species
from farmdesk.domain.codes import code_of, group_code, kind_of
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.trade import CreditNote, Delivery, DeliveryLine, Invoice, InvoiceTax, Order
from farmdesk.errors import NotFound, problem
from farmdesk.paper.documents import (
    Address,
    AddressPair,
    Block,
    Details,
    Document,
    Note,
    SignLines,
    TotalsBox,
)
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import local_day
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.accounts import settled_of
from farmdesk.store.sales import PickedInto, lines_of_delivery, picks_behind
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_unit

_KEEP_COLD = tr("Keep refrigerated. Fresh mushrooms: let the pack breathe, never seal it airtight.")
T = TypeVar("T")


@dataclass(frozen=True)
class _Sent:
    """A line of a delivery with all it names."""

    line: DeliveryLine
    product: Product
    lot: Pick | Pack
    picks: Sequence[PickedInto]


def delivery_note(reading: Reading, delivery_id: int, *, now: str | None = None) -> Document:
    """The delivery note: every lot with its days and its amount in the customer's unit.

    Raises NotFound.
    """
    terms = read_terms(reading, now, for_others=True)
    delivery = need(reading.get(Delivery, delivery_id), "delivery", delivery_id)
    customer = need(reading.get(Customer, delivery.customer), "customer", delivery.customer)
    sent = _read_lines(reading, delivery.id)
    facts = [
        (tr("Number"), delivery.name),
        (tr("Delivered on"), terms.formats.day(delivery.delivered_on)),
    ]
    if delivery.order is not None:
        order = need(reading.get(Order, delivery.order), "order", delivery.order)
        facts.append(
            (
                tr("Order"),
                tr("{name}, taken {taken_on}").format(
                    name=order.name, taken_on=terms.formats.day(order.taken_on)
                ),
            )
        )
    blocks: list[Block] = [
        addresses(terms, customer, tr("Deliver to")),
        Details(facts),
        _lots_table(sent, terms),
        TotalsBox(_amounts(sent, terms)),
        Note(_KEEP_COLD),
        *_cautions(reading, sent),
    ]
    if delivery.note:
        blocks.append(Note(delivery.note))
    blocks.append(SignLines((tr("Received by"), tr("Date and time"), tr("Temperature on arrival"))))
    return _document(tr("Delivery note {name}").format(name=delivery.name), blocks, terms)


def invoice(reading: Reading, invoice_id: int, *, now: str | None = None) -> Document:
    """The invoice: quantities as printed times prices, tax, and what is to be paid by when.

    Raises NotFound.
    """
    terms = read_terms(reading, now, for_others=True)
    bill = need(reading.get(Invoice, invoice_id), "invoice", invoice_id)
    delivery = need(reading.get(Delivery, bill.delivery), "delivery", bill.delivery)
    customer = need(reading.get(Customer, bill.customer), "customer", bill.customer)
    sent = _read_lines(reading, delivery.id)
    formats = terms.formats
    facts = [
        (tr("Number"), bill.name),
        (tr("Date"), formats.day(bill.issued_on)),
        (tr("Delivery"), f"{delivery.name}, {formats.day(delivery.delivered_on)}"),
        (tr("Please pay by"), formats.day(bill.due_on)),
    ]
    if bill.paid_on is not None:
        facts.append((tr("Paid on"), formats.day(bill.paid_on)))
    blocks: list[Block] = [
        addresses(terms, customer, tr("Bill to")),
        Details(facts),
        _bill_table(sent, terms),
        TotalsBox(_to_pay(reading, bill, terms)),
        *_cautions(reading, sent),
    ]
    if bill.note:
        blocks.append(Note(bill.note))
    return _document(tr("Invoice {name}").format(name=bill.name), blocks, terms)


def _document(title: str, blocks: Sequence[Block], terms: FarmTerms) -> Document:
    footer = f"{terms.farm.name} · {title}"
    return Document(title=title, blocks=blocks, footer=footer, author=terms.farm.name)


def _read_lines(reading: Reading, delivery: int) -> list[_Sent]:
    return [
        _Sent(
            line=line,
            product=need(reading.get(Product, line.product), "product", line.product),
            lot=_read_lot(reading, line.lot),
            picks=picks_behind(reading, line.lot),
        )
        for line in lines_of_delivery(reading, delivery)
    ]


def _read_lot(reading: Reading, lot: int) -> Pick | Pack:
    if kind_of(lot) == "pack":
        return need(reading.get(Pack, lot), "pack", lot)
    return need(reading.get(Pick, lot), "pick", lot)


def need(found: T | None, kind: str, thing_id: int) -> T:
    """What was found; raises NotFound when it was not."""
    if found is None:
        raise NotFound(problem("not_found", kind=kind, id=thing_id))
    return found


def addresses(terms: FarmTerms, customer: Customer, title: str) -> AddressPair:
    """The farm's address and a customer's, side by side."""
    ours = Address(tr("From"), (terms.farm.name, *_lines(terms.farm.address)))
    return AddressPair(ours, Address(title, (customer.name, *_lines(customer.address))))


def _lines(text: str) -> Iterable[str]:
    return (line.strip() for line in text.splitlines() if line.strip())


def _lots_table(sent: Sequence[_Sent], terms: FarmTerms) -> Table:
    columns = (
        Column("product", tr("Product")),
        Column("lot", tr("Lot")),
        Column("code", tr("Code"), "code"),
        Column("picked", tr("Picked")),
        Column("shelf_on", tr("Shelf date"), "day"),
        Column("quantity", tr("Quantity"), "number"),
    )
    rows = [
        (
            one.product.name,
            _lot_text(one),
            group_code(code_of(one.lot.id)),
            _picked_days(one, terms),
            one.lot.shelf_on,
            _quantity(one.line, terms),
        )
        for one in sent
    ]
    return Table("lots", tr("Lots"), columns, rows)


def _lot_text(one: _Sent) -> str:
    """A lot's name; of packs also the picks that were filled into them."""
    if isinstance(one.lot, Pick):
        return one.lot.name
    return tr("{name} (from {join})").format(
        name=one.lot.name, join=", ".join(pick.name for pick in one.picks)
    )


def _picked_days(one: _Sent, terms: FarmTerms) -> str:
    days = sorted({local_day(pick.picked_at, terms.farm.zone) for pick in one.picks})
    shown = [terms.formats.day(day) for day in dict.fromkeys([days[0], days[-1]])] if days else []
    return " – ".join(shown)


def _bill_table(sent: Sequence[_Sent], terms: FarmTerms) -> Table:
    columns = (
        Column("product", tr("Product")),
        Column("lot", tr("Lot")),
        Column("quantity", tr("Quantity"), "number"),
        Column("unit_price", tr("Price"), "money"),
        Column("unit", tr("for one")),
        Column("total", tr("Amount"), "money"),
    )
    rows = [
        (
            one.product.name,
            one.lot.name,
            _quantity(one.line, terms),
            one.line.unit_price,
            say_unit(one.line.unit),
            one.line.total,
        )
        for one in sent
    ]
    return Table("bill", tr("Lines"), columns, rows)


def _quantity(line: DeliveryLine, terms: FarmTerms) -> str:
    if line.unit == "pack":
        return terms.formats.count(line.count, "pack", "packs")
    return f"{terms.formats.number(line.quantity, MASS_DECIMALS[line.unit])} {line.unit}"


def _amounts(sent: Sequence[_Sent], terms: FarmTerms) -> list[tuple[str, str]]:
    packs = sum(one.line.count for one in sent)
    mass = terms.formats.mass(sum(one.line.amount_mg for one in sent))
    counted = [(tr("Packs"), terms.formats.number(packs))] if packs else []
    return [*counted, (tr("Net weight"), mass)]


def _to_pay(reading: Reading, bill: Invoice, terms: FarmTerms) -> list[tuple[str, str]]:
    """The invoice's sums; what was credited or paid in part before is taken off below."""
    rows = sum_lines(reading, bill, terms, tr("To pay"))
    credited, paid = settled_of(reading, [bill.id]).get(bill.id, (Decimal(0), Decimal(0)))
    if not credited and (not paid or paid == bill.total):
        return rows
    money = terms.formats.money
    rows[-1] = (tr("Total"), rows[-1][1])
    if credited:
        rows.append((tr("Credited"), money(-credited)))
    if paid:
        rows.append((tr("Paid"), money(-paid)))
    return [*rows, (tr("To pay"), money(bill.total - credited - paid))]


def sum_lines(
    reading: Reading, paper: Invoice | CreditNote, terms: FarmTerms, last: str
) -> list[tuple[str, str]]:
    """The sum, each rate of tax with what it is taken of, and the total of a paper."""
    money, percent = terms.formats.money, terms.formats.percent
    if isinstance(paper, Invoice):
        taxes = reading.all(InvoiceTax, invoice=paper.id)
    else:
        taxes = reading.all(InvoiceTax, credit_note=paper.id)
    if not taxes:
        return [(last, money(paper.total))]
    rows = [(tr("Sum"), money(paper.net))]
    for one in taxes:
        digits = max(0, -int(one.percent.normalize().as_tuple().exponent))
        rate = percent(one.percent, digits)
        if one.net == paper.net:
            rows.append((tr("Tax {rate}").format(rate=rate), money(one.tax)))
        else:
            text = tr("Tax {rate} of {net}").format(rate=rate, net=money(one.net))
            rows.append((text, money(one.tax)))
    return [*rows, (last, money(paper.total))]


def _cautions(reading: Reading, sent: Sequence[_Sent]) -> list[Note]:
    """What buyers must be told: the product's own caution, else its species' one."""
    found: dict[str, None] = {}
    for one in sent:
        if one.product.caution:
            found[f"{one.product.name}: {one.product.caution}"] = None
            continue
        for species_id in sorted({pick.species for pick in one.picks}):
            species = reading.get(Species, species_id)
            if species is not None and species.caution:
                found[f"{species.name}: {species.caution}"] = None
    return [Note(text, is_caution=True) for text in found]
