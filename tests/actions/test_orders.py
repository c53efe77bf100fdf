"""Orders: prices from the list, changes, cancelling, and lots proposed for them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from harvest_farm import KG, TODAY

from farmdesk.actions.cold_store import remove_stock
from farmdesk.actions.deliveries import DeliverLine, deliver
from farmdesk.actions.orders import cancel_order, change_order, take_order
from farmdesk.actions.packs import make_packs
from farmdesk.actions.proposals import propose, propose_orders
from farmdesk.domain.catalogue import Customer
from farmdesk.domain.harvest import Pick
from farmdesk.domain.trade import Order, OrderLine
from farmdesk.errors import NotUnderstood
from farmdesk.quantities.mass import mg_from
from farmdesk.store.history import entries_about

DUE = "2026-03-04"


def order_for(harvest, customer: str, *lines, due_on: str = DUE) -> Order:
    wanted = [(harvest.products[name], Decimal(q), unit, None) for name, q, unit in lines]
    return harvest.do(
        lambda act: take_order(
            act, customer=harvest.customers[customer], due_on=due_on, lines=wanted
        )
    )


def lines_of(harvest, order: Order) -> list[OrderLine]:
    with harvest.store.reading() as reading:
        return reading.all(OrderLine, order=order.id)


def proposal(harvest, order: Order, on: str = TODAY):
    with harvest.store.reading() as reading:
        return propose(reading, order, on=on)


def test_an_order_takes_its_prices_from_the_list(harvest):
    order = order_for(
        harvest, "inn", ("oyster loose", "4.5", "kg"), ("oyster punnet", "12", "pack")
    )
    assert (order.name, order.status, order.taken_on) == ("O-0001", "open", TODAY)
    assert [(one.quantity, one.unit, one.unit_price) for one in lines_of(harvest, order)] == [
        (Decimal("4.5"), "kg", Decimal("13.50")),
        (Decimal(12), "pack", Decimal("4.20")),
    ]


def test_a_price_in_the_other_unit_is_worked_out_and_said(harvest):
    order = order_for(harvest, "inn", ("oyster loose", "10", "lb"), ("shiitake loose", "2", "kg"))
    oyster, shiitake = lines_of(harvest, order)
    # 13.50 x 0.45359237 = 6.1235; 9.25 / 0.45359237 = 20.3928 (NIST SP 811: the exact pound).
    assert (oyster.unit_price, shiitake.unit_price) == (Decimal("6.12"), Decimal("20.39"))
    with harvest.store.reading() as reading:
        notes = [one.note for one in entries_about(reading, oyster.id) if one.thing == "order_line"]
    assert notes == ["Price worked out from $13.50 for 1 kg"]


def test_a_given_price_wins(harvest):
    product = harvest.products["oyster loose"]
    order = harvest.do(
        lambda act: take_order(
            act,
            customer=harvest.customers["market"],
            due_on=DUE,
            lines=[(product, Decimal(1), "kg", Decimal("15.25"))],
        )
    )
    assert lines_of(harvest, order)[0].unit_price == Decimal("15.25")


@pytest.mark.parametrize(
    ("line", "code"),
    [
        (("oyster loose", "0", "kg", None), "quantity_wrong"),
        (("oyster loose", "-1", "kg", None), "quantity_wrong"),
        (("oyster loose", "NaN", "kg", None), "quantity_wrong"),
        (("oyster loose", "1e30", "kg", None), "quantity_wrong"),
        (("oyster loose", "1", "pack", None), "product_sold_by_weight"),
        (("oyster loose", "1", "bushel", None), "price_unit_unknown"),
        (("oyster punnet", "1", "kg", None), "product_sold_by_pack"),
        (("oyster punnet", "1.5", "pack", None), "packs_not_whole"),
        (("oyster loose", "1", "kg", "-1"), "price_wrong"),
        (("oyster loose", "1", "kg", "Infinity"), "price_wrong"),
    ],
)
def test_lines_that_cannot_be_are_refused(harvest, line, code):
    name, quantity, unit, price = line
    wanted = (
        harvest.products[name], Decimal(quantity), unit, None if price is None else Decimal(price)
    )  # fmt: skip
    inn = harvest.customers["inn"]
    codes = harvest.refusal(lambda act: take_order(act, customer=inn, due_on=DUE, lines=[wanted]))
    assert codes == [code]


def test_every_problem_of_an_order_is_said_at_once(harvest):
    lines = [
        (harvest.products["oyster loose"], Decimal(1), "kg", None),
        (harvest.products["oyster punnet"], Decimal(0), "pack", None),
    ]
    codes = harvest.refusal(
        lambda act: take_order(
            act, customer=harvest.customers["market"], due_on="2026-03-01", lines=lines
        )
    )
    assert codes == ["due_before_taken", "price_missing", "quantity_wrong"]
    inn = harvest.customers["inn"]
    codes = harvest.refusal(lambda act: take_order(act, customer=inn, due_on=DUE, lines=[]))
    assert codes == ["order_empty"]
    with pytest.raises(NotUnderstood):
        harvest.do(lambda act: take_order(act, customer=inn, due_on="Tuesday", lines=lines))


def test_an_order_changes_line_by_line(harvest):
    order = order_for(harvest, "inn", ("oyster loose", "4", "kg"), ("oyster punnet", "12", "pack"))
    kept, dropped = lines_of(harvest, order)
    lines = [
        (kept.product, Decimal(6), "kg", None),
        (harvest.products["shiitake loose"], Decimal(2), "lb", None),
    ]
    changed = harvest.do(
        lambda act: change_order(
            act,
            act.need(Order, order.id),
            due_on="2026-03-06",
            lines=lines,
            note="Back door",
        )
    )
    assert (changed.due_on, changed.note) == ("2026-03-06", "Back door")
    now = lines_of(harvest, order)
    assert (now[0].id, now[0].quantity) == (kept.id, Decimal(6))
    assert dropped.id not in [one.id for one in now]
    assert len(now) == 2
    harvest.clean()


def test_what_was_delivered_stays_ordered(harvest):
    order = order_for(harvest, "inn", ("oyster loose", "4", "kg"), ("shiitake loose", "2", "lb"))
    oyster, shiitake = lines_of(harvest, order)
    pick = harvest.pick("OY", 3 * KG)
    line = DeliverLine(oyster.product, pick.id, 3 * KG, order_line=oyster.id)
    harvest.do(lambda act: deliver(act, act.need(Order, order.id), [line]))
    for lines in (
        [(oyster.product, Decimal("2.9"), "kg", None)],
        [(shiitake.product, Decimal(2), "lb", None)],
    ):
        codes = harvest.refusal(
            lambda act, wanted=lines: change_order(act, act.need(Order, order.id), lines=wanted)
        )
        assert codes == ["line_below_delivered"]
    closed = harvest.do(lambda act: cancel_order(act, act.need(Order, order.id)))
    assert closed.status == "closed"


def test_a_cancelled_order_stays_as_it_is(harvest):
    order = order_for(harvest, "inn", ("oyster loose", "4", "kg"))
    cancelled = harvest.do(lambda act: cancel_order(act, order, note="They are closed"))
    assert (cancelled.status, cancelled.note) == ("cancelled", "They are closed")
    assert harvest.refusal(lambda act: cancel_order(act, cancelled)) == ["order_not_open"]
    codes = harvest.refusal(lambda act: change_order(act, cancelled, due_on=DUE))
    assert codes == ["order_not_open"]


def test_the_earliest_shelf_date_is_proposed_first(harvest):
    late = harvest.pick("OY", 2 * KG, on="2026-03-01")
    early = harvest.pick("OY", 2 * KG, on="2026-02-26")
    harvest.pick("OY", 2 * KG, on="2026-02-10")
    harvest.pick("SH", 2 * KG)
    order = order_for(harvest, "inn", ("oyster loose", "3.5", "kg"))
    found = proposal(harvest, order)
    assert [(one.lot, one.amount_mg) for one in found.lines] == [
        (early.id, 2_000_000),
        (late.id, 1_500_000),
    ]
    assert found.short == ()


def test_a_strict_customer_gets_no_lot_that_ends_too_early(harvest):
    # Ends: 8, 9 and 11 March; the shop asks for 5 days from 4 March, that is 9 March or later.
    harvest.pick("OY", 1 * KG, on="2026-02-26")
    second = harvest.pick("OY", 1 * KG, on="2026-02-27")
    third = harvest.pick("OY", 1 * KG, on="2026-03-01")
    order = order_for(harvest, "shop", ("oyster loose", "2.5", "kg"))
    found = proposal(harvest, order)
    assert [one.lot for one in found.lines] == [second.id, third.id]
    assert [one.amount_mg for one in found.short] == [500_000]


def test_lenient_orders_leave_the_late_lots_to_the_strict(harvest):
    early = harvest.pick("OY", 1 * KG, on="2026-02-24")
    late = harvest.pick("OY", 1 * KG, on="2026-03-01")
    strict = order_for(harvest, "shop", ("oyster loose", "1", "kg"))
    lenient = order_for(harvest, "inn", ("oyster loose", "1", "kg"))
    with harvest.store.reading() as reading:
        found = propose_orders(reading, [strict, lenient], on=TODAY)
    assert [[one.lot for one in each.lines] for each in found] == [[late.id], [early.id]]


def test_a_lot_of_unknown_life_is_only_for_those_who_do_not_ask(harvest):
    pick = harvest.pick("OY", 1 * KG)
    harvest.do(lambda act: act.change("dates_gone", act.need(Pick, pick.id), shelf_on=None))
    lenient = proposal(harvest, order_for(harvest, "inn", ("oyster loose", "1", "kg")))
    strict = proposal(harvest, order_for(harvest, "shop", ("oyster loose", "1", "kg")))
    assert [one.lot for one in lenient.lines] == [pick.id]
    assert (strict.lines, strict.short[0].amount_mg) == ((), 1 * KG)


def test_packs_are_proposed_by_count_and_pounds_to_the_milligram(harvest):
    pick = harvest.pick("OY", 3 * KG)
    punnet = harvest.products["oyster punnet"]
    packs = harvest.do(
        lambda act: make_packs(act, product=punnet, count=4, from_picks={pick.id: 1 * KG})
    )
    order = order_for(harvest, "inn", ("oyster punnet", "6", "pack"), ("oyster loose", "2", "lb"))
    found = proposal(harvest, order)
    assert [(one.lot, one.count, one.amount_mg) for one in found.lines] == [
        (packs.id, 4, None),
        (pick.id, None, mg_from(2, "lb")),
    ]
    assert [(one.count, one.amount_mg) for one in found.short] == [(2, 0)]


def test_only_what_is_still_open_is_proposed(harvest):
    pick = harvest.pick("OY", 3 * KG)
    order = order_for(harvest, "inn", ("oyster loose", "2", "kg"))
    line = DeliverLine(
        harvest.products["oyster loose"], pick.id, 1_500_000,
        order_line=lines_of(harvest, order)[0].id,
    )  # fmt: skip
    harvest.do(lambda act: deliver(act, order, [line]))
    assert [one.amount_mg for one in proposal(harvest, order).lines] == [500_000]
    harvest.do(lambda act: remove_stock(act, pick.id, reason=harvest.reasons["waste"]))
    found = proposal(harvest, order)
    assert (found.lines, found.short[0].amount_mg) == ((), 500_000)


def test_a_customer_without_a_list_needs_a_price(harvest):
    inn = harvest.customers["inn"]
    harvest.do(lambda act: act.change("changed", act.need(Customer, inn), price_list=None))
    product = harvest.products["oyster loose"]
    lines = [(product, Decimal(1), "kg", None)]
    codes = harvest.refusal(lambda act: take_order(act, customer=inn, due_on=DUE, lines=lines))
    assert codes == ["price_missing"]
