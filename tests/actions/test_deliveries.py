"""Deliveries and invoices: what leaves which lot, what it costs, and what cannot be."""

from __future__ import annotations

from contextlib import suppress
from decimal import Decimal

import pytest
from databases import fresh_farm
from harvest_farm import KG, NOW, TODAY, begin_harvest_farm
from hypothesis import given, settings
from hypothesis import strategies as st

from farmdesk.actions.base import perform
from farmdesk.actions.cold_store import remove_stock
from farmdesk.actions.deliveries import DeliverLine, deliver, sell_now
from farmdesk.actions.invoices import issue_invoice, mark_paid
from farmdesk.actions.orders import take_order
from farmdesk.actions.packs import make_packs
from farmdesk.actions.proposals import propose
from farmdesk.actions.undo import undo_last
from farmdesk.domain.bags import Link
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.trade import Delivery, DeliveryLine, Invoice, Order, OrderLine
from farmdesk.errors import Asked, Refused
from farmdesk.quantities.mass import mg_from
from farmdesk.store.farm_store import FarmStore

DUE = "2026-03-04"


@pytest.fixture(scope="module")
def wide(tmp_path_factory):
    with fresh_farm("sqlite", tmp_path_factory.mktemp("farm")) as store:
        yield begin_harvest_farm(store, bags=8)


def order_of(harvest, customer="inn", quantity="3", unit="kg", name="oyster loose") -> Order:
    line = (harvest.products[name], Decimal(quantity), unit, None)
    return harvest.do(
        lambda act: take_order(act, customer=harvest.customers[customer], due_on=DUE, lines=[line])
    )


def line_of(harvest, order: Order) -> OrderLine:
    with harvest.store.reading() as reading:
        return reading.all(OrderLine, order=order.id)[0]


def lines_of(harvest, delivery: Delivery) -> list[DeliveryLine]:
    with harvest.store.reading() as reading:
        return reading.all(DeliveryLine, delivery=delivery.id)


def from_order(harvest, order: Order, lot: int, amount_mg: int | None, count=None) -> DeliverLine:
    line = line_of(harvest, order)
    return DeliverLine(line.product, lot, amount_mg, count, order_line=line.id)


def test_what_was_proposed_is_delivered_and_the_order_is_done(harvest):
    first = harvest.pick("OY", 2 * KG, on="2026-03-01")
    second = harvest.pick("OY", 2 * KG)
    order = order_of(harvest)
    with harvest.store.reading() as reading:
        lines = propose(reading, order, on=TODAY).lines
    delivery = harvest.do(lambda act: deliver(act, order, lines))
    assert (delivery.name, delivery.order, delivery.delivered_on) == ("D-0001", order.id, TODAY)
    assert harvest.get(Pick, first.id).left_mg == 0
    assert harvest.get(Pick, second.id).left_mg == 1 * KG
    assert harvest.get(Order, order.id).status == "delivered"
    sent = lines_of(harvest, delivery)
    # 2 kg and 1 kg at 13.50.
    assert [one.total for one in sent] == [Decimal("27.00"), Decimal("13.50")]
    with harvest.store.reading() as reading:
        links = reading.all(Link, child=delivery.id)
    assert {one.parent: one.amount_mg for one in links} == {first.id: 2 * KG, second.id: 1 * KG}
    harvest.clean()


def test_taking_back_a_delivery_gives_everything_back(harvest):
    pick = harvest.pick("OY", 3 * KG)
    order = order_of(harvest)
    delivery = harvest.do(
        lambda act: deliver(act, order, [from_order(harvest, order, pick.id, 3 * KG)])
    )
    harvest.do(undo_last)
    assert harvest.get(Pick, pick.id) == pick
    assert harvest.get(Order, order.id) == order
    assert harvest.get(Delivery, delivery.id) is None
    assert lines_of(harvest, delivery) == []
    harvest.clean()


