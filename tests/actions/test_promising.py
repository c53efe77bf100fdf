"""Standing orders taken, promises, substitutes, lots held back, and packing by scan."""

from __future__ import annotations

from decimal import Decimal

import pytest
from harvest_farm import KG, TODAY

from farmdesk.actions.cold_store import hold_stock, release_stock
from farmdesk.actions.deliveries import DeliverLine, deliver
from farmdesk.actions.demand import save_standing_order
from farmdesk.actions.orders import take_order
from farmdesk.actions.packing_checks import read_packing
from farmdesk.actions.packs import make_packs
from farmdesk.actions.promises import Promise, promise_order
from farmdesk.actions.standing import standing_due, take_standing
from farmdesk.actions.undo import undo_last
from farmdesk.domain.demand import StandingOrder
from farmdesk.domain.trade import DeliveryLine, Order, OrderLine
from farmdesk.quantities.times import day_plus
from farmdesk.reports.supply import free_for_lines, read_supply

# TODAY is a Monday.
NEXT = day_plus(TODAY, 7)


def standing(
    harvest, customer="inn", product="oyster loose", quantity="3", **more
) -> StandingOrder:
    order = StandingOrder(
        0, harvest.customers[customer], harvest.products[product], Decimal(quantity),
        "pack" if "punnet" in product else "kg", more.pop("weekday", 3), "2026-01-01", **more,
    )  # fmt: skip
    return harvest.do(lambda act: save_standing_order(act, order))


def order_for(harvest, customer: str, *lines, due_on: str = TODAY) -> Order:
    wanted = [(harvest.products[name], Decimal(q), unit, None) for name, q, unit in lines]
    return harvest.do(
        lambda act: take_order(
            act, customer=harvest.customers[customer], due_on=due_on, lines=wanted
        )
    )


def lines_of(harvest, order: Order) -> list[OrderLine]:
    with harvest.store.reading() as reading:
        return reading.all(OrderLine, order=order.id)


def packing(harvest, order: Order):
    with harvest.store.reading() as reading:
        return read_packing(reading, order.id, on=TODAY)


def take(harvest, days: int = 6) -> list[Order]:
    return harvest.do(
        lambda act: take_standing(act, first_day=TODAY, last_day=day_plus(TODAY, days))
    )


def test_standing_orders_become_one_order_for_each_customer_and_day_once(harvest):
    first = standing(harvest)
    standing(harvest, product="oyster punnet", quantity="6", note="back door")
    standing(harvest, quantity="1", weekday=5)
    taken = take(harvest)
    assert [(one.due_on, one.standing, one.note) for one in taken] == [
        ("2026-03-04", first.id, "back door"), ("2026-03-06", first.id + 2, ""),
    ]  # fmt: skip
    assert [(one.quantity, one.unit) for one in lines_of(harvest, taken[0])] == [
        (Decimal(3), "kg"), (Decimal(6), "pack"),
    ]  # fmt: skip
    again = harvest.refusal(
        lambda act: take_standing(act, first_day=TODAY, last_day=day_plus(TODAY, 6))
    )
    assert again == ["standing_nothing_due"]
    harvest.do(undo_last)
    with harvest.store.reading() as reading:
        assert len(standing_due(reading, TODAY, day_plus(TODAY, 6))) == 3
        assert len(standing_due(reading, TODAY, day_plus(TODAY, 13))) == 6
    harvest.clean()


def test_a_standing_order_without_a_price_takes_none_of_them(harvest):
    standing(harvest)
    standing(harvest, customer="market", product="shiitake loose")
    found = harvest.refusal(
        lambda act: take_standing(act, first_day=TODAY, last_day=day_plus(TODAY, 6))
    )
    assert found == ["price_missing"]
    with harvest.store.reading() as reading:
        assert reading.all(Order) == []


def test_what_is_promised_is_proposed_and_what_was_asked_stays(harvest):
    harvest.pick("OY", 2 * KG)
    order = order_for(harvest, "inn", ("oyster loose", "3", "kg"))
    (line,) = lines_of(harvest, order)
    promise = Promise(line.id, Decimal("1.5"), reason="cold week")
    said = harvest.do(lambda act: promise_order(act, order, [promise]))
    assert said.promised_on == TODAY
    (kept,) = lines_of(harvest, order)
    assert (kept.quantity, kept.promised, kept.short_reason) == (
        Decimal(3), Decimal("1.5"), "cold week",
    )  # fmt: skip
    assert [one.amount_mg for one in packing(harvest, order).proposal.lines] == [1_500_000]
    harvest.clean()


@pytest.mark.parametrize(
    ("promise", "code"),
    [
        ({"quantity": Decimal(4)}, "promise_above_asked"),
        ({"quantity": Decimal(-1)}, "promise_wrong"),
        ({"quantity": Decimal(1), "swap_for": "oyster punnet"}, "swap_cannot_be"),
        ({"quantity": Decimal(1), "swap_for": "oyster loose"}, "swap_cannot_be"),
    ],
)
def test_a_promise_that_cannot_be_is_refused(harvest, promise, code):
    order = order_for(harvest, "inn", ("oyster loose", "3", "kg"))
    (line,) = lines_of(harvest, order)
    if "swap_for" in promise:
        promise = {**promise, "swap_for": harvest.products[promise["swap_for"]]}
    wish = Promise(line.id, **promise)
    assert harvest.refusal(lambda act: promise_order(act, order, [wish])) == [code]


