"""Taxes by line, numbers without gaps, credit notes, returns, payments and market days."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from harvest_farm import KG, NOW, TODAY, begin_harvest_farm

from farmdesk.actions.cold_store import remove_stock
from farmdesk.actions.credit_notes import CreditWish, credit_invoice
from farmdesk.actions.deliveries import DeliverLine, sell_now
from farmdesk.actions.invoices import issue_invoice, mark_paid
from farmdesk.actions.markets import (
    LoadLine,
    SoldLine,
    close_market,
    drop_market,
    load_market,
    open_market,
)
from farmdesk.actions.packs import make_packs
from farmdesk.actions.payments import pay_back, record_payment
from farmdesk.actions.undo import undo_act, undo_last
from farmdesk.domain.catalogue import Product, TaxRate
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.trade import (
    CreditNote,
    Delivery,
    DeliveryLine,
    GoodsReturn,
    Invoice,
    InvoiceTax,
    MarketDay,
    MarketLine,
    PaymentShare,
)
from farmdesk.reports.accounts import list_accounts, statement
from farmdesk.reports.check import check_farm
from farmdesk.reports.life import life_of
from farmdesk.reports.stock import balance_table, lot_balances
from farmdesk.reports.trace import trace
from farmdesk.store.accounts import open_of_invoice, unshared_payments

FIVE = Decimal("5.00")


def sell(harvest, *lines, customer="inn") -> tuple[Delivery, list[DeliveryLine]]:
    """Sell (product, lot, mg or packs)."""
    wishes = [
        DeliverLine(harvest.products[name], lot, None if "punnet" in name else amount,
                    amount if "punnet" in name else None)
        for name, lot, amount in lines
    ]  # fmt: skip
    sent = harvest.do(lambda act: sell_now(act, customer=harvest.customers[customer], lines=wishes))
    with harvest.store.reading() as reading:
        return sent, reading.all(DeliveryLine, delivery=sent.id)


def bill(harvest, kilos: str = "2", customer: str = "inn") -> Invoice:
    """An invoice for so many kilograms at 13.50."""
    mass = int(Decimal(kilos) * KG)
    pick = harvest.pick("OY", mass)
    sent, _ = sell(harvest, ("oyster loose", pick.id, mass), customer=customer)
    return harvest.do(lambda act: issue_invoice(act, sent))


def lines_of(harvest, invoice: Invoice) -> list[DeliveryLine]:
    with harvest.store.reading() as reading:
        return reading.all(DeliveryLine, delivery=invoice.delivery)


def owed(harvest, invoice: Invoice) -> Decimal:
    with harvest.store.reading() as reading:
        return open_of_invoice(reading, invoice)


def pay(harvest, amount: str, customer: str = "inn", **more):
    return harvest.do(
        lambda act: record_payment(
            act, customer=harvest.customers[customer], amount=Decimal(amount), **more
        )
    )


def waste(harvest) -> int:
    return harvest.reasons["waste"]


# By hand: 2.000 kg at 13.50 is 27.00 and 4 packs at 4.20 are 16.80.
# USD 5 %: 1.35 + 10 % 1.68; EUR the same; JPY has no smaller unit: 27 and 17, taxes 1 and 2.
@pytest.mark.parametrize(
    ("currency", "net", "taxes", "total"),
    [
        ("USD", "43.80", [("5", "27.00", "1.35"), ("10", "16.80", "1.68")], "46.83"),
        ("EUR", "43.80", [("5", "27.00", "1.35"), ("10", "16.80", "1.68")], "46.83"),
        ("JPY", "44", [("5", "27", "1"), ("10", "17", "2")], "47"),
    ],
)
def test_each_line_bears_its_own_tax(store, currency, net, taxes, total):
    harvest = begin_harvest_farm(store, currency=currency, tax="5")
    pick = harvest.pick("OY", 3 * KG)
    rate = harvest.do(
        lambda act: act.make(
            "tax_rate_made", TaxRate(act.next_id("tax_rate"), "Packed", Decimal(10))
        )
    )
    punnet = harvest.get(Product, harvest.products["oyster punnet"])
    harvest.do(lambda act: act.change("product_changed", punnet, tax_rate=rate.id))
    packs = harvest.do(
        lambda act: make_packs(act, product=punnet.id, count=4, from_picks={pick.id: KG})
    )
    sent, _ = sell(harvest, ("oyster loose", pick.id, 2 * KG), ("oyster punnet", packs.id, 4))
    made = harvest.do(lambda act: issue_invoice(act, sent))
    assert (made.net, made.total, made.tax_percent) == (Decimal(net), Decimal(total), 0)
    with harvest.store.reading() as reading:
        kept = reading.all(InvoiceTax, invoice=made.id)
    assert [(one.percent, one.net, one.tax) for one in kept] == [
        tuple(Decimal(part) for part in one) for one in taxes
    ]
    harvest.clean()


def test_numbers_have_no_gap_and_are_never_used_twice(harvest):
    first = bill(harvest, "1")
    second = bill(harvest, "1")
    acts = issuing_acts(harvest)
    assert harvest.refusal(lambda act: undo_act(act, acts[first.id])) == ["paper_not_last"]
    harvest.do(lambda act: undo_act(act, acts[second.id]))
    assert bill(harvest, "1").name == second.name


def test_a_number_that_was_given_anew_is_not_taken_again_by_redo(harvest):
    first = bill(harvest, "1")
    taken_back = harvest.done(undo_last).act
    again = bill(harvest, "1")
    assert again.name == first.name
    found = harvest.refusal(lambda act: undo_act(act, taken_back))
    assert found == ["paper_number_taken"]
    harvest.clean()


def issuing_acts(harvest) -> dict[int, str]:
    with harvest.store.reading() as reading:
        return {one.subject: one.act for one in reading.entries() if one.kind == "invoice_issued"}


def test_a_part_of_an_invoice_is_credited_and_the_rest_to_the_cent(harvest):
    made = bill(harvest, "2")
    (line,) = lines_of(harvest, made)
    part = CreditWish(line.id, Decimal("0.333"))
    first = harvest.do(lambda act: credit_invoice(act, made, [part], reason="soft stems"))
    # 0.333 x 13.50 = 4.4955.
    assert (first.name, first.total) == ("N-0001", Decimal("4.50"))
    assert owed(harvest, made) == Decimal("22.50")
    rest = CreditWish(line.id, Decimal("1.667"))
    over = CreditWish(line.id, Decimal("1.668"))
    assert harvest.refusal(lambda act: credit_invoice(act, made, [over], reason="soft stems")) == [
        "credit_above_invoice"
    ]
    second = harvest.do(
        lambda act: credit_invoice(act, made, [rest], reason="all of it", returned=waste(harvest))
    )
    assert first.total + second.total == made.total
    assert harvest.get(Invoice, made.id).paid_on == TODAY
    with harvest.store.reading() as reading:
        (back,) = reading.all(GoodsReturn)
    assert (back.amount_mg, back.delivery_line) == (1_667_000, line.id)
    # What came back is on sale no more.
    assert harvest.get(Pick, line.lot).left_mg == 0
    harvest.clean()
    harvest.do(undo_last)
    assert harvest.get(Invoice, made.id).paid_on is None
    assert harvest.get(CreditNote, second.id) is None


@pytest.mark.parametrize(
    ("wish", "options", "code"),
    [
        (Decimal(0), {}, "credit_nothing"),
        (Decimal(-1), {}, "credit_wrong"),
        (Decimal(1), {"reason": " "}, "field_empty"),
        (Decimal(1), {"issued_on": "2026-03-01"}, "credit_before_invoice"),
        (Decimal(1), {"issued_on": "2026-03-09"}, "day_in_future"),
    ],
)
def test_a_credit_that_cannot_be_is_refused(harvest, wish, options, code):
    made = bill(harvest, "2")
    wishes = [CreditWish(lines_of(harvest, made)[0].id, wish)]
    options = {"reason": "soft", **options}
    assert harvest.refusal(lambda act: credit_invoice(act, made, wishes, **options)) == [code]


def test_payments_settle_the_oldest_first_and_too_much_waits(harvest):
    first, second = bill(harvest, "1"), bill(harvest, "2")
    pay(harvest, "20.00", method="bank")
    assert (owed(harvest, first), owed(harvest, second)) == (0, Decimal("20.50"))
    assert harvest.get(Invoice, first.id).paid_on == TODAY
    assert harvest.get(Invoice, second.id).paid_on is None
    pay(harvest, "25.50")
    with harvest.store.reading() as reading:
        ((_, rest),) = unshared_payments(reading, harvest.customers["inn"])
    assert rest == FIVE
    third = bill(harvest, "1")
    assert owed(harvest, third) == Decimal("8.50")
    pay(harvest, "8.50")
    assert owed(harvest, third) == 0
    harvest.do(undo_last)
    assert owed(harvest, third) == Decimal("8.50")
    assert harvest.get(Invoice, third.id).paid_on is None
    harvest.clean()


def waiting(harvest) -> list[Decimal]:
    with harvest.store.reading() as reading:
        return [rest for _, rest in unshared_payments(reading, harvest.customers["inn"])]


def credit(harvest, made: Invoice, kilos: str, **more) -> CreditNote:
    wish = CreditWish(lines_of(harvest, made)[0].id, Decimal(kilos))
    return harvest.do(lambda act: credit_invoice(act, made, [wish], reason="soft", **more))


def test_a_credit_on_a_paid_invoice_settles_the_next_one(harvest):
    made = bill(harvest, "2")
    pay(harvest, "20.00", method="bank")
    pay(harvest, "7.00")
    before = owed(harvest, made), waiting(harvest)
    credit(harvest, made, "1")
    assert owed(harvest, made) == 0
    assert sorted(waiting(harvest)) == [Decimal("6.50"), Decimal("7.00")]
    following = bill(harvest, "1")
    assert harvest.get(Invoice, following.id).paid_on == TODAY
    assert (owed(harvest, following), waiting(harvest)) == (0, [])
    harvest.clean()
    harvest.do(undo_last)
    harvest.do(undo_last)
    harvest.do(undo_last)
    harvest.do(undo_last)
    assert (owed(harvest, made), waiting(harvest)) == before


def test_a_credit_settles_what_is_open_already(harvest):
    made = bill(harvest, "2")
    pay(harvest, "27.00")
    late = bill(harvest, "1")
    credit(harvest, made, "1")
    assert harvest.get(Invoice, late.id).paid_on == TODAY
    assert waiting(harvest) == []


def test_what_was_paid_too_much_is_paid_back_and_counts_once(harvest):
    made = bill(harvest, "1")
    pay(harvest, "20.00")
    customer = harvest.customers["inn"]

    def back(amount: str):
        return lambda act: pay_back(act, customer=customer, amount=Decimal(amount))

    assert harvest.refusal(back("6.51")) == ["payback_too_much"]
    assert harvest.refusal(back("-1")) == ["payment_wrong"]
    assert harvest.do(back("4.00")).amount == Decimal("-4.00")
    assert waiting(harvest) == [Decimal("2.50")]
    assert harvest.refusal(back("2.51")) == ["payback_too_much"]
    with harvest.store.reading() as reading:
        (row,) = list_accounts(reading)
        paper = statement(reading, customer, TODAY, TODAY)
    assert (row.paid, row.owed, row.waiting) == (Decimal(16), Decimal("-2.50"), Decimal("2.50"))
    (table,) = [one for one in paper.blocks if getattr(one, "name", "") == "statement"]
    assert [(one[2], one[4]) for one in table.rows][-1] == ("paid back", Decimal("-2.50"))
    assert owed(harvest, made) == 0
    harvest.clean()


def test_goods_that_came_back_are_in_the_life_the_trace_and_the_balance(harvest):
    made = bill(harvest, "2")
    (line,) = lines_of(harvest, made)
    credit(harvest, made, "0.5", returned=waste(harvest))
    with harvest.store.reading() as reading:
        said = [one.sentence for one in life_of(reading, line.lot).lines]
        sent = [one.sentence for one in life_of(reading, line.delivery).lines]
        (there,) = trace(reading, line.lot).forward
        (row,) = lot_balances(reading, now=NOW)
        table = balance_table(reading, now=NOW)
    assert "came back" in said[-1]
    assert any("came back" in one for one in sent)
    assert (there.kind, there.amount_mg, there.returned_mg) == ("delivery", 2 * KG, KG // 2)
    assert (row.returned_mg, row.balance.amounts.sold_mg) == (KG // 2, 2 * KG)
    assert row.balance.flag == "balanced"
    keys = [one.key for one in table.columns]
    assert next(iter(table.rows))[keys.index("returned_mg")] == KG // 2


def test_what_came_back_in_packs_is_told_at_the_picks_they_were_made_of(harvest):
    first, second = harvest.pick("OY", KG), harvest.pick("OY", KG)
    shares = {first.id: 375_000, second.id: 125_000}
    packs = harvest.do(
        lambda act: make_packs(
            act, product=harvest.products["oyster punnet"], from_picks=shares, count=2
        )
    )
    sent, (line,) = sell(harvest, ("oyster punnet", packs.id, 2))
    made = harvest.do(lambda act: issue_invoice(act, sent))
    credit(harvest, made, "1", returned=waste(harvest))
    with harvest.store.reading() as reading:
        back = {one.lot.id: one.returned_mg for one in lot_balances(reading, now=NOW)}
    assert back == {first.id: 187_500, second.id: 62_500}
    assert line.lot == packs.id


def test_check_tells_numbers_that_are_missing(harvest):
    for _ in range(3):
        bill(harvest, "1")
    assert check_farm(harvest.store).is_clean
    with harvest.store.engine.begin() as connection:
        connection.exec_driver_sql(
            "UPDATE invoice SET name = 'I-0009' WHERE id = (SELECT max(id) FROM invoice)"
        )
    found = {one.code: one.detail for one in check_farm(harvest.store).differences}
    assert found["number_gap"] == "I-0009 follows I-0002"


def test_the_quick_way_pays_what_is_open(harvest):
    made = bill(harvest, "2")
    pay(harvest, "7.00")
    harvest.do(lambda act: mark_paid(act, act.need(Invoice, made.id)))
    assert owed(harvest, made) == 0
    with harvest.store.reading() as reading:
        assert [one.amount for one in reading.all(PaymentShare)] == [Decimal(7), Decimal(20)]


@pytest.mark.parametrize(
    ("amount", "code"),
    [("0", "payment_wrong"), ("-5", "payment_wrong"), ("NaN", "payment_wrong"),
     ("1.005", "payment_finer")],
)  # fmt: skip
def test_a_payment_that_cannot_be_is_refused(harvest, amount, code):
    found = harvest.refusal(
        lambda act: record_payment(act, customer=harvest.customers["inn"], amount=Decimal(amount))
    )
    assert found == [code]


def market(harvest, **more) -> MarketDay:
    return harvest.do(lambda act: open_market(act, customer=harvest.customers["market"], **more))


def test_a_market_day_takes_out_sells_brings_back_and_loses(store):
    harvest = begin_harvest_farm(store, tax="10")
    pick = harvest.pick("OY", 5 * KG)
    punnet = harvest.products["oyster punnet"]
    packs = harvest.do(
        lambda act: make_packs(act, product=punnet, count=8, from_picks={pick.id: 2 * KG})
    )
    day = market(harvest, fee=Decimal(15), change_money=Decimal(50))
    loads = [
        LoadLine(harvest.products["oyster loose"], pick.id, Decimal("2.5"), Decimal(22)),
        LoadLine(punnet, packs.id, Decimal(8), FIVE),
    ]
    loose, boxed = harvest.do(lambda act: load_market(act, day, loads))
    assert harvest.get(Pick, pick.id).left_mg == 500_000
    assert harvest.get(Pack, packs.id).left == 0
    harvest.clean()
    with harvest.store.reading() as reading:
        (balance,) = lot_balances(reading, now=f"{TODAY}T09:00:00Z")
    assert balance.balance.amounts.at_market_mg == 2_500_000
    assert balance.balance.is_in_order
    counts = [SoldLine(loose.id, Decimal("0.4"), Decimal("0.1")), SoldLine(boxed.id, Decimal(3))]
    closed, sent = harvest.do(
        lambda act: close_market(
            act, day, counts, waste=waste(harvest), cash=Decimal("119.00"), card=FIVE
        )
    )
    assert (closed.status, closed.cash) == ("closed", Decimal("119.00"))
    assert harvest.get(Pick, pick.id).left_mg == 900_000
    assert harvest.get(Pack, packs.id).left == 3
    with harvest.store.reading() as reading:
        lines = reading.all(DeliveryLine, delivery=sent.id)
        kept = reading.all(MarketLine, market_day=day.id)
    # 2 kg at 22.00 and 5 packs at 5.00, tax of 10 % inside: 44/1.1 and 25/1.1.
    assert [one.total for one in kept] == [Decimal("44.00"), Decimal("25.00")]
    assert [one.total for one in lines] == [Decimal("40.00"), Decimal("22.73")]
    harvest.clean()
    assert harvest.get(Pick, pick.id).hold == ""
    assert harvest.refusal(lambda act: load_market(act, closed, loads)) == ["market_closed_already"]
    harvest.do(undo_last)
    assert harvest.get(MarketDay, day.id).status == "open"
    harvest.clean()


def test_a_market_that_did_not_happen_gives_everything_back(harvest):
    pick = harvest.pick("OY", 2 * KG)
    day = market(harvest)
    load = [LoadLine(harvest.products["oyster loose"], pick.id, Decimal(2), FIVE)]
    harvest.do(lambda act: load_market(act, day, load))
    harvest.do(lambda act: drop_market(act, day))
    assert harvest.get(Pick, pick.id).left_mg == 2 * KG
    assert harvest.get(MarketDay, day.id) is None
    harvest.clean()


def test_what_cannot_be_at_a_market_is_refused(harvest):
    pick = harvest.pick("OY", 2 * KG)
    day = market(harvest)
    load = LoadLine(harvest.products["oyster loose"], pick.id, Decimal(1), FIVE)

    def refused(*loads):
        return harvest.refusal(lambda act: load_market(act, day, loads))

    assert refused() == ["market_nothing_loaded"]
    assert refused(replace(load, price=None)) == ["price_missing"]
    assert refused(replace(load, price=Decimal(-1))) == ["price_wrong"]
    assert refused(replace(load, taken=Decimal(3))) == ["lot_overdrawn"]
    assert refused(replace(load, product=harvest.products["shiitake loose"])) == [
        "lot_is_not_product"
    ]
    (line,) = harvest.do(lambda act: load_market(act, day, [load]))
    count = [SoldLine(line.id, Decimal("0.8"), Decimal("0.3"))]
    assert harvest.refusal(lambda act: close_market(act, day, count, waste=waste(harvest))) == [
        "market_more_than_taken"
    ]
    assert harvest.refusal(
        lambda act: open_market(act, customer=harvest.customers["market"], fee=Decimal(-1))
    ) == ["market_money_wrong"]
    harvest.do(lambda act: remove_stock(act, pick.id, reason=waste(harvest)))
    harvest.clean()


def test_several_credit_notes_never_take_off_more_tax_than_was_billed(store):
    harvest = begin_harvest_farm(store, tax="7")
    # 3 kg at 13.50 are 40.50, and 7 % of that 2.84 (2.835 rounded away from nothing). A third is
    # 13.50 with 0.95 (0.945): three of them would take off 2.85.
    made = bill(harvest, "3")
    assert (made.net, made.tax) == (Decimal("40.50"), Decimal("2.84"))
    (line,) = lines_of(harvest, made)
    wish = [CreditWish(line.id, Decimal(1))]
    notes = [
        harvest.do(lambda act: credit_invoice(act, made, wish, reason="soft")) for _ in range(3)
    ]
    assert [one.tax for one in notes] == [Decimal("0.95"), Decimal("0.95"), Decimal("0.94")]
    assert sum(one.total for one in notes) == made.total
    assert owed(harvest, made) == 0
    assert harvest.get(Invoice, made.id).paid_on == TODAY


def test_what_a_market_took_is_what_its_delivery_says(harvest):
    pick = harvest.pick("SH", 2 * KG)
    day = market(harvest)
    load = LoadLine(harvest.products["shiitake loose"], pick.id, Decimal("2.346"), Decimal("9.99"))
    (line,) = harvest.do(lambda act: load_market(act, day, [load]))
    _, sent = harvest.do(
        lambda act: close_market(act, day, [SoldLine(line.id)], waste=waste(harvest))
    )
    with harvest.store.reading() as reading:
        (gone,) = reading.all(DeliveryLine, delivery=sent.id)
        (kept,) = reading.all(MarketLine, market_day=day.id)
    # Pounds are printed to 0.01: 2.35 at 9.99.
    assert (gone.quantity, gone.total, kept.total) == (
        Decimal("2.35"), Decimal("23.48"), Decimal("23.48"),
    )  # fmt: skip