def test_a_partial_delivery_leaves_the_order_open_until_the_last(harvest):
    pick = harvest.pick("OY", 3 * KG)
    order = order_of(harvest)
    part = [from_order(harvest, order, pick.id, 1 * KG)]
    harvest.do(lambda act: deliver(act, order, part))
    assert harvest.get(Order, order.id).status == "open"
    harvest.do(lambda act: deliver(act, act.need(Order, order.id), part, is_last=True))
    done = harvest.get(Order, order.id)
    assert done.status == "delivered"
    assert harvest.refusal(lambda act: deliver(act, done, part)) == ["order_not_open"]


def test_pounds_are_billed_by_the_quantity_that_is_printed(harvest):
    pick = harvest.pick("SH", 3 * KG)
    order = order_of(harvest, name="shiitake loose", quantity="5", unit="lb")
    wanted = mg_from(5, "lb")
    delivery = harvest.do(
        lambda act: deliver(act, order, [from_order(harvest, order, pick.id, wanted)])
    )
    (line,) = lines_of(harvest, delivery)
    assert (line.quantity, line.unit, line.total) == (Decimal("5.00"), "lb", Decimal("46.25"))
    assert harvest.get(Order, order.id).status == "delivered"


def test_packs_go_by_count_and_keep_their_way_back(harvest):
    pick = harvest.pick("OY", 1 * KG)
    punnet = harvest.products["oyster punnet"]
    packs = harvest.do(
        lambda act: make_packs(act, product=punnet, count=4, from_picks={pick.id: 1 * KG})
    )
    order = order_of(harvest, name="oyster punnet", quantity="3", unit="pack")
    delivery = harvest.do(
        lambda act: deliver(act, order, [from_order(harvest, order, packs.id, None, 3)])
    )
    (line,) = lines_of(harvest, delivery)
    assert (line.count, line.amount_mg, line.quantity) == (3, 750_000, Decimal(3))
    assert line.total == Decimal("12.60")
    assert harvest.get(Pack, packs.id).left == 1
    harvest.clean()


def test_a_lot_sold_out_between_proposal_and_packing_says_what_is_left(harvest):
    pick = harvest.pick("OY", 3 * KG)
    order = order_of(harvest)
    lines = [from_order(harvest, order, pick.id, 3 * KG)]
    waste = harvest.reasons["waste"]
    harvest.do(lambda act: remove_stock(act, pick.id, reason=waste, amount_mg=500_000))
    with pytest.raises(Refused) as caught:
        harvest.do(lambda act: deliver(act, order, lines))
    (one,) = caught.value.problems
    assert (one.code, one.facts["left"]) == ("lot_overdrawn", "2.50 kg")
    assert harvest.get(Pick, pick.id).left_mg == 2_500_000
    assert harvest.get(Order, order.id).status == "open"


def test_two_lines_from_one_lot_cannot_take_more_than_there_is(harvest):
    pick = harvest.pick("OY", 1 * KG)
    product = harvest.products["oyster loose"]
    lines = [DeliverLine(product, pick.id, 600_000)] * 2
    sell = {"customer": harvest.customers["inn"]}
    assert harvest.refusal(lambda act: sell_now(act, lines=lines, **sell)) == ["lot_overdrawn"]
    halves = [DeliverLine(product, pick.id, 500_000)] * 2
    harvest.do(lambda act: sell_now(act, lines=halves, **sell))
    harvest.clean()