def test_an_agreed_substitute_goes_out_as_what_it_is_at_its_own_price(harvest):
    other = harvest.pick("SH", 3 * KG)
    order = order_for(harvest, "inn", ("oyster loose", "2", "kg"))
    (line,) = lines_of(harvest, order)
    shiitake = harvest.products["shiitake loose"]
    promise = Promise(line.id, Decimal(2), swap_for=shiitake)
    order = harvest.do(lambda act: promise_order(act, order, [promise]))
    lines = packing(harvest, order).proposal.lines
    assert [(one.product, one.lot, one.amount_mg) for one in lines] == [
        (shiitake, other.id, 2 * KG)
    ]
    sent = harvest.do(lambda act: deliver(act, order, lines))
    with harvest.store.reading() as reading:
        (gone,) = reading.all(DeliveryLine, delivery=sent.id)
    # 9.25 for 1 lb is 20.39 for 1 kg of the exact pound.
    assert (gone.product, gone.unit_price, gone.total) == (
        shiitake, Decimal("20.39"), Decimal("40.78"),
    )  # fmt: skip
    assert harvest.get(Order, order.id).status == "delivered"
    harvest.clean()


def test_why_less_came_is_kept_with_the_last_delivery(harvest):
    pick = harvest.pick("OY", 1 * KG)
    order = order_for(harvest, "inn", ("oyster loose", "3", "kg"))
    (line,) = lines_of(harvest, order)
    part = [DeliverLine(line.product, pick.id, 1 * KG, order_line=line.id)]
    harvest.do(lambda act: deliver(act, order, part, is_last=True, short_reason="picked too few"))
    assert lines_of(harvest, order)[0].short_reason == "picked too few"


def test_a_lot_held_back_is_neither_proposed_packed_nor_sold(harvest):
    pick = harvest.pick("OY", 2 * KG)
    order = order_for(harvest, "inn", ("oyster loose", "1", "kg"))
    (line,) = lines_of(harvest, order)
    harvest.do(lambda act: hold_stock(act, pick.id, why="green spot seen"))
    found = packing(harvest, order)
    assert (found.proposal.lines, found.reasons[pick.id].code) == ((), "lot_on_hold")
    wish = [DeliverLine(line.product, pick.id, 1 * KG, order_line=line.id)]
    assert harvest.refusal(lambda act: deliver(act, order, wish)) == ["lot_on_hold"]
    punnet = harvest.products["oyster punnet"]
    assert harvest.refusal(
        lambda act: make_packs(act, product=punnet, count=1, from_picks={pick.id: KG})
    ) == ["lot_on_hold"]
    with harvest.store.reading() as reading:
        assert read_supply(reading, now=f"{TODAY}T09:00:00Z").lots == []
    harvest.do(lambda act: release_stock(act, pick.id))
    assert len(packing(harvest, order).proposal.lines) == 1
    assert harvest.refusal(lambda act: hold_stock(act, pick.id, why=" ")) == ["field_empty"]


def test_a_wrong_lot_is_told_with_the_reason(harvest):
    old = harvest.pick("OY", 1 * KG, on="2026-02-20")
    late = harvest.pick("OY", 1 * KG, on="2026-02-24")
    young = harvest.pick("OY", 1 * KG)
    other = harvest.pick("SH", 1 * KG)
    order = order_for(harvest, "shop", ("oyster loose", "1", "kg"))
    found = packing(harvest, order)
    assert [one.lot for one in found.proposal.lines] == [young.id]
    assert {lot: one.code for lot, one in found.reasons.items()} == {
        old.id: "lot_too_old_for",
        late.id: "lot_too_old_for",
        other.id: "lot_other_product",
    }


def test_a_lot_that_strict_customers_need_is_left_to_them(harvest):
    old = harvest.pick("OY", 1 * KG, on="2026-02-25")
    young = harvest.pick("OY", 1 * KG)
    order_for(harvest, "shop", ("oyster loose", "1", "kg"), due_on=day_plus(TODAY, 1))
    easy = order_for(harvest, "inn", ("oyster loose", "1", "kg"))
    found = packing(harvest, easy)
    assert [one.lot for one in found.proposal.lines] == [old.id]
    assert found.reasons[young.id].code == "lot_for_others"


def test_no_kilogram_is_free_twice(harvest):
    """Loose and packed draw on the same mushrooms; later promises count against earlier days."""
    harvest.pick("OY", 3 * KG)
    order_for(harvest, "inn", ("oyster loose", "1", "kg"), due_on=TODAY)
    later = order_for(harvest, "inn", ("oyster punnet", "4", "pack"), due_on=day_plus(TODAY, 2))
    said = [Promise(lines_of(harvest, later)[0].id, Decimal(4))]
    harvest.do(lambda act: promise_order(act, later, said))
    now = f"{TODAY}T09:00:00Z"
    with harvest.store.reading() as reading:
        supply = read_supply(reading, now=now, with_forecast=False)
        each = supply.products[harvest.products["oyster punnet"]].pack_mg
        free = supply.free_loose(harvest.species["OY"], TODAY)
        packs = supply.free_packs(supply.products[harvest.products["oyster punnet"]], TODAY)
    assert free == 2 * KG - 4 * each
    assert packs == free // each
    wish = (("oyster loose", "9", "kg"), ("oyster punnet", "9", "pack"))
    order = order_for(harvest, "inn", *wish)
    # Kept for the inn's punnets: four of them, though they are wanted later.
    with harvest.store.reading() as reading:
        loose, boxed = free_for_lines(reading, order, now=now).values()
    assert loose + boxed * each <= free
    assert loose == free
