"""The lists of the costs, one on each tab: add, correct and take away; all of it can be undone."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any, ClassVar

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QHBoxLayout, QLabel

from farmdesk.actions.costs import end_labour, remove_costs, retire_supply
from farmdesk.desk.exporting import export_list, print_list
from farmdesk.desk.list_view import ListView
from farmdesk.desk.overflow import OverflowBar
from farmdesk.desk.pages.cost_dialogs import (
    USE_WORDS,
    ClockDialog,
    LabourDialog,
    LabPriceDialog,
    OverheadDialog,
    PurchaseDialog,
    SupplyDialog,
)
from farmdesk.desk.tabbed_page import Part, TabbedPage
from farmdesk.desk.tables import Column
from farmdesk.reports.cost_lists import CostLists, load_cost_lists
from farmdesk.reports.cost_words import TASK_WORDS
from farmdesk.wording.language import tr


class ListPart(Part):
    """One list with its acts. Subclasses name columns, rows and dialogs."""

    about: ClassVar[str] = ""
    empty_text: ClassVar[str] = ""
    name: ClassVar[str] = ""
    add_title: ClassVar[str] = ""

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        self.lists: CostLists | None = None
        about = QLabel(self.about)
        about.setObjectName("muted")
        about.setWordWrap(True)
        self.bar = OverflowBar(self)
        head = QHBoxLayout()
        head.addWidget(about, 1)
        head.addWidget(self.bar)
        self.body.addLayout(head)
        self.list = ListView(self.columns(), name=self.name, empty_text=self.empty_text)
        self.list.row_opened.connect(self.open_row)
        self.body.addWidget(self.list, 1)
        if self.add_title:
            self.add_button(self.add_title, self.add, "Ctrl+N")
        self.add_acts()

    # ---- what subclasses say

    def columns(self) -> Sequence[Column]:
        """The columns of the list."""
        raise TypeError(f"{type(self).__name__} does not say its columns")

    def rows(self, lists: CostLists) -> Sequence[Any]:
        """The rows of the list."""
        raise TypeError(f"{type(self).__name__} does not say its rows of {type(lists).__name__}")

    def add(self) -> None:
        """Open the form of a new one."""

    def open_row(self, row: Any) -> None:
        """Open the form of one that is there."""

    def add_acts(self) -> None:
        """Acts on the chosen rows."""

    # ---- what parts do

    def refresh(self) -> None:
        """Read the lists again."""
        self.context.workplace.read_newest(load_cost_lists, self.context.farm, then=self._show)

    def print_page(self) -> bool:
        """Print the list."""
        print_list(self.list)
        return True

    def export(self) -> None:
        """Ask for a file and write the list there."""
        export_list(self.list)

    def add_button(self, title: str, function: Any, shortcut: str) -> QAction:
        """A button above the list."""
        action = QAction(title, self)
        action.triggered.connect(lambda _=False: function())
        action.setShortcut(QKeySequence(shortcut))
        action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        action.setToolTip(f"{title.rstrip(' …')} ({shortcut})")
        self.addAction(action)
        self.bar.add_action(action)
        return action

    def _show(self, lists: CostLists) -> None:
        self.lists = lists
        self.list.set_rows(self.rows(lists))

    def _open(self, form: Any, *facts: Any) -> None:
        if self.lists is not None:
            self.context.open_dialog(form(self.context, self.lists, *facts))

    def _remove(self, kind: str, rows: list[Any]) -> None:
        self.context.act(partial(remove_costs, kind=kind, ids=[one.id for one in rows]))

    def _day(self, day: str) -> str:
        return self.context.formats.day(day) if day else ""

    def _mass(self, mg: int) -> str:
        return self.context.formats.mass(mg) if mg else ""

    def _count(self, pieces: int) -> str:
        return self.context.formats.number(pieces) if pieces else ""


class GoodsPart(ListPart):
    """Lots of ingredients and supplies that were bought."""

    title = tr("Goods bought")
    name = tr("Goods bought")
    add_title = tr("Goods received …")
    about = tr(
        "Each lot with what is left of it when the oldest is used first. Name the lot in a heat run"
        " and it can be found again."
    )
    empty_text = tr(
        "No goods noted yet. Press Ctrl+N when pellets, bran, bags or labels arrive, and batches"
        " know what they cost."
    )
    help_text = tr(
        "A price is for the whole lot, with freight. “Left” counts the oldest lot as used first;"
        " “named in runs” is what heat runs took of a lot by its name. How uses are priced (moving"
        " average, or first in first out) is in the settings (Ctrl+T)."
    )

    def columns(self) -> Sequence[Column]:
        """What came, what it cost, what is left."""
        money = self.context.formats.money
        return (
            Column("received_on", tr("Received"), text=self._day, width=13, kind="day"),
            Column("what", tr("What"), width=20),
            Column("lot", tr("Lot"), width=12),
            Column("amount_mg", tr("Weight"), text=self._mass, right=True, width=12, kind="mass"),
            Column("pieces", tr("Pieces"), text=self._count, right=True, width=9, kind="integer"),
            Column("price", tr("Price"), text=money, right=True, width=12, kind="money"),
            Column("per_unit", tr("of a kg or piece"), text=money, right=True, width=13,
                   kind="money"),
            Column("left_mg", tr("Left"), text=self._mass, right=True, width=12, kind="mass"),
            Column("left_pieces", tr("Pieces left"), text=self._count, right=True, width=11,
                   kind="integer"),
            Column("named_mg", tr("Named in runs"), text=self._mass, right=True, width=13,
                   kind="mass"),
            Column("use_by", tr("Good until"), text=self._day, width=13, kind="day"),
            Column("seller", tr("Bought from"), width=16),
            Column("note", tr("Note"), width=16),
        )  # fmt: skip

    def rows(self, lists: CostLists) -> Sequence[Any]:
        """The newest first."""
        return lists.purchases

    def add(self) -> None:
        """Goods have come."""
        self._open(PurchaseDialog)

    def open_row(self, row: Any) -> None:
        """Correct a lot."""
        self._open(PurchaseDialog, row.thing)

    def add_acts(self) -> None:
        """Correct, take away."""
        add = self.list.add_row_action
        add(tr("Correct …"), lambda rows: self.open_row(rows[0]), single=True)
        add(tr("Take away"), partial(self._remove, "purchase"), shortcut="Del")


class SuppliesPart(ListPart):
    """Goods counted in pieces, and what they go with."""

    title = tr("Supplies")
    name = tr("Supplies")
    add_title = tr("New supply …")
    about = tr(
        "Bags, filters, labels, punnets: what goes with each block or pack is used up by it."
    )
    empty_text = tr(
        "No supplies yet. Press Ctrl+N for the bags that blocks are made in, then note under"
        " Goods bought what they cost."
    )
    help_text = tr(
        "Supplies are taken off by themselves: with each block made, or each pack. What is on hand"
        " is what was bought less that; count it now and then."
    )

    def columns(self) -> Sequence[Column]:
        """What it goes with, what is on hand."""
        formats = self.context.formats
        return (
            Column("name", tr("Name"), width=22),
            Column("use", tr("Goes"), text=lambda one: USE_WORDS.get(one, one), width=16),
            Column("pieces", tr("Pieces"), text=lambda one: f"{one.normalize():f}", right=True),
            Column("product", tr("Product"), width=18),
            Column("left", tr("On hand"), text=lambda one: formats.number(one, 0), right=True),
            Column("left_cost", tr("Worth"), text=formats.money, right=True, kind="money"),
        )

    def rows(self, lists: CostLists) -> Sequence[Any]:
        """All supplies in use."""
        return lists.supplies

    def add(self) -> None:
        """A new supply."""
        self._open(SupplyDialog)

    def open_row(self, row: Any) -> None:
        """Change a supply."""
        self._open(SupplyDialog, row.thing)

    def add_acts(self) -> None:
        """Change, retire."""
        add = self.list.add_row_action
        add(tr("Change …"), lambda rows: self.open_row(rows[0]), single=True)
        add(tr("Retire"), self._retire, shortcut="Del", single=True)

    def _retire(self, rows: list[Any]) -> None:
        self.context.act(partial(retire_supply, supply=rows[0].id))


class LabourPart(ListPart):
    """Hours of work, typed or by the clock."""

    title = tr("Work")
    name = tr("Work")
    add_title = tr("Type work …")
    about = tr(
        "Hours of the last year. Work for one batch is borne by it, all other work is shared."
    )
    empty_text = tr(
        "No work noted yet. Press Ctrl+N to type hours, or Ctrl+Shift+N to start a clock."
    )
    help_text = tr(
        "Note your own hours too: unpaid work makes every price look good. A clock that was started"
        " goes on while the desk is closed; choose its row and stop it."
    )

    def columns(self) -> Sequence[Column]:
        """Who did what, how long."""
        return (
            Column("day", tr("Day"), text=self._day, width=13, kind="day"),
            Column("task", tr("Task"), text=lambda one: TASK_WORDS.get(one, one), width=18),
            Column("person", tr("Who"), width=14),
            Column("minutes", tr("Minutes"), text=self._count, right=True, width=10,
                   kind="integer", sums=True),
            Column("is_running", tr("Clock"), text=lambda one: tr("▶ running") if one else "",
                   width=11),
            Column("batch", tr("Batch"), width=13),
            Column("note", tr("Note"), width=24),
        )  # fmt: skip

    def rows(self, lists: CostLists) -> Sequence[Any]:
        """Running clocks first, then the newest."""
        return lists.labour

    def add(self) -> None:
        """Type hours."""
        self._open(LabourDialog)

    def open_row(self, row: Any) -> None:
        """Correct an entry, or stop its clock."""
        if row.is_running:
            self._stop([row])
        else:
            self._open(LabourDialog, row.thing)

    def add_acts(self) -> None:
        """Start and stop a clock, correct, take away."""
        self.add_button(tr("Start a clock …"), self._start, "Ctrl+Shift+N")
        add = self.list.add_row_action
        add(tr("Stop the clock"), self._stop, shortcut="Ctrl+E", single=True)
        add(tr("Correct …"), self._correct, single=True)
        add(tr("Take away"), partial(self._remove, "labour"), shortcut="Del")

    def _start(self) -> None:
        self._open(ClockDialog)

    def _correct(self, rows: list[Any]) -> None:
        self._open(LabourDialog, rows[0].thing)

    def _stop(self, rows: list[Any]) -> None:
        self.context.act(partial(end_labour, labour=rows[0].id), parent=self)


class LabPricesPart(ListPart):
    """What bought cultures and spawn cost."""

    title = tr("Spawn and cultures")
    name = tr("Bought spawn and cultures")
    about = tr("What was bought in for the lab. Enter notes its price; home-made spawn is priced in"
               " the settings (Ctrl+T).")  # fmt: skip
    empty_text = tr(
        "No culture or spawn with an origin yet. Register bought spawn in Lab (Ctrl+2), then note"
        " its price here."
    )
    help_text = tr(
        "Spawn goes into batches by its weight. A bought culture is shared over the blocks made in"
        " the month in which it was bought."
    )

    def columns(self) -> Sequence[Column]:
        """What it is, where from, what it cost."""
        return (
            Column("name", tr("Name"), width=18),
            Column("kind", tr("What"), text=self._kind, width=10),
            Column("origin", tr("From"), width=24),
            Column("made_on", tr("Since"), text=self._day, width=13, kind="day"),
            Column("price", tr("Price"), text=self.context.formats.money, right=True, kind="money"),
        )

    def rows(self, lists: CostLists) -> Sequence[Any]:
        """The newest first."""
        return lists.lab_prices

    def open_row(self, row: Any) -> None:
        """Note its price."""
        self.context.open_dialog(LabPriceDialog(self.context, row))

    def add_acts(self) -> None:
        """Note a price."""
        self.list.add_row_action(
            tr("Price …"), lambda rows: self.open_row(rows[0]), shortcut="Ctrl+N", single=True
        )

    def _kind(self, kind: str) -> str:
        return tr("spawn") if kind == "spawn" else tr("culture")


class OverheadPart(ListPart):
    """What is paid week by week."""

    title = tr("Overhead")
    name = tr("Overhead")
    add_title = tr("New overhead …")
    about = tr("Paid each week whatever is grown, and shared by the days that blocks stand.")
    empty_text = tr("No overhead yet. Press Ctrl+N for rent, power, insurance.")
    help_text = tr(
        "Overhead is shared by place-days: a block that stands twice as long bears twice as much."
    )

    def columns(self) -> Sequence[Column]:
        """What, how much, from when to when."""
        money = self.context.formats.money
        return (
            Column("name", tr("Name"), width=24),
            Column("per_week", tr("Each week"), text=money, right=True, kind="money"),
            Column("from_on", tr("From"), text=self._day, width=13, kind="day"),
            Column("to_on", tr("To"), text=self._day, width=13, kind="day"),
            Column("note", tr("Note"), width=24),
        )

    def rows(self, lists: CostLists) -> Sequence[Any]:
        """The newest first."""
        return lists.overheads

    def add(self) -> None:
        """A new overhead."""
        self.context.open_dialog(OverheadDialog(self.context))

    def open_row(self, row: Any) -> None:
        """Change an overhead."""
        self.context.open_dialog(OverheadDialog(self.context, row))

    def add_acts(self) -> None:
        """Change, take away."""
        add = self.list.add_row_action
        add(tr("Change …"), lambda rows: self.open_row(rows[0]), single=True)
        add(tr("Take away"), partial(self._remove, "overhead"), shortcut="Del")