def test_a_market_sale_needs_no_order_but_a_price(harvest):
    pick = harvest.pick("OY", 1 * KG)
    product = harvest.products["oyster loose"]
    market = harvest.customers["market"]
    bare = [DeliverLine(product, pick.id, 400_000)]
    codes = harvest.refusal(lambda act: sell_now(act, customer=market, lines=bare))
    assert codes == ["price_missing"]
    priced = [DeliverLine(product, pick.id, 400_000, unit="lb", price=Decimal("8.00"))]
    delivery = harvest.do(lambda act: sell_now(act, customer=market, lines=priced))
    (line,) = lines_of(harvest, delivery)
    # 400 g are 0.8818 lb: 0.88 lb on the paper, at 8.00.
    assert (line.quantity, line.total) == (Decimal("0.88"), Decimal("7.04"))
    assert delivery.order is None


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"amount_mg": 0}, "amount_missing"),
        ({"amount_mg": None}, "amount_missing"),
        ({"product": "shiitake loose"}, "lot_is_not_product"),
        ({"product": "oyster punnet"}, "lot_is_not_product"),
        ({"unit": "pack"}, "product_sold_by_weight"),
        ({"on": "2026-03-03"}, "day_in_future"),
        ({"on": "2026-02-28"}, "delivered_before_lot"),
    ],
)
def test_deliveries_that_cannot_be_are_refused(harvest, change, code):
    change = dict(change)
    pick = harvest.pick("OY", 1 * KG, on="2026-03-01")
    day = change.pop("on", None)
    product = harvest.products[change.pop("product", "oyster loose")]
    line = DeliverLine(product, pick.id, **{"amount_mg": 1_000, **change})
    inn = harvest.customers["inn"]
    codes = harvest.refusal(lambda act: sell_now(act, customer=inn, lines=[line], delivered_on=day))
    assert codes == [code]
    assert harvest.get(Pick, pick.id) == pick
    codes = harvest.refusal(lambda act: sell_now(act, customer=inn, lines=[]))
    assert codes == ["delivery_empty"]


def test_a_line_of_another_order_is_refused(harvest):
    pick = harvest.pick("OY", 1 * KG)
    one, other = order_of(harvest), order_of(harvest)
    lines = [from_order(harvest, other, pick.id, 1_000)]
    assert harvest.refusal(lambda act: deliver(act, one, lines)) == ["order_line_unknown"]


def test_expired_short_lived_and_too_much_are_asked_and_may_be_meant(harvest):
    product = harvest.products["oyster loose"]
    old = harvest.pick("OY", 1 * KG, on="2026-02-10")
    ageing = harvest.pick("OY", 4 * KG, on="2026-02-22")
    sale = [DeliverLine(product, old.id, 1_000)]
    inn, shop = harvest.customers["inn"], harvest.customers["shop"]
    assert harvest.question(lambda act: sell_now(act, customer=inn, lines=sale)) == ["lot_expired"]
    sale = [DeliverLine(product, ageing.id, 1_000)]
    codes = harvest.question(lambda act: sell_now(act, customer=shop, lines=sale))
    assert codes == ["lot_life_short"]
    harvest.do(lambda act: sell_now(act, customer=shop, lines=sale), confirmed=["lot_life_short"])
    order = order_of(harvest)
    usual = [from_order(harvest, order, ageing.id, 3_150_000)]
    much = [from_order(harvest, order, ageing.id, 3_150_001)]
    assert harvest.question(lambda act: deliver(act, order, much)) == ["more_than_ordered"]
    harvest.do(lambda act: deliver(act, order, usual))


@pytest.mark.parametrize(
    ("currency", "tax", "price", "line_total", "tax_sum", "total"),
    [
        # By hand: 3 lines of 1.234 kg. USD at 13.55: 16.7207 -> 16.72 each, 50.16; 8.25 % of it
        # 4.1382 -> 4.14. EUR at 9.99: 12.32766 -> 12.33 each, 36.99; 7 % 2.5893 -> 2.59.
        # JPY has no smaller unit: 1,980 x 1.234 = 2443.32 -> 2,443 each, 7,329; 8 % 586.32 -> 586.
        ("USD", "8.25", "13.55", "16.72", "4.14", "54.30"),
        ("EUR", "7", "9.99", "12.33", "2.59", "39.58"),
        ("JPY", "8", "1980", "2443", "586", "7915"),
    ],
)
def test_an_invoice_is_the_sum_of_its_printed_lines(
    store, currency, tax, price, line_total, tax_sum, total
):
    harvest = begin_harvest_farm(store, currency=currency, tax=tax)
    pick = harvest.pick("OY", 4 * KG)
    product = harvest.products["oyster loose"]
    lines = [DeliverLine(product, pick.id, 1_234_000, price=Decimal(price))] * 3
    delivery = harvest.do(lambda act: sell_now(act, customer=harvest.customers["inn"], lines=lines))
    bill = harvest.do(lambda act: issue_invoice(act, delivery))
    assert {one.total for one in lines_of(harvest, delivery)} == {Decimal(line_total)}
    assert bill.net == 3 * Decimal(line_total)
    assert (bill.tax, bill.total) == (Decimal(tax_sum), Decimal(total))
    assert (bill.issued_on, bill.due_on) == (TODAY, "2026-03-16")


