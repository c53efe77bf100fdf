"""Credit notes: what is taken off an invoice again; and goods that came back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.invoices import make_taxes, rate_of
from farmdesk.actions.paper_numbers import next_name
from farmdesk.actions.payments import free_surplus, settle
from farmdesk.arithmetic.money_sums import InvoiceTotals, Taxed, total_invoice
from farmdesk.domain.catalogue import Reason
from farmdesk.domain.codes import name_for
from farmdesk.domain.trade import (
    CreditLine,
    CreditNote,
    DeliveryLine,
    GoodsReturn,
    Invoice,
    InvoiceTax,
    wanted_mg,
)
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.money import round_money
from farmdesk.store.accounts import open_of_invoice
from farmdesk.store.sales import lines_of_delivery


@dataclass(frozen=True)
class CreditWish:
    """How much of a delivered line is credited, in the line's unit."""

    line: int
    quantity: Decimal


def credit_invoice(
    act: Act,
    invoice: Invoice,
    wishes: Sequence[CreditWish],
    *,
    reason: str,
    issued_on: str | None = None,
    note: str = "",
    returned: int | None = None,
) -> CreditNote:
    """Take lines off an invoice, whole or in part; a whole line is taken off to the cent.

    `returned` is a reason: the goods came back too, and are recorded as returns. They never
    become sellable again. What was paid too much settles the customer's next invoices. Raises
    Refused for more than was billed and not credited yet.
    """
    invoice = act.need(Invoice, invoice.id)  # another station may have got it paid meanwhile
    day = issued_on or act.day
    known = {one.id: one for one in lines_of_delivery(act.tx, invoice.delivery)}
    before = _credited(act, known)
    asked = [one for one in wishes if one.quantity]
    problems = [
        *check_text("reason", reason, needed=True),
        *check_text("note", note, needed=False, long=True),
        *_check_day(act, invoice, day),
        *(each for one in asked for each in _check(invoice, one, known, before)),
    ]
    if not asked:
        problems.append(problem("credit_nothing", field="lines", invoice=invoice.name))
    if problems:
        raise Refused(*problems)
    rows = [_price(act, known[one.line], one.quantity, before) for one in asked]
    rates = [rate_of(act, known[one.line]) for one in asked]
    taxed = [Taxed(total, rate) for total, rate in zip(rows, rates, strict=True)]
    sums = _settle_taxes(act, invoice, total_invoice(taxed, currency=act.farm.currency))
    made = act.make(
        "credit_issued",
        CreditNote(
            id=act.next_id("credit_note"), name=next_name(act, "credit_note"),
            customer=invoice.customer, invoice=invoice.id, issued_on=day, reason=reason.strip(),
            net=sums.net, tax=sums.tax, total=sums.total, note=note.strip(),
        ),
    )  # fmt: skip
    for wish, total, rate in zip(asked, rows, rates, strict=True):
        line = known[wish.line]
        act.make(
            "credit_line_made",
            CreditLine(act.next_id("credit_line"), made.id, line.id, wish.quantity, line.unit,
                       line.unit_price, total, rate),
        )  # fmt: skip
        if returned is not None:
            take_back_goods(act, line, wish.quantity, reason=returned, on=day)
    make_taxes(act, sums, credit_note=made.id)
    if invoice.paid_on is None and open_of_invoice(act.tx, invoice) <= 0:
        act.change("invoice_settled", invoice, paid_on=day)
    free_surplus(act, invoice)
    settle(act, invoice.customer, on=day)
    return made


