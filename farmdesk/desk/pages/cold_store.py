"""The cold store: lots on hand with their dates, packs, what leaves unsold, where lots went."""

from __future__ import annotations

from functools import partial
from typing import Any

from PySide6.QtWidgets import QLabel, QWidget

from farmdesk.desk.batch_labels import BatchLabelsDialog
from farmdesk.desk.context import DeskContext
from farmdesk.desk.exporting import offer_taking, print_document, print_table, table_of
from farmdesk.desk.life_dialog import open_life
from farmdesk.desk.list_view import ListView
from farmdesk.desk.page import Page
from farmdesk.desk.pages.cold_store_dialogs import PlaceDialog, RemoveDialog
from farmdesk.desk.pages.cold_store_life import LifeList
from farmdesk.desk.pages.hold_dialog import HoldDialog, release
from farmdesk.desk.pages.net_check_dialog import NetCheckDialog, load_sheet_of
from farmdesk.desk.pages.pack_dialog import PacksDialog
from farmdesk.desk.pages.stocktake_dialog import open_stocktake_dialog
from farmdesk.desk.pages.trade_dialog import TradeDialog, load_trade_setting
from farmdesk.desk.pages.week_lists import TableSheet
from farmdesk.desk.part_tabs import PartTabs
from farmdesk.desk.tables import Column
from farmdesk.domain.catalogue import Product
from farmdesk.domain.codes import group_code, read_code
from farmdesk.domain.harvest import NetCheck, Pack
from farmdesk.domain.trade import TradeSetting
from farmdesk.errors import NotFound, NotUnderstood, problem
from farmdesk.paper.documents import Document
from farmdesk.paper.tables import Kind
from farmdesk.reports.cold_store_lists import ColdStore, LotRow, load_cold_store
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr

CAUTION = tr(
    "⚠ Never airtight, never vacuum for fresh mushrooms: perforated wrap, "
    "cold, and look before selling. Tell buyers to cook shiitake well. Local "
    "food rules come first."
)
_CODE = 1
"""The place of the code in a row of balances."""
_LOT_KINDS: dict[str, Kind] = {
    "age": "integer", "left_mg": "mass", "packs": "integer", "days_left": "integer",
    "shelf_on": "day", "sell_by": "day", "since": "day",
}  # fmt: skip