def sale_of(harvest, pick: int) -> Delivery:
    line = DeliverLine(harvest.products["oyster loose"], pick, 1_000)
    inn = harvest.customers["inn"]
    return harvest.do(lambda act: sell_now(act, customer=inn, lines=[line]))


def test_invoice_numbers_follow_each_other_without_a_gap(harvest):
    pick = harvest.pick("OY", 1 * KG)
    first, second = sale_of(harvest, pick.id), sale_of(harvest, pick.id)
    names = [harvest.do(lambda act: issue_invoice(act, first)).name]
    names.append(harvest.do(lambda act: issue_invoice(act, second)).name)
    harvest.do(undo_last)
    names.append(harvest.do(lambda act: issue_invoice(act, second)).name)
    assert names == ["I-0001", "I-0002", "I-0002"]
    codes = harvest.refusal(lambda act: issue_invoice(act, second))
    assert codes == ["invoiced_already"]


def test_invoices_are_paid_once_and_on_possible_days(harvest):
    pick = harvest.pick("OY", 1 * KG)
    sold = sale_of(harvest, pick.id)
    for day, code in (("2026-03-01", "invoice_before_delivery"), ("2026-03-03", "day_in_future")):
        codes = harvest.refusal(lambda act, on=day: issue_invoice(act, sold, issued_on=on))
        assert codes == [code]
    bill = harvest.do(lambda act: issue_invoice(act, sold))
    for day, code in (("2026-03-01", "paid_before_invoice"), ("2026-03-03", "day_in_future")):
        codes = harvest.refusal(lambda act, on=day: mark_paid(act, bill, paid_on=on))
        assert codes == [code]
    paid = harvest.do(lambda act: mark_paid(act, bill))
    assert paid.paid_on == TODAY
    assert harvest.refusal(lambda act: mark_paid(act, paid)) == ["paid_already"]
    assert harvest.get(Invoice, bill.id) == paid


def try_sale(store: FarmStore, harvest, lot: int, amount: int, *, packs: bool) -> None:
    """A sale that may be refused; nothing else may go wrong."""
    name = "oyster punnet" if packs else "oyster loose"
    size = {"count": amount} if packs else {"amount_mg": amount}
    line = DeliverLine(harvest.products[name], lot, **size)
    inn = harvest.customers["inn"]
    with suppress(Refused):
        perform(store, lambda act: sell_now(act, customer=inn, lines=[line]), now=NOW)


STEPS = st.lists(
    st.tuples(
        st.sampled_from(["sell", "sell packs", "waste", "waste packs", "pack", "undo"]),
        st.integers(-1, 1_500_000),
    ),
    max_size=12,
)


@settings(max_examples=20, deadline=None)
@given(steps=STEPS)
def test_stock_never_goes_below_nothing_whatever_is_done(wide, steps):
    store = wide.store
    pick = wide.pick("OY", 2 * KG)
    punnet = wide.products["oyster punnet"]
    packs = wide.do(lambda act: make_packs(act, product=punnet, count=3, from_picks={pick.id: KG}))
    waste = wide.reasons["waste"]
    for what, amount in steps:
        few = amount % 4
        action = {
            "waste": lambda act, n=amount: remove_stock(act, pick.id, reason=waste, amount_mg=n),
            "waste packs": lambda act, n=few: remove_stock(act, packs.id, reason=waste, count=n),
            "pack": lambda act, n=amount: make_packs(
                act, product=punnet, count=1, from_picks={pick.id: n}
            ),
            "undo": undo_last,
        }.get(what)
        if action is None:
            is_packs = what == "sell packs"
            lot = packs.id if is_packs else pick.id
            try_sale(store, wide, lot, few if is_packs else amount, packs=is_packs)
            continue
        with suppress(Refused, Asked):
            perform(store, action, now=NOW)
        if wide.get(Pack, packs.id) is None:
            break
    wide.clean()
