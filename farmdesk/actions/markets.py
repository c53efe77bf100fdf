"""Market days: what was taken out, sold, brought back and lost, and the money counted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.cold_store import (
    check_hold,
    hold_stock,
    need_lot,
    remove_stock,
    take_from_lot,
)
from farmdesk.actions.deliveries import DeliverLine, sell_now, tax_of
from farmdesk.actions.orders import check_unit, price_for
from farmdesk.arithmetic.money_sums import PriceUnit, bill_line, find_quantity
from farmdesk.domain.catalogue import Customer, Product
from farmdesk.domain.codes import name_for
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.trade import Delivery, MarketDay, MarketLine, wanted_mg
from farmdesk.errors import Problem, Refused, problem

OPEN, CLOSED = "open", "closed"


@dataclass(frozen=True)
class LoadLine:
    """What is taken to a market of one lot, in kg, lb or packs; tax is in the price."""

    product: int
    lot: int
    taken: Decimal
    price: Decimal | None = None


@dataclass(frozen=True)
class SoldLine:
    """What came back of one line and what was lost there; the rest was sold."""

    line: int
    returned: Decimal = Decimal(0)
    lost: Decimal = Decimal(0)


def open_market(
    act: Act,
    *,
    customer: int,
    held_on: str | None = None,
    fee: Decimal | None = None,
    change_money: Decimal | None = None,
    note: str = "",
) -> MarketDay:
    """Begin a day at a market; raises Refused for money below nothing."""
    market = act.need(Customer, customer)
    amounts = {"fee": fee or Decimal(0), "change_money": change_money or Decimal(0)}
    problems = [*check_text("note", note, needed=False, long=True)]
    for field, amount in amounts.items():
        if not amount.is_finite() or amount < 0:
            problems.append(problem("market_money_wrong", field=field))
    if problems:
        raise Refused(*problems)
    day_id = act.next_id("market_day")
    return act.make(
        "market_opened",
        MarketDay(
            id=day_id, name=name_for("market_day", act.running("market_day", day_id)),
            customer=market.id, held_on=held_on or act.day, person=act.who.person,
            note=note.strip(), fee=amounts["fee"], change_money=amounts["change_money"],
        ),
    )  # fmt: skip


def load_market(act: Act, market: MarketDay, lines: Sequence[LoadLine]) -> list[MarketLine]:
    """Take lots along: they leave the cold store until the market is closed.

    Raises Refused for what is not there, held back, not that product, or has no price.
    """
    _need_open(market)
    if not lines:
        raise Refused(problem("market_nothing_loaded", field="lines"))
    return [_load(act, market, one) for one in lines]


def close_market(
    act: Act,
    market: MarketDay,
    lines: Sequence[SoldLine],
    *,
    waste: int,
    cash: Decimal | None = None,
    card: Decimal | None = None,
    note: str = "",
    hold_back: str = "",
) -> tuple[MarketDay, Delivery | None]:
    """Count what came back: it goes into its lots again, the rest counts as sold or lost.

    What was sold becomes one delivery to the market, so that every lot can be followed there.
    `waste` is the reason under which what was lost leaves. Prices hold the tax. `hold_back` says
    why what came back is held until somebody looked at it; empty when it was kept cold.
    """
    _need_open(market)
    known = {one.id: one for one in act.tx.all(MarketLine, market_day=market.id)}
    given = {one.line: one for one in lines}
    problems = [*check_text("note", note, needed=False, long=True)]
    for line in known.values():
        problems += _check_count(act, line, given.get(line.id, SoldLine(line.id)))
    for field, amount in (("cash", cash), ("card", card)):
        if amount is not None and (not amount.is_finite() or amount < 0):
            problems.append(problem("market_money_wrong", field=field))
    if problems:
        raise Refused(*problems)
    going = []
    for line in known.values():
        count = given.get(line.id, SoldLine(line.id))
        sold = line.taken - count.returned - count.lost
        _bring_back(act, line)
        if count.lost:
            mass, packs = _amount(line, count.lost)
            remove_stock(act, line.lot, reason=waste, amount_mg=mass, count=packs)
        if sold:
            going.append(_sale(line, sold))
        total = _takings(act, line, sold)
        facts = {"sold": sold, "returned": count.returned, "lost": count.lost, "total": total}
        act.change_fields("market_line_counted", line, facts)
    sent = None
    if going:
        note_text = market.name
        sent = sell_now(
            act, customer=market.customer, lines=going,
            delivered_on=min(market.held_on, act.day), note=note_text,
        )  # fmt: skip
    if hold_back.strip():
        back = {known[one.line].lot for one in lines if one.returned}
        for lot in sorted(back):
            _hold(act, lot, hold_back.strip())
    closed = act.change_fields(
        "market_closed", market,
        {"cash": cash, "card": card, "status": CLOSED, "note": note.strip() or market.note},
    )  # fmt: skip
    return closed, sent


def drop_market(act: Act, market: MarketDay) -> None:
    """Take a market day away that did not happen; everything goes back into its lots."""
    _need_open(market)
    for line in act.tx.all(MarketLine, market_day=market.id):
        _bring_back(act, line)
        act.take_away("market_line_removed", line)
    act.take_away("market_removed", market)


def _load(act: Act, market: MarketDay, wish: LoadLine) -> MarketLine:
    product = act.need(Product, wish.product)
    lot = need_lot(act, wish.lot)
    problems = [*check_unit(product, product.unit), *check_hold(lot, "lines")]
    fits = (
        product.unit != "pack" and product.species in (None, lot.species)
        if isinstance(lot, Pick)
        else lot.product == product.id
    )
    if not fits:
        facts = {"lot": lot.name, "product": product.name}
        problems.append(problem("lot_is_not_product", field="lines", **facts))
    if not wish.taken.is_finite() or wish.taken <= 0:
        problems.append(problem("amount_missing", field="lines", lot=lot.name))
    elif product.unit == "pack" and wish.taken != wish.taken.to_integral_value():
        problems.append(problem("product_sold_by_pack", field="lines", product=product.name))
    if product.fill == "catch":
        problems.append(problem("market_weighed_packs", field="lines", product=product.name))
    if problems:
        raise Refused(*problems)
    buyer = act.need(Customer, market.customer)
    price, note = price_for(act, buyer, product, product.unit, wish.price)
    line = MarketLine(
        id=act.next_id("market_line"), market_day=market.id, product=product.id, lot=lot.id,
        unit=product.unit, taken=wish.taken, unit_price=price, tax_percent=tax_of(act, product),
    )  # fmt: skip
    mass, packs = _amount(line, wish.taken)
    take_from_lot(act, lot, happening="stock_to_market", amount_mg=mass, count=packs)
    return act.make("market_loaded", line, note=note)


def _check_count(act: Act, line: MarketLine, count: SoldLine) -> Iterator[Problem]:
    name = act.need(Product, line.product).name
    for amount in (count.returned, count.lost):
        if not amount.is_finite() or amount < 0:
            yield problem("market_count_wrong", field="lines", product=name)
            return
    if count.returned + count.lost > line.taken:
        facts = {"product": name, "taken": f"{line.taken.normalize():f} {line.unit}"}
        yield problem("market_more_than_taken", field="lines", **facts)


def _bring_back(act: Act, line: MarketLine) -> None:
    """Put all that was taken along into its lot again, to be sold or thrown away from there."""
    lot = need_lot(act, line.lot)
    mass, packs = _amount(line, line.taken)
    if isinstance(lot, Pack):
        act.change("stock_from_market", lot, left=lot.left + (packs or 0))
    else:
        act.change("stock_from_market", lot, left_mg=lot.left_mg + (mass or 0))


def _hold(act: Act, lot_id: int, why: str) -> None:
    if not need_lot(act, lot_id).hold:
        hold_stock(act, lot_id, why=why)


def _amount(line: MarketLine, quantity: Decimal) -> tuple[int | None, int | None]:
    """A quantity of a line as (mg, packs), one of them none."""
    if line.unit == "pack":
        return None, int(quantity)
    return wanted_mg(quantity, line.unit), None


def _takings(act: Act, line: MarketLine, sold: Decimal) -> Decimal:
    """What a quantity brings, as its delivery bills it: by the quantity that is printed."""
    mass, packs = _amount(line, sold)
    unit: PriceUnit = line.unit  # type: ignore[assignment]
    quantity = find_quantity(unit, mass_mg=mass or 0, packs=packs or 0)
    currency = act.farm.currency
    return bill_line(quantity, unit=unit, unit_price=line.unit_price, currency=currency).total


def _sale(line: MarketLine, sold: Decimal) -> DeliverLine:
    mass, packs = _amount(line, sold)
    return DeliverLine(
        line.product, line.lot, mass, packs, unit=line.unit, price=line.unit_price,
        includes_tax=True,
    )  # fmt: skip


def _need_open(market: MarketDay) -> None:
    if market.status != OPEN:
        raise Refused(problem("market_closed_already", market=market.name))
