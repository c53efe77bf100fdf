"""Margins and orders filled, worked out by hand on a small farm."""

from __future__ import annotations

from decimal import Decimal

from harvest_farm import KG, NOW, TODAY, begin_harvest_farm

from farmdesk.actions.cold_store import remove_stock
from farmdesk.actions.deliveries import DeliverLine, deliver
from farmdesk.actions.markets import LoadLine, SoldLine, close_market, load_market, open_market
from farmdesk.actions.orders import cancel_order, take_order
from farmdesk.actions.promises import Promise, promise_order
from farmdesk.domain.costs import CostSetting, Labour, Purchase, Supply
from farmdesk.domain.trade import OrderLine
from farmdesk.paper.tables import Table
from farmdesk.reports.margins import margins_table
from farmdesk.reports.order_fill import fill_table
from farmdesk.reports.sum_question import SumQuestion

DAYS = SumQuestion("customer", None, TODAY, TODAY)


def rows_of(table: Table) -> dict[str, dict[str, object]]:
    keys = [one.key for one in table.columns]
    return {str(row[0]): dict(zip(keys, row, strict=True)) for row in table.rows}


def order(harvest, customer: str, *lines):
    wanted = [(harvest.products[name], Decimal(q), unit, None) for name, q, unit in lines]
    return harvest.do(
        lambda act: take_order(
            act, customer=harvest.customers[customer], due_on=TODAY, lines=wanted
        )
    )


def test_margins_by_hand(store):
    harvest = begin_harvest_farm(store)
    pick = harvest.pick("OY", 6 * KG)
    asked = order(harvest, "inn", ("oyster loose", "4", "kg"))
    with store.reading() as reading:
        (line,) = reading.all(OrderLine, order=asked.id)
    wish = [DeliverLine(line.product, pick.id, 4 * KG, order_line=line.id)]
    harvest.do(lambda act: deliver(act, asked, wish))

    def trade(act):
        day = open_market(act, customer=harvest.customers["market"], fee=Decimal(12))
        load = LoadLine(harvest.products["oyster loose"], pick.id, Decimal(1), Decimal(18))
        (out,) = load_market(act, day, [load])
        close_market(act, day, [SoldLine(out.id)], waste=harvest.reasons["waste"])
        remove_stock(act, pick.id, reason=harvest.reasons["waste"], amount_mg=500_000)
        act.make("cost_setting_made", CostSetting(1, wage_per_hour=Decimal(24)))
        for day, minutes in ((TODAY, 60), ("2026-02-01", 99)):
            work = Labour(act.next_id("labour"), task="selling", day=day, minutes=minutes)
            act.make("labour_made", work)

    harvest.do(trade)
    with store.reading() as reading:
        table = margins_table(reading, DAYS, now=NOW)
    inn, market = rows_of(table)["Harbour Inn"], rows_of(table)["Market stall"]
    # Sold: 4 kg at 13.50 = 54.00 and 1 kg at 18.00; an hour of selling at 24.00 is shared by what
    # was sold, 54 to 18; the stand's 12.00 is the market's own. Nothing is known to cost to grow.
    assert (inn["revenue"], inn["labour"], inn["fees"]) == (54, 18, 0)
    assert (market["revenue"], market["labour"], market["fees"]) == (18, 6, 12)
    assert (inn["margin"], market["margin"]) == (Decimal(36), Decimal(0))
    assert inn["percent"] == Decimal("66.7")
    assert (inn["price"], market["price"]) == (Decimal("13.5"), Decimal(18))
    assert table.totals is not None
    assert table.totals[9] == Decimal(36)


def test_packs_bear_what_their_package_cost(store):
    harvest = begin_harvest_farm(store)
    pick = harvest.pick("OY", 2 * KG)
    punnet = harvest.products["oyster punnet"]

    def trade(act):
        from farmdesk.actions.deliveries import sell_now
        from farmdesk.actions.packs import make_packs

        supply = act.make("supply_made", Supply(act.next_id("supply"), "Punnet", "pack"))
        act.make(
            "purchase_made",
            Purchase(act.next_id("purchase"), supply=supply.id, pieces=200, price=Decimal(30)),
        )
        packs = make_packs(act, product=punnet, count=6, from_picks={pick.id: 2 * KG})
        sell_now(act, customer=harvest.customers["inn"],
                 lines=[DeliverLine(punnet, packs.id, count=6)])  # fmt: skip

    harvest.do(trade)
    with store.reading() as reading:
        row = rows_of(margins_table(reading, DAYS, now=NOW))["Harbour Inn"]
    # 6 packs at 4.20, their punnets at 30.00 for 200.
    assert (row["revenue"], row["packaging"]) == (Decimal("25.20"), Decimal("0.90"))


def test_fill_against_what_was_asked(store):
    harvest = begin_harvest_farm(store)
    oyster, other = harvest.pick("OY", 3 * KG), harvest.pick("SH", 2 * KG)
    asked = order(harvest, "inn", ("oyster loose", "4", "kg"), ("shiitake loose", "1", "lb"))
    gone = order(harvest, "inn", ("oyster loose", "9", "kg"))
    harvest.do(lambda act: cancel_order(act, gone))
    with store.reading() as reading:
        loose, shiitake = reading.all(OrderLine, order=asked.id)
    swap = Promise(loose.id, Decimal(4), swap_for=harvest.products["shiitake loose"])
    harvest.do(lambda act: promise_order(act, asked, [swap]))
    lines = [
        DeliverLine(loose.product, oyster.id, 3 * KG, order_line=loose.id),
        DeliverLine(shiitake.product, other.id, 1 * KG, order_line=loose.id),
        DeliverLine(shiitake.product, other.id, 453_592, order_line=shiitake.id),
    ]
    harvest.do(lambda act: deliver(act, asked, lines, is_last=True, short_reason="slow flush"))
    with store.reading() as reading:
        row = rows_of(fill_table(reading, TODAY, TODAY))["Harbour Inn"]
    # Three of four kilograms and all of the pound: (75 + 100) / 2; one line of two is whole.
    assert (row["lines"], row["whole"]) == (2, 1)
    assert (row["by_quantity"], row["by_line"]) == (Decimal("87.5"), Decimal("50.0"))
    assert row["with_swaps"] == Decimal("100.0")