class ColdStorePage(Page):
    """What lies in the store, to be sold, packed, given, used, dried or thrown away."""

    title = tr("Cold store")
    help_text = tr(
        "Lots on hand, earliest shelf date first. Ctrl+N makes packs from chosen "
        "picks, Del takes stock out unsold. Shelf dates are estimates from the "
        "store's temperature; look at a lot before it is sold. No lot ever goes "
        "below nothing."
    )
    interest = frozenset(
        {"pick", "pack", "removal", "delivery_line", "link", "product", "reason", "room",
         "species", "label_stock", "room_reading", "climate_day", "storage_life", "shelf_setting",
         "farm"}
    )  # fmt: skip

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.store: ColdStore | None = None
        self._wanted = ""
        self.add_page_action(
            tr("Marking of packs …"), self.marking, shortcut="Ctrl+G",
            hint=tr("GS1 prefix, symbol, handling text, rule of net contents"),
        )  # fmt: skip
        self.add_page_action(
            tr("Make packs"), self.make_packs, shortcut="Ctrl+N", icon="crate",
            hint=tr("Packs of one product from the chosen picks"),
        )  # fmt: skip
        self.add_page_action(
            tr("Stocktake"), self.count_stock, shortcut="Ctrl+T", icon="scan",
            hint=tr("Count the store by scanning, and put the records right"),
        )  # fmt: skip
        caution = QLabel(CAUTION)
        caution.setObjectName("problem")
        caution.setWordWrap(True)
        self.body.addWidget(caution)
        self.lots = self._make_lots()
        self.balances = TableSheet(
            self,
            empty_text=tr(
                "No pick in the last 30 days, and none with something left. Record one on the "
                "fruiting page (Ctrl+4, then Ctrl+N)."
            ),
            on_opened=lambda row: open_life(self.context, read_code(row[_CODE])),
        )
        self.tabs = PartTabs()
        self.tabs.setAccessibleName(tr("Lists of the cold store"))
        self.tabs.addTab(self.lots, tr("On hand"))
        self.tabs.addTab(self.balances, tr("Where the lots went"))
        self.life = LifeList(self)
        self.tabs.addTab(self.life, tr("Shelf life"))
        self.body.addWidget(self.tabs, 1)

    # ---- what pages do

    def refresh(self) -> None:
        """Read the store again."""
        self.context.workplace.read_newest(load_cold_store, self.context.farm, then=self._show)
        self.life.refresh()

    def show_subject(self, subject: str) -> None:
        """Show a lot by its code or name."""
        self._wanted = subject
        self._choose_wanted()

    def print_page(self) -> bool:
        """Print the list shown."""
        if self.tabs.currentIndex() == 0:
            print_table(
                self.context, table_of(self.lots, tr("Cold store"), _LOT_KINDS, for_paper=True)
            )
        elif self.tabs.currentWidget() is self.life:
            self.life.print()
        else:
            self.balances.print()
        return True

    def _show(self, store: ColdStore) -> None:
        self.store = store
        self.lots.set_rows(store.lots)
        self.balances.show_table(store.balances)
        self._choose_wanted()

    def _choose_wanted(self) -> None:
        if self._wanted and self.store is not None and self.lots.choose(self._is_wanted):
            self.tabs.show_part(0)
            self._wanted = ""

    def _is_wanted(self, row: LotRow) -> bool:
        try:
            return row.id == read_code(self._wanted)
        except NotUnderstood:
            return row.lot.casefold() == self._wanted.strip().casefold()

    # ---- the lists

    def _make_lots(self) -> ListView:
        view = ListView(
            [
                Column("lot", tr("Lot"), width=12),
                Column("what", tr("What"), width=20),
                Column("left_mg", tr("On hand"), text=self._mass, width=11, right=True),
                Column("packs", tr("Packs"), text=lambda one: str(one) if one else "", width=7,
                       right=True),
                Column("shelf_on", tr("Shelf date"), text=self._day, width=13),
                Column("mark", tr("Mark"), text=lambda one: f"⚠ {one}" if one else "", width=18),
                Column("days_left", tr("Days left"), width=9, right=True),
                Column("sell_by", tr("Sell by"), text=self._day, width=13),
                Column("age", tr("Age, days"), width=9, right=True),
                Column("grade", tr("Grade"), width=7),
                Column("since", tr("Picked or packed"), text=self._day, width=16),
                Column("room", tr("Room"), width=16),
                Column("code", tr("Code"), text=group_code, width=14),
            ],
            name=tr("Lots on hand"),
            empty_text=tr("The cold store is empty. Record a pick on the fruiting page (Ctrl+4, "
"then Ctrl+N), and it lies here."),
        )  # fmt: skip
        view.row_opened.connect(lambda row: open_life(self.context, row.id))
        view.add_row_action(tr("Pack …"), lambda _rows: self.make_packs(), shortcut="Ctrl+K")
        view.add_row_action(tr("Take out …"), self._remove, shortcut="Del")
        view.add_row_action(tr("Put into room …"), self._place, shortcut="Ctrl+M")
        view.add_row_action(tr("Sell …"), self._sell, shortcut="Ctrl+E")
        view.add_row_action(tr("Hold back, let go …"), self._hold, shortcut="Ctrl+H")
        view.add_row_action(
            tr("Check net contents …"), self._check_net, shortcut="Ctrl+R", single=True
        )
        view.add_row_action(tr("Labels …"), self._labels, shortcut="Ctrl+B")
        offer_taking(view, self, tr("Cold store"), _LOT_KINDS)
        return view

    def _mass(self, mg: int) -> str:
        return self.context.formats.mass(mg)

    def _day(self, day: str) -> str:
        return self.context.formats.day(day) if day else ""

    # ---- acts

    def count_stock(self) -> None:
        """Count what lies here, or go on with a count."""
        open_stocktake_dialog(self.context)

    def marking(self) -> None:
        """Settle how packs are marked for trade."""
        self.context.workplace.read(load_trade_setting, self.context.farm, then=self._ask_marking)

    def _ask_marking(self, setting: TradeSetting) -> None:
        self.context.open_dialog(TradeDialog(self.context, setting))

    def make_packs(self) -> None:
        """Make packs; the chosen picks are its sources."""
        if self.store is None:
            return
        chosen = [one.id for one in self.lots.chosen_rows() if not one.is_pack]
        dialog = PacksDialog(self.context, self.store, lots=chosen, on_packed=self._packed)
        self.context.open_dialog(dialog)

    def _packed(self, pack: Pack) -> None:
        self._wanted = pack.name
        count = self.context.formats.count(pack.count, "pack", "packs")
        self.context.say(
            tr("{name}: {count}. Now their labels; Esc leaves them out.").format(
                name=pack.name, count=count
            )
        )
        self._print_labels([pack.name])

    def _remove(self, rows: list[LotRow]) -> None:
        self._open_for(RemoveDialog, rows)

    def _place(self, rows: list[LotRow]) -> None:
        self._open_for(PlaceDialog, rows)

    def _sell(self, rows: list[LotRow]) -> None:
        self.context.go_to("sales", "sell " + " ".join(one.lot for one in rows))

    def _open_for(self, form: Any, rows: list[LotRow]) -> None:
        if self.store is not None:
            self.context.open_dialog(form(self.context, self.store.catalogue, rows))

    def _hold(self, rows: list[LotRow]) -> None:
        """Hold lots back; when all of them are, let them go again."""
        if all(one.hold for one in rows):
            self.context.act(partial(release, ids=[one.id for one in rows]))
        else:
            self.context.open_dialog(HoldDialog(self.context, rows))

    def _check_net(self, rows: list[LotRow]) -> None:
        if not rows[0].is_pack:
            self.context.say(tr("Choose a lot of packs: only packs have a net weight on them."))
            return
        self.context.workplace.read(load_pack, self.context.farm, rows[0].id, then=self._ask_net)

    def _ask_net(self, found: tuple[Pack, Product, str]) -> None:
        pack, product, rule = found
        dialog = NetCheckDialog(
            self.context, pack, product, rule=rule, on_checked=self._net_checked
        )
        self.context.open_dialog(dialog)

    def _net_checked(self, check: NetCheck) -> None:
        self.context.workplace.read(
            load_sheet_of, self.context.farm, check.id,
            then=partial(_show_sheet, self), failed=self.context.show_error,
        )  # fmt: skip

    def _labels(self, rows: list[LotRow]) -> None:
        self._print_labels([one.lot for one in rows])

    def _print_labels(self, words: list[str]) -> None:
        if self.store is not None:
            self.context.open_dialog(BatchLabelsDialog(self.context, self.store.catalogue, words))


def load_pack(store: FarmStore, pack_id: int) -> tuple[Pack, Product, str]:
    """A lot of packs, its product, and the rule that the farm checks by."""
    with store.reading() as reading:
        pack = reading.get(Pack, pack_id)
        product = None if pack is None else reading.get(Product, pack.product)
        if pack is None or product is None:
            raise NotFound(problem("not_found", kind="pack", id=pack_id))
        setting = reading.first(TradeSetting)
        return pack, product, setting.net_rule if setting else "hb133"


def _show_sheet(page: ColdStorePage, document: Document) -> None:
    print_document(page.context, document, "net-contents")
