"""Market days: what was taken, sold and brought back, and whether the money is right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.catalogue import Customer, Product
from farmdesk.domain.codes import code_of, kind_of
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.trade import MarketDay, MarketLine
from farmdesk.errors import NotFound, problem
from farmdesk.paper.documents import Block, Details, Document, Note, SignLines
from farmdesk.paper.tables import Column, Table
from farmdesk.reports.catalogue import Catalogue, read_catalogue
from farmdesk.reports.cold_store_lists import LotRow, read_lots
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.sales_lists import is_of, say_quantity
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_unit

_KINDS = ("customer", "product", "reason", "species", "price_list")


@dataclass(frozen=True)
class MarketRow:
    """A day at a market. `takings` is what was sold, taxes included; `difference` is the money
    counted less the change money and the takings, None before it was counted."""

    id: int
    name: str
    customer: str
    held_on: str
    status: str
    loaded: str
    takings: Decimal
    fee: Decimal
    change_money: Decimal
    cash: Decimal | None
    card: Decimal | None
    difference: Decimal | None
    note: str
    lines: tuple[MarketLine, ...]


@dataclass(frozen=True)
class MarketThings:
    """The market days, and what their forms choose from."""

    terms: FarmTerms
    catalogue: Catalogue
    days: tuple[MarketRow, ...]
    lots: tuple[LotRow, ...]

    def lots_of(self, product: Product | None) -> list[LotRow]:
        """Lots on hand that are of a product, earliest shelf date first."""
        return [one for one in self.lots if product is not None and is_of(one, product)]


def load_markets(store: FarmStore) -> MarketThings:
    """Market days as they stand, read in a transaction of their own."""
    with store.reading() as reading:
        return read_markets(reading)


def read_markets(reading: Reading, *, now: str | None = None) -> MarketThings:
    """Market days as they stand, the newest first."""
    terms = read_terms(reading, now)
    catalogue = read_catalogue(reading, _KINDS)
    days = sorted(reading.all(MarketDay), key=lambda one: (one.held_on, one.id), reverse=True)
    rows = [
        market_row(one, reading.all(MarketLine, market_day=one.id), catalogue, terms)
        for one in days
    ]
    return MarketThings(terms, catalogue, tuple(rows), tuple(read_lots(reading, terms)))


def market_row(
    day: MarketDay, lines: Sequence[MarketLine], catalogue: Catalogue, terms: FarmTerms
) -> MarketRow:
    """A market day with its lines added up."""
    takings = sum((one.total for one in lines), Decimal(0))
    counted = (day.cash or Decimal(0)) + (day.card or Decimal(0))
    is_counted = day.cash is not None or day.card is not None
    parts = [
        f"{say_quantity(one.taken, one.unit, terms.formats)} "
        f"{catalogue.name('product', one.product)}"
        for one in lines
    ]
    return MarketRow(
        id=day.id, name=day.name, customer=catalogue.name("customer", day.customer),
        held_on=day.held_on, status=day.status, loaded="; ".join(parts), takings=takings,
        fee=day.fee, change_money=day.change_money, cash=day.cash, card=day.card,
        difference=counted - day.change_money - takings if is_counted else None, note=day.note,
        lines=tuple(lines),
    )  # fmt: skip


def markets_table(reading: Reading, *, now: str | None = None) -> Table:
    """The market days as a table."""
    columns = (
        Column("name", tr("Market day")),
        Column("customer", tr("Market")),
        Column("held_on", tr("Day"), "day"),
        Column("loaded", tr("Taken along")),
        Column("takings", tr("Sold, tax included"), "money"),
        Column("fee", tr("Stand fee"), "money"),
        Column("change_money", tr("Change money"), "money"),
        Column("cash", tr("Cash counted"), "money"),
        Column("card", tr("By card"), "money"),
        Column("difference", tr("Difference"), "money"),
    )
    rows = [
        [getattr(row, one.key) for one in columns] for row in read_markets(reading, now=now).days
    ]
    return Table("markets", tr("Market days"), columns, rows)


def load_sheet(reading: Reading, day_id: int, *, now: str | None = None) -> Document:
    """What goes along to a market, with places to write what came back. Raises NotFound."""
    terms = read_terms(reading, now)
    day = reading.get(MarketDay, day_id)
    if day is None:
        raise NotFound(problem("not_found", kind="market_day", id=day_id))
    customer = reading.get(Customer, day.customer)
    products = {one.id: one for one in reading.all(Product)}
    columns = (
        Column("product", tr("Product")),
        Column("lot", tr("Lot")),
        Column("code", tr("Code"), "code"),
        Column("taken", tr("Taken")),
        Column("price", tr("Price"), "money"),
        Column("unit", tr("for one")),
        Column("back", tr("Came back")),
        Column("lost", tr("Lost there")),
    )
    rows = []
    for one in reading.all(MarketLine, market_day=day.id):
        lot: Pick | Pack | None = (
            reading.get(Pack, one.lot) if kind_of(one.lot) == "pack" else reading.get(Pick, one.lot)
        )
        rows.append(
            (products[one.product].name, "" if lot is None else lot.name, code_of(one.lot),
             say_quantity(one.taken, one.unit, terms.formats), one.unit_price, say_unit(one.unit),
             "________", "________")
        )  # fmt: skip
    formats = terms.formats
    facts = [
        (tr("Market"), "" if customer is None else customer.name),
        (tr("Day"), formats.day(day.held_on)),
        (tr("Stand fee"), formats.money(day.fee)),
        (tr("Change money"), formats.money(day.change_money)),
    ]
    cautions = {products[row.product].caution: None for row in
                reading.all(MarketLine, market_day=day.id)}  # fmt: skip
    blocks: list[Block] = [
        Details(facts),
        Table("load", tr("Taken along"), columns, rows),
        Note(tr(
            "Prices hold the tax. Keep fresh mushrooms cold and let packs breathe; what stood"
            " warm is not brought back into stock as if it were fresh. A scale that prices are"
            " made by must be approved for trade: ask the local office."
        )),
        *(Note(text, is_caution=True) for text in cautions if text),
        SignLines((tr("Cash counted"), tr("By card"), tr("Counted by"))),
    ]  # fmt: skip
    title = tr("Load sheet {name}").format(name=day.name)
    footer = f"{terms.farm.name} · {title}"
    return Document(title=title, blocks=blocks, footer=footer, author=terms.farm.name)
