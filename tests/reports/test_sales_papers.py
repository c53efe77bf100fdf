"""Delivery notes and invoices: what stands on them, and that they can be printed."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pypdfium2
import pytest
from harvest_farm import KG, begin_harvest_farm

from farmdesk.actions.deliveries import DeliverLine, deliver, sell_now
from farmdesk.actions.invoices import issue_invoice, mark_paid
from farmdesk.actions.orders import take_order
from farmdesk.actions.packs import make_packs
from farmdesk.domain.catalogue import Customer, Farm, Product
from farmdesk.domain.codes import code_of, group_code
from farmdesk.errors import NotFound
from farmdesk.paper.documents import AddressPair, Details, Note, TotalsBox, write_document
from farmdesk.paper.tables import Table
from farmdesk.reports.farm_terms import read_terms
from farmdesk.reports.sales_papers import delivery_note, invoice


@pytest.fixture
def harvest(store):
    return begin_harvest_farm(store, tax="8.25")


@pytest.fixture
def lots(harvest):
    """A shiitake pick, and packs filled from two oyster picks."""
    shiitake = harvest.pick("SH", 3 * KG)
    picks = [harvest.pick("OY", 1 * KG, on=day) for day in ("2026-02-28", "2026-03-01")]
    punnet = harvest.products["oyster punnet"]
    amounts = {pick.id: 1 * KG for pick in picks}
    packs = harvest.do(lambda act: make_packs(act, product=punnet, count=8, from_picks=amounts))
    return shiitake, packs


@pytest.fixture
def delivery(harvest, lots):
    shiitake, packs = lots
    order = harvest.do(
        lambda act: take_order(
            act,
            customer=harvest.customers["inn"],
            due_on="2026-03-02",
            lines=[(harvest.products["shiitake loose"], Decimal(2), "lb", None)],
        )
    )
    lines = [
        DeliverLine(harvest.products["shiitake loose"], shiitake.id, 907_185, unit="lb"),
        DeliverLine(harvest.products["oyster punnet"], packs.id, count=6),
    ]
    return harvest.do(lambda act: deliver(act, order, lines, note="Leave at the back door"))


def blocks_of(document, kind):
    return [one for one in document.blocks if isinstance(one, kind)]


def read_note(harvest, delivery):
    with harvest.store.reading() as reading:
        return delivery_note(reading, delivery.id)


def read_invoice(harvest, bill):
    with harvest.store.reading() as reading:
        return invoice(reading, bill.id)


def test_a_delivery_note_says_who_what_which_lot_and_until_when(harvest, lots, delivery):
    shiitake, packs = lots
    note = read_note(harvest, delivery)
    (pair,) = blocks_of(note, AddressPair)
    assert tuple(pair.left.lines) == ("Nine Alders", "1 Ferry Lane", "Lower Quay")
    assert tuple(pair.right.lines) == ("Harbour Inn", "2 Quay")
    (details,) = blocks_of(note, Details)
    assert dict(details.pairs) == {
        "Number": "D-0001",
        "Delivered on": "Mar 2, 2026",
        "Order": "O-0001, taken Mar 2, 2026",
    }
    (table,) = blocks_of(note, Table)
    assert list(table.rows) == [
        (
            "Shiitake, loose", shiitake.name, group_code(code_of(shiitake.id)), "Mar 2, 2026",
            "2026-03-22", "2.00 lb",
        ),
        (
            "Oyster punnet", f"{packs.name} (from P-OY-0002, P-OY-0003)",
            group_code(code_of(packs.id)), "Feb 28, 2026 – Mar 1, 2026", packs.shelf_on, "6 packs",
        ),
    ]  # fmt: skip
    (totals,) = blocks_of(note, TotalsBox)
    assert list(totals.lines) == [("Packs", "6"), ("Net weight", "2.407 kg")]


def test_a_delivery_note_carries_its_cautions(harvest, delivery):
    notes = blocks_of(read_note(harvest, delivery), Note)
    assert any("Keep refrigerated" in one.text for one in notes)
    assert any(one.text == "Leave at the back door" for one in notes)
    cautions = [one.text for one in notes if one.is_caution]
    assert cautions == ["Shiitake: Cook thoroughly: raw shiitake can cause a rash."]
    punnet = harvest.products["oyster punnet"]
    harvest.do(
        lambda act: act.change("changed", act.need(Product, punnet), caution="Cook before eating.")
    )
    notes = blocks_of(read_note(harvest, delivery), Note)
    assert "Oyster punnet: Cook before eating." in [one.text for one in notes if one.is_caution]


def test_an_invoice_adds_up_on_paper(harvest, delivery):
    bill = harvest.do(lambda act: issue_invoice(act, delivery))
    paper = read_invoice(harvest, bill)
    (table,) = blocks_of(paper, Table)
    # 2 lb at 9.25 and 6 packs at 4.20: 18.50 + 25.20 = 43.70; 8.25 % is 3.60525, that is 3.61.
    assert [row[2:] for row in table.rows] == [
        ("2.00 lb", Decimal("9.25"), "lb", Decimal("18.50")),
        ("6 packs", Decimal("4.20"), "pack", Decimal("25.20")),
    ]
    (totals,) = blocks_of(paper, TotalsBox)
    assert list(totals.lines) == [
        ("Sum", "$43.70"),
        ("Tax 8.25%", "$3.61"),
        ("To pay", "$47.31"),
    ]
    (details,) = blocks_of(paper, Details)
    assert ("Please pay by", "Mar 16, 2026") in details.pairs
    harvest.do(lambda act: mark_paid(act, bill))
    (details,) = blocks_of(read_invoice(harvest, bill), Details)
    assert ("Paid on", "Mar 2, 2026") in details.pairs


def test_an_invoice_without_tax_says_only_what_to_pay(harvest, lots):
    harvest.do(lambda act: act.change("changed", act.farm, tax_percent=Decimal(0)))
    line = DeliverLine(harvest.products["oyster punnet"], lots[1].id, count=1)
    inn = harvest.customers["inn"]
    sold = harvest.do(lambda act: sell_now(act, customer=inn, lines=[line]))
    bill = harvest.do(lambda act: issue_invoice(act, sold))
    (totals,) = blocks_of(read_invoice(harvest, bill), TotalsBox)
    assert list(totals.lines) == [("To pay", "$4.20")]
    (table,) = blocks_of(read_note(harvest, sold), Table)
    assert next(iter(table.rows))[-1] == "1 pack"


def test_papers_speak_the_farms_language_and_zone(harvest, lots):
    harvest.do(
        lambda act: act.change(
            "changed", act.farm, locale="de_DE", currency="EUR", zone="Asia/Tokyo"
        )
    )
    line = DeliverLine(harvest.products["shiitake loose"], lots[0].id, 1_500_000, unit="kg")
    market = harvest.customers["market"]
    sold = harvest.do(
        lambda act: sell_now(act, customer=market, lines=[replace(line, price=Decimal("20.50"))])
    )
    bill = harvest.do(lambda act: issue_invoice(act, sold))
    (table,) = blocks_of(read_invoice(harvest, bill), Table)
    assert next(iter(table.rows))[2] == "1,500 kg"
    (totals,) = blocks_of(read_invoice(harvest, bill), TotalsBox)
    assert totals.lines[0] == ("Sum", "30,75\xa0€")


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_papers_are_written_as_pdf_on_one_page(harvest, delivery, tmp_path, paper):
    strange = "=HYPERLINK(“x”) & <Söhne> 店 🍄"
    inn = harvest.customers["inn"]
    harvest.do(lambda act: act.change("changed", act.need(Customer, inn), name=strange))
    bill = harvest.do(lambda act: issue_invoice(act, delivery))
    with harvest.store.reading() as reading:
        formats = read_terms(reading).formats
        papers = (delivery_note(reading, delivery.id), invoice(reading, bill.id))
    for name, document in zip(("note", "invoice"), papers, strict=True):
        path = tmp_path / f"{name}.pdf"
        assert write_document(document, path, formats=formats, page=paper) == 1
        with pypdfium2.PdfDocument(path) as pdf:
            text = pdf[0].get_textpage().get_text_range()
        assert "Nine Alders" in text
        assert "P-SH-0001" in text
    assert "$47.31" in text


def test_papers_of_nothing_are_not_found(harvest):
    with harvest.store.reading() as reading:
        assert reading.get(Farm, 1) is not None
        for make in (delivery_note, invoice):
            with pytest.raises(NotFound):
                make(reading, 7)