def take_back_goods(
    act: Act, line: DeliveryLine, quantity: Decimal, *, reason: int, on: str, note: str = ""
) -> GoodsReturn:
    """Record goods that a customer gave back; they do not go on sale again.

    Raises Refused for more than was delivered and not returned yet.
    """
    why = act.need(Reason, reason)
    is_pack = line.unit == "pack"
    packs = int(quantity) if is_pack else 0
    mass = line.amount_mg * packs // line.count if is_pack else wanted_mg(quantity, line.unit)
    back = act.tx.all(GoodsReturn, delivery_line=line.id)
    have = (sum(one.count for one in back), sum(one.amount_mg for one in back))
    too_much = have[0] + packs > line.count if is_pack else have[1] + mass > line.amount_mg
    if too_much:
        # What a paper shows as the whole quantity is the whole quantity.
        if is_pack or quantity < line.quantity or back:
            raise Refused(problem("return_above_sent", field="lines"))
        mass = line.amount_mg
    return_id = act.next_id("goods_return")
    return act.make(
        "goods_returned",
        GoodsReturn(
            id=return_id, name=name_for("goods_return", act.running("goods_return", return_id)),
            delivery_line=line.id, reason=why.id, amount_mg=mass, count=packs, returned_on=on,
            person=act.who.person, note=note.strip(),
        ),
    )  # fmt: skip


def _credited(act: Act, lines: dict[int, DeliveryLine]) -> dict[int, tuple[Decimal, Decimal]]:
    found: dict[int, tuple[Decimal, Decimal]] = {}
    for line in lines:
        for one in act.tx.all(CreditLine, delivery_line=line):
            quantity, total = found.get(line, (Decimal(0), Decimal(0)))
            found[line] = (quantity + one.quantity, total + one.total)
    return found


def _check_day(act: Act, invoice: Invoice, day: str) -> Iterator[Problem]:
    if day > act.day:
        yield problem("day_in_future", field="issued_on", day=day, today=act.day)
    if day < invoice.issued_on:
        facts = {"day": day, "invoice": invoice.name, "issued_on": invoice.issued_on}
        yield problem("credit_before_invoice", field="issued_on", **facts)


def _check(
    invoice: Invoice,
    wish: CreditWish,
    known: dict[int, DeliveryLine],
    before: dict[int, tuple[Decimal, Decimal]],
) -> Iterator[Problem]:
    line = known.get(wish.line)
    if line is None:
        yield problem("credit_other_line", field="lines", invoice=invoice.name)
        return
    rest = line.quantity - before.get(line.id, (Decimal(0), Decimal(0)))[0]
    if not wish.quantity.is_finite() or wish.quantity < 0:
        yield problem("credit_wrong", field="lines", invoice=invoice.name)
    elif wish.quantity > rest:
        facts = {"rest": f"{rest.normalize():f} {line.unit}", "invoice": invoice.name}
        yield problem("credit_above_invoice", field="lines", **facts)
    elif line.unit == "pack" and wish.quantity != wish.quantity.to_integral_value():
        yield problem("credit_wrong", field="lines", invoice=invoice.name)


def _price(
    act: Act,
    line: DeliveryLine,
    quantity: Decimal,
    before: dict[int, tuple[Decimal, Decimal]],
) -> Decimal:
    """What a part of a line is worth; the last part takes off what is left, to the cent."""
    gone, credited = before.get(line.id, (Decimal(0), Decimal(0)))
    rest = line.total - credited
    if gone + quantity == line.quantity:
        return rest
    return min(rest, round_money(quantity * line.unit_price, act.farm.currency))


def _settle_taxes(act: Act, invoice: Invoice, sums: InvoiceTotals) -> InvoiceTotals:
    """Taxes of a credit note that never take off more than is left of the invoice's.

    Tax is rounded on each paper: of several credit notes the last takes off what is left.
    """
    notes = {one.id for one in act.tx.all(CreditNote, invoice=invoice.id)}
    left = {one.percent: [one.net, one.tax] for one in act.tx.all(InvoiceTax, invoice=invoice.id)}
    for note in notes:
        for one in act.tx.all(InvoiceTax, credit_note=note):
            left[one.percent][0] -= one.net
            left[one.percent][1] -= one.tax
    taxes = []
    for rate in sums.taxes:
        net, tax = left[rate.tax_percent]
        taxes.append(replace(rate, tax=tax if rate.net == net else min(rate.tax, tax)))
    total = sums.net + sum((rate.tax for rate in taxes), Decimal(0))
    return InvoiceTotals(sums.net, tuple(taxes), total)
