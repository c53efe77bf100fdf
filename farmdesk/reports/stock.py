"""The cold store: what is on hand with its dates, and where every lot went."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from farmdesk.arithmetic.balance import (
    LotAmounts,
    LotBalance,
    balance_lot,
    guess_slip,
    sum_amounts,
)
from farmdesk.domain.codes import code_of
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import day_plus, day_start, local_day
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.stock_chart import shelf_chart
from farmdesk.reports.stock_rows import StockRow, stock_row
from farmdesk.store.lists import lots_on_hand
from farmdesk.store.markets import at_markets
from farmdesk.store.returns import returned_of_picks
from farmdesk.store.stock import PickedLot, gone_from_lots, picks_between
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

_FLAGS: Mapping[str, str] = {
    "balanced": tr("balanced"),
    "accepted": tr("a little missing"),
    "too_much_missing": tr("too much missing"),
    "more_out_than_in": tr("more out than in"),
}
_PAST, _SELL = tr("past its date"), tr("past sell-by")
GOOD, _UNKNOWN = tr("good"), tr("no date known")


@dataclass(frozen=True)
class OnHand:
    """One lot in the store, and how it stands to its dates on that day."""

    row: StockRow
    state: str


@dataclass(frozen=True)
class BalanceRow:
    """One pick with where it went; what went into packs is counted apart from what was sold."""

    lot: PickedLot
    packed_mg: int
    balance: LotBalance
    returned_mg: int = 0
    """Of what was sold, what came back; it counts as sold, as it never becomes stock again."""


def stock_on_hand(reading: Reading, *, now: str | None = None) -> list[OnHand]:
    """Everything in the cold store, earliest shelf date first."""
    terms = read_terms(reading, now)
    rows = [stock_row(lot, terms) for lot in lots_on_hand(reading)]
    return [OnHand(row, _state(row, terms.today)) for row in rows]


def on_hand_table(reading: Reading, *, now: str | None = None) -> Table:
    """What is on hand, as a table."""
    terms = read_terms(reading, now)
    found = lots_on_hand(reading)
    lots = [stock_row(lot, terms) for lot in found]
    columns = (
        Column("lot", tr("Lot")),
        Column("code", tr("Code"), "code"),
        Column("what", tr("What")),
        Column("grade", tr("Grade")),
        Column("since", tr("Picked or packed"), "day"),
        Column("left_mg", tr("On hand"), "mass"),
        Column("packs", tr("Packs"), "integer"),
        Column("sell_by", tr("Sell by"), "day"),
        Column("shelf_on", tr("Shelf date"), "day"),
        Column("days_left", tr("Days left"), "integer"),
        Column("state", tr("State")),
        Column("room", tr("Room")),
    )
    rows = [
        (
            one.lot,
            one.code,
            one.what,
            one.grade,
            one.since,
            one.left_mg,
            one.packs or None,
            one.sell_by,
            one.shelf_on,
            one.days_left,
            _state(one, terms.today),
            one.room,
        )
        for one in lots
    ]
    total = sum(one.left_mg for one in lots)
    totals = (tr("All"), "", "", "", None, total, None, None, None, None, "", "")
    charts = (shelf_chart(found, terms),) if found else ()
    return Table(
        "on_hand",
        tr("Cold store"),
        columns,
        rows,
        totals=totals,
        notes=_notes(terms),
        charts=charts,
    )


def lot_balances(
    reading: Reading, *, since: str | None = None, now: str | None = None
) -> list[BalanceRow]:
    """The balance of every pick since a day (30 days unless given) or with something left."""
    terms = read_terms(reading, now)
    first = since or day_plus(terms.today, -30)
    start, end = (day_start(day, terms.farm.zone) for day in (first, day_plus(terms.today, 1)))
    ways: dict[int, dict[str, int]] = {}
    for gone in gone_from_lots(reading, start, end):
        ways.setdefault(gone.lot, {})[gone.way] = gone.amount_mg
    for lot, amount_mg in at_markets(reading).items():
        ways.setdefault(lot, {})["market"] = amount_mg
    returned = returned_of_picks(reading)
    return [
        _balance(lot, ways.get(lot.id, {}), returned.get(lot.id, 0))
        for lot in picks_between(reading, start, end)
    ]


def balance_table(reading: Reading, *, since: str | None = None, now: str | None = None) -> Table:
    """Where every lot went: picked = packed + sold + gifts + own use + waste + drying + on hand."""
    terms = read_terms(reading, now)
    found = lot_balances(reading, since=since, now=now)
    columns = (
        Column("lot", tr("Lot")),
        Column("code", tr("Code"), "code"),
        Column("species", tr("Species")),
        Column("picked_on", tr("Picked"), "day"),
        Column("picked_mg", tr("Picked"), "mass"),
        Column("packed_mg", tr("Packed"), "mass"),
        Column("sold_mg", tr("Sold loose"), "mass"),
        Column("gifts_mg", tr("Gifts"), "mass"),
        Column("own_use_mg", tr("Own use"), "mass"),
        Column("waste_mg", tr("Waste"), "mass"),
        Column("drying_mg", tr("Drying"), "mass"),
        Column("at_market_mg", tr("At a market"), "mass"),
        Column("on_hand_mg", tr("On hand"), "mass"),
        Column("unexplained_mg", tr("Unexplained"), "mass"),
        Column("returned_mg", tr("Came back"), "mass"),
        Column("state", tr("State")),
        Column("slip", tr("Likeliest slip")),
    )
    rows = [
        (
            one.lot.name,
            code_of(one.lot.id),
            one.lot.species,
            local_day(one.lot.picked_at, terms.farm.zone),
            *_masses(one.balance.amounts, one.packed_mg),
            one.balance.unexplained_mg,
            one.returned_mg or None,
            _FLAGS[one.balance.flag],
            _slip(one, terms.today),
        )
        for one in found
    ]
    whole = sum_amounts(*(one.balance.amounts for one in found))
    packed = sum(one.packed_mg for one in found)
    missing = sum(one.balance.unexplained_mg for one in found)
    back = sum(one.returned_mg for one in found)
    totals = (tr("All"), "", "", None, *_masses(whole, packed), missing, back or None, "", "")
    notes = [tr("What came back from customers is part of what was sold or packed: it never"
                " becomes stock again.")] if back else []  # fmt: skip
    return Table("balances", tr("Where the lots went"), columns, rows, notes, totals=totals)


def _balance(lot: PickedLot, ways: Mapping[str, int], returned_mg: int) -> BalanceRow:
    packed = ways.get("packed", 0)
    amounts = LotAmounts(
        picked_mg=lot.net_mg,
        # For the balance what is packed has left the pick as what is sold has.
        sold_mg=ways.get("sold", 0) + packed,
        at_market_mg=ways.get("market", 0),
        gifts_mg=ways.get("gift", 0),
        own_use_mg=ways.get("own", 0),
        waste_mg=ways.get("waste", 0),
        drying_mg=ways.get("drying", 0),
        on_hand_mg=lot.left_mg,
    )
    return BalanceRow(lot, packed, balance_lot(amounts), returned_mg)


def _slip(row: BalanceRow, today: str) -> str:
    past = row.lot.shelf_on is not None and row.lot.shelf_on < today
    slip = guess_slip(row.balance, tare_mg=row.lot.tare_mg, is_past_shelf=past)
    words = {
        "tare": tr("weighed with its crate: the difference is the crate's weight"),
        "tare_twice": tr("the crate's weight was taken off twice"),
        "unit_lb_kg": tr("pounds and kilograms mixed up"),
        "unit_oz_lb": tr("ounces and pounds mixed up"),
        "unit_thousand": tr("grams and kilograms mixed up"),
        "discard": tr("past its shelf date: thrown away without a record"),
    }
    return words[slip] if slip else ""


def _masses(amounts: LotAmounts, packed_mg: int) -> tuple[int, ...]:
    return (
        amounts.picked_mg,
        packed_mg,
        amounts.sold_mg - packed_mg,
        amounts.gifts_mg,
        amounts.own_use_mg,
        amounts.waste_mg,
        amounts.drying_mg,
        amounts.at_market_mg,
        amounts.on_hand_mg,
    )


def _state(row: StockRow, today: str) -> str:
    if row.shelf_on is None:
        return _UNKNOWN
    if row.shelf_on < today:
        return _PAST
    return _SELL if row.sell_by is not None and row.sell_by < today else GOOD


def _notes(terms: FarmTerms) -> list[str]:
    stored = terms.formats.temperature(terms.farm.cold_store_c)
    return [
        tr("On hand {now}, earliest shelf date first.").format(
            now=terms.formats.instant(terms.now)
        ),
        tr(
            "Shelf dates are estimates for a store at {stored}, never beyond the "
            "temperatures that lives are known for. Look at a lot before it is sold."
        ).format(stored=stored),
    ]
