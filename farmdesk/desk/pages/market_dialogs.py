"""Forms of market days: begun, loaded, closed."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from functools import partial
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from farmdesk.actions.base import Act
from farmdesk.actions.deliveries import DeliverLine
from farmdesk.actions.markets import LoadLine, SoldLine, close_market, load_market, open_market
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import (
    CheckField,
    ChoiceField,
    DayField,
    Field,
    MoneyField,
    NotesField,
    TextField,
)
from farmdesk.desk.pages.order_lines import read_in_unit, widen
from farmdesk.desk.pages.sales_goods import Goods, GoodsField
from farmdesk.domain.catalogue import Product
from farmdesk.domain.trade import Delivery, MarketDay, MarketLine
from farmdesk.quantities.mass import amount_in
from farmdesk.quantities.numbers import decimal_of
from farmdesk.reports.markets import MarketRow, MarketThings
from farmdesk.reports.sales_lists import say_quantity
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr


class OpenDialog(FormDialog):
    """A market day begins."""

    def __init__(self, context: DeskContext, things: MarketThings) -> None:
        super().__init__(tr("New market day"), save_title=tr("Begin it"))
        add = self.form.add
        add(
            ChoiceField(
                "customer", tr("Market"), things.catalogue.choices("customer"), required=True,
                hint=tr("A customer of the catalogue stands for all who buy there."),
            )
        )  # fmt: skip
        add(DayField("held_on", tr("Day"), context.formats, value="today"))
        add(MoneyField("fee", tr("Stand fee"), context.formats))
        add(MoneyField("change_money", tr("Change money in the till"), context.formats))
        add(NotesField("note", tr("Note")))
        self.on_save = lambda values: self.run(context.act, partial(open_market, **values))


class LoadDialog(FormDialog):
    """Lots that go along; a scanned one is named on a line."""

    def __init__(self, context: DeskContext, things: MarketThings, row: MarketRow) -> None:
        super().__init__(
            tr("Take along to {market}").format(market=row.customer),
            sentence=tr("What is taken leaves the cold store until the day is closed."),
            save_title=tr("Take along"),
        )
        widen(self, 140)
        self._context, self._row = context, row
        products = [
            one for one in things.catalogue.all("product", retired=False) if things.lots_of(one)
        ]
        self._products = {one.id: one for one in products}
        goods = [Goods(one.id, one.name, one) for one in products]
        self.goods = self.form.add(
            GoodsField(
                "lines", tr("What goes along"), things, goods, formats=context.formats,
                with_price=True,
                hint=tr("Prices hold the tax. Empty price: the market's list. Scan or choose."),
            )
        )  # fmt: skip
        self.goods.add_row()

    def take_scan(self, line: str) -> bool:
        """A scanned lot is named on a line."""
        found = self.read_scan(line)
        if found is not None:
            known = self.goods.take_lot(found)
            wrong = tr("That code is no lot on hand of these products.")
            self.form.show_on_top("" if known else wrong)
        return True

    def save(self, values: dict[str, Any]) -> None:
        """Take it along."""
        lines = [_load_line(one, self._products[one.product]) for one in values["lines"]]
        self.run(self._context.act, partial(_load, day=self._row.id, lines=lines))


class CountField(Field):
    """What came back of each lot and what was lost there. `value()` is a list of SoldLine."""

    def __init__(
        self, key: str, label: str, things: MarketThings, row: MarketRow, formats: Formats
    ) -> None:
        self._formats = formats
        self.rows: list[tuple[TextField, TextField, MarketLine, Product]] = []
        editor = QWidget()
        column = QVBoxLayout(editor)
        column.setContentsMargins(0, 0, 0, 0)
        for line in row.lines:
            product = things.catalogue.get("product", line.product)
            if product is None:
                continue
            taken = say_quantity(line.taken, line.unit, formats)
            title = tr("{product}, {taken} taken: came back")
            back = TextField(
                "returned", title.format(product=product.name, taken=taken),
                placeholder=tr("nothing"),
            )  # fmt: skip
            lost = TextField("lost", tr("Lost there"), placeholder=tr("nothing"))
            beside = QHBoxLayout()
            beside.addWidget(back, 2, Qt.AlignmentFlag.AlignTop)
            beside.addWidget(lost, 1, Qt.AlignmentFlag.AlignTop)
            column.addLayout(beside)
            self.rows.append((back, lost, line, product))
        super().__init__(key, label, editor)

    def value(self) -> list[SoldLine]:
        """What was counted."""
        return [
            SoldLine(line.id, *(self._read(field, line, product) for field in (back, lost)))
            for back, lost, line, product in self.rows
        ]

    def _read(self, field: TextField, line: MarketLine, product: Product) -> Decimal:
        text = field.text().strip()
        return read_in_unit(text, product, line.unit, self._formats) if text else Decimal(0)


class CloseDialog(FormDialog):
    """A market day is counted and closed."""

    def __init__(self, context: DeskContext, things: MarketThings, row: MarketRow) -> None:
        super().__init__(
            tr("Close market day {name}").format(name=row.name),
            sentence=tr(
                "What neither came back nor was lost counts as sold. What stood warm for hours"
                " does not belong back among fresh lots: say so below, or count it as lost."
            ),
            save_title=tr("Close the day"),
        )
        widen(self, 80)
        self._context, self._row = context, row
        add = self.form.add
        self.counts = add(CountField("lines", tr("Lots"), things, row, context.formats))
        waste = [
            (one.id, one.name)
            for one in things.catalogue.all("reason", retired=False)
            if one.use == "waste"
        ]
        add(ChoiceField("waste", tr("What was lost leaves as"), waste, required=True,
                        value=waste[0][0] if waste else None))  # fmt: skip
        add(
            CheckField(
                "was_warm", tr("What came back stood warm: hold it until somebody looked at it")
            )
        )
        change = context.formats.money(row.change_money)
        add(
            MoneyField(
                "cash", tr("Cash counted"), context.formats,
                hint=tr("With the change money of {change}.").format(change=change),
            )
        )  # fmt: skip
        add(MoneyField("card", tr("By card"), context.formats))
        add(NotesField("note", tr("Note"), value=row.note))

    def save(self, values: dict[str, Any]) -> None:
        """Close it."""
        warm = tr("stood warm at {market}").format(market=self._row.name)
        values["hold_back"] = warm if values.pop("was_warm") else ""
        self.run(self._context.act, partial(_close, day=self._row.id, **values))


def _load_line(one: DeliverLine, product: Product) -> LoadLine:
    if product.unit == "pack":
        taken = Decimal(one.count or 0)
    else:
        # Six decimals of a kilogram are milligrams, and of a pound half of one.
        taken = decimal_of(amount_in(one.amount_mg or 0, product.unit), 6).normalize()
    return LoadLine(product.id, one.lot, taken, one.price)


def _load(act: Act, *, day: int, lines: Sequence[LoadLine]) -> list[MarketLine]:
    return load_market(act, act.need(MarketDay, day), lines)


def _close(
    act: Act, *, day: int, lines: Sequence[SoldLine], **values: Any
) -> tuple[MarketDay, Delivery | None]:
    return close_market(act, act.need(MarketDay, day), lines, **values)
