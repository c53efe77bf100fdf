"""Fruiting: bags that are open or may be opened, their flushes, and the picks."""

from __future__ import annotations

from functools import partial
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QSplitter, QVBoxLayout, QWidget

from farmdesk.actions.bags import BagAct, BagsDone
from farmdesk.desk.batch_labels import BatchLabelsDialog
from farmdesk.desk.caution_lines import make_caution
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.exporting import offer_taking, print_table, table_of
from farmdesk.desk.life_dialog import open_life
from farmdesk.desk.list_view import ListView
from farmdesk.desk.page import Page
from farmdesk.desk.pages.fruiting_acts import act_on_fruiting, say_done, say_expected, say_place
from farmdesk.desk.pages.incubation_dialogs import DiscardDialog, MoveDialog
from farmdesk.desk.pages.pick_dialogs import CorrectDialog, PickDialog, WeighDialog
from farmdesk.desk.part_tabs import PartTabs
from farmdesk.desk.tables import Column
from farmdesk.domain.cards import OPENED, PINS, REST, SPENT
from farmdesk.domain.codes import read_code
from farmdesk.domain.harvest import Pick
from farmdesk.errors import NotUnderstood
from farmdesk.paper.tables import Kind
from farmdesk.reports.fruiting_lists import (
    BagRow,
    BatchRow,
    FruitingThings,
    PickRow,
    ShareRow,
    load_fruiting,
    load_shares,
)
from farmdesk.wording.language import tr
from farmdesk.wording.states import KNOWN_BY, say_code, say_state

_BAG_KINDS: dict[str, Kind] = dict.fromkeys(("flush", "days_open", "days_since_pick"), "integer")
_BATCH_KINDS: dict[str, Kind] = dict.fromkeys(
    ("waiting", "fruiting", "resting", "days_open", "days_since_pick"), "integer"
)
_PICK_KINDS: dict[str, Kind] = {
    "bags": "integer", "flush": "integer", "gross_mg": "mass", "tare_mg": "mass",
    "net_mg": "mass", "left_mg": "mass",
}  # fmt: skip
_TITLES = (tr("By batch"), tr("Bags"), tr("Picks"))


class FruitingPage(Page):
    """Batches and bags with what is expected of them, and the newest picks."""

    title = tr("Fruiting")
    help_text = tr(
        "Bags that are open, or may be opened. Ctrl+N records a pick from bags "
        "to weight. Expected days follow from the species' usual days in the "
        "catalogue: common practice, not a promise. Measured: a bag alone in its "
        "crate. Allocated: its share of a crate."
    )
    interest = frozenset(
        {"bag", "batch", "pick", "link", "species", "room", "crate", "reason", "label_stock"}
    )

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.things: FruitingThings | None = None
        self._wanted = ""
        self._weighs = False
        self.add_page_action(
            tr("New pick"), self.new_pick, shortcut="Ctrl+N", icon="weigh",
            hint=tr("Bags into a crate, weighed; chosen bags are on its list"),
        )  # fmt: skip
        self.batches = self._make_batches()
        self.bags = self._make_bags()
        self.picks = self._make_picks()
        self.shares = self._make_shares()
        self.tabs = PartTabs()
        self.tabs.setAccessibleName(tr("Lists of fruiting"))
        for view, title in zip((self.batches, self.bags, self._picks_side()), _TITLES, strict=True):
            self.tabs.addTab(view, title)
        self.body.addWidget(self.tabs, 1)
        self.body.addWidget(make_caution("spores"))
        self.picks.selection_changed.connect(self._pick_chosen)

    # ---- what pages do

    def refresh(self) -> None:
        """Read bags and picks again."""
        self.context.workplace.read_newest(load_fruiting, self.context.farm, then=self._show)

    def show_subject(self, subject: str) -> None:
        """Show a bag, batch or pick by its code or name; `weigh P-OY-0001` weighs a pick."""
        word, _, name = subject.strip().rpartition(" ")
        self._weighs = word == "weigh"
        self._wanted = name
        self._choose_wanted()

    def print_page(self) -> bool:
        """Print the list shown."""
        at = self.tabs.currentIndex()
        view = (self.batches, self.bags, self.picks)[at]
        kinds = (_BATCH_KINDS, _BAG_KINDS, _PICK_KINDS)[at]
        print_table(
            self.context,
            table_of(
                view,
                tr("Fruiting, {lower}").format(lower=_TITLES[at].lower()),
                kinds,
                for_paper=True,
            ),
        )
        return True

    def _show(self, things: FruitingThings) -> None:
        self.things = things
        self.batches.set_rows(things.batches)
        self.bags.set_rows(things.bags)
        self.picks.set_rows(things.picks)
        self._choose_wanted()
        self._pick_chosen()

    def _choose_wanted(self) -> None:
        if not self._wanted or self.things is None:
            return
        for at, view in enumerate((self.batches, self.bags, self.picks)):
            if view.choose(self._is_wanted):
                self.tabs.show_part(at)
                self._wanted = ""
                row = view.current_row()
                if self._weighs and view is self.picks and row is not None:
                    self._weigh([row])
                self._weighs = False
                return

    def _is_wanted(self, row: Any) -> bool:
        is_batch = isinstance(row, BatchRow)
        try:
            return bool((row.batch if is_batch else row.id) == read_code(self._wanted))
        except NotUnderstood:
            name = row.batch_name if is_batch else row.name
            return bool(name.casefold() == self._wanted.strip().casefold())

    # ---- the lists

    def _make_batches(self) -> ListView:
        view = ListView(
            [
                Column("batch_name", tr("Batch"), width=13),
                Column("species", tr("Species"), width=15),
                *self._expected_columns(),
                Column("waiting", tr("To open"), width=7, right=True, sums=True),
                Column("fruiting", tr("Fruiting"), width=8, right=True, sums=True),
                Column("resting", tr("Resting"), width=8, right=True, sums=True),
                Column("flushes", tr("Flush"), width=7),
                *self._day_columns(),
                Column("room", tr("Room"), width=16),
            ],
            name=tr("Batches that fruit"),
            empty_text=tr(
                "Nothing fruits yet. When a batch is grown in, it comes here to be "
                "opened; Ctrl+3 shows what grows in."
            ),
        )
        view.row_opened.connect(self._open_batch)
        self._add_bag_acts(view)
        offer_taking(view, self, tr("Fruiting by batch"), _BATCH_KINDS)
        return view

    def _make_bags(self) -> ListView:
        view = ListView(
            [
                Column("name", tr("Bag"), width=17),
                Column("species", tr("Species"), width=15),
                Column("stage", tr("Stage"), text=say_state, width=11),
                *self._expected_columns(),
                Column("flush", tr("Flush"), text=lambda one: str(one) if one else "", width=6,
                       right=True),
                Column("opened_on", tr("Opened"), text=self._day, width=13),
                Column("pinned_on", tr("Pins seen"), text=self._day, width=13),
                *self._day_columns(),
                Column("room", tr("Room"), width=16),
                Column("shelf", tr("Shelf"), width=7),
            ],
            name=tr("Bags that fruit"),
            empty_text=tr("No bag is open. Open some from the list by batch, or scan them under "
"the card “Opened for fruiting”."),
        )  # fmt: skip
        view.row_opened.connect(lambda row: open_life(self.context, row.id))
        self._add_bag_acts(view)
        offer_taking(view, self, tr("Bags that fruit"), _BAG_KINDS)
        return view

    def _expected_columns(self) -> list[Column]:
        return [
            Column("what", tr("Expected"), lambda row: say_expected(row.expected), width=15),
            Column("first", tr("From"), lambda row: row.expected.first, self._day, width=13),
            Column("last", tr("To"), lambda row: row.expected.last, self._day, width=13),
            Column("place", tr("Time"), lambda row: say_place(row.expected), width=8),
        ]

    def _day_columns(self) -> list[Column]:
        return [
            Column("days_open", tr("Days open"), width=9, right=True),
            Column("days_since_pick", tr("Since pick"), width=9, right=True,
                   hint=tr("Days since the last pick")),
        ]  # fmt: skip

    def _add_bag_acts(self, view: ListView) -> None:
        view.add_row_action(tr("Pick …"), self._pick_rows, shortcut="Ctrl+K")
        view.add_row_action(tr("Open"), partial(self._do, OPENED), shortcut="Ctrl+E")
        view.add_row_action(tr("Pins seen"), partial(self._do, PINS), shortcut="Ctrl+J")
        view.add_row_action(tr("Rest"), partial(self._do, REST), shortcut="Ctrl+R")
        view.add_row_action(tr("Spent"), partial(self._do, SPENT), shortcut="Ctrl+D")
        view.add_row_action(tr("Move …"), partial(self._ask_for, MoveDialog), shortcut="Ctrl+M")
        view.add_row_action(tr("Discard …"), partial(self._ask_for, DiscardDialog), shortcut="Del")

    def _make_picks(self) -> ListView:
        view = ListView(
            [
                Column("name", tr("Pick"), width=13),
                Column("picked_at", tr("Picked"), text=self._day, width=13),
                Column("species", tr("Species"), width=18),
                Column("crate", tr("Crate"), width=8),
                Column("bags", tr("Bags"), width=6, right=True, sums=True),
                Column("flush", tr("Flush"), width=6, right=True),
                Column("grade", tr("Grade"), width=6),
                Column("net_mg", tr("Net"), text=self._mass, width=11, right=True),
                Column("left_mg", tr("Left"), text=self._mass, width=11, right=True),
                Column("shelf_on", tr("Shelf date"), text=self._day, width=13),
                Column("state", tr("State"), _state, width=17),
                Column("typed", tr("As typed"), width=15),
                Column("gross_mg", tr("Gross"), text=self._mass, width=11, right=True),
                Column("tare_mg", tr("Tare"), text=self._mass, width=11, right=True),
                Column("note", tr("Note"), width=24),
            ],
            name=tr("Picks"),
            empty_text=tr("No picks yet. Press Ctrl+N to record the first: bags, crate, weight."),
        )
        view.row_opened.connect(lambda row: open_life(self.context, row.id))
        view.add_row_action(tr("Weigh …"), self._weigh, shortcut="Ctrl+E", single=True)
        view.add_row_action(tr("Correct …"), self._correct, shortcut="Ctrl+R", single=True)
        view.add_row_action(tr("Crate label …"), self._labels, shortcut="Ctrl+B")
        offer_taking(view, self, tr("Picks"), _PICK_KINDS)
        return view

    def _make_shares(self) -> ListView:
        view = ListView(
            [
                Column("name", tr("Bag"), width=17),
                Column("flush", tr("Flush"), width=6, right=True),
                Column("amount_mg", tr("Share"), text=self._mass, width=12, right=True),
                Column("how", tr("How it is known"), text=partial(say_code, KNOWN_BY), width=18),
            ],
            name=tr("Shares of the bags"),
            empty_text=tr("Choose a pick above to see what each bag gave."),
        )
        view.row_opened.connect(lambda row: open_life(self.context, row.id))
        offer_taking(
            view, self, tr("Shares of the bags"), {"amount_mg": "mass", "flush": "integer"}
        )
        return view

    def _picks_side(self) -> QWidget:
        self.shares_title = QLabel(tr("What each bag gave"))
        self.shares_title.setObjectName("group")
        lower = QWidget()
        column = QVBoxLayout(lower)
        column.setContentsMargins(0, 6, 0, 0)
        column.addWidget(self.shares_title)
        column.addWidget(self.shares, 1)
        split = QSplitter(Qt.Orientation.Vertical)
        split.addWidget(self.picks)
        split.addWidget(lower)
        split.setChildrenCollapsible(False)
        split.setSizes([340, 220])
        return split

    def _day(self, day: str) -> str:
        return self.context.formats.day(day) if day else ""

    def _mass(self, mg: int) -> str:
        return self.context.formats.mass(mg)

    # ---- picks

    def new_pick(self) -> None:
        """A pick; the bags chosen in the list shown are on its list already."""
        view = self.tabs.currentWidget()
        rows = view.chosen_rows() if view is self.bags else []
        self._open_pick([one.name for one in rows if one.opened_on is not None])

    def _pick_rows(self, rows: list[BagRow | BatchRow]) -> None:
        self._open_pick([one.batch_name if isinstance(one, BatchRow) else one.name for one in rows])

    def _open_pick(self, names: list[str]) -> None:
        if self.things is not None:
            dialog = PickDialog(self.context, self.things, on_picked=self._picked, names=names)
            self.context.open_dialog(dialog)

    def _picked(self, pick: Pick) -> None:
        self._wanted = pick.name
        net = self.context.formats.mass(pick.net_mg or 0)
        self.context.say(
            tr("{name}: {net} net. Now its crate label; Esc leaves it out.").format(
                name=pick.name, net=net
            )
        )
        self._print_labels([pick.name])

    def _weigh(self, rows: list[PickRow]) -> None:
        if rows[0].is_weighed:
            self.context.say(
                tr("{name} is weighed already. Correct it with Ctrl+R.").format(name=rows[0].name)
            )
            return
        self.context.open_dialog(WeighDialog(self.context, rows[0], on_picked=self._picked))

    def _correct(self, rows: list[PickRow]) -> None:
        if not rows[0].is_weighed:
            self.context.say(
                tr("{name} is not weighed yet. Weigh it with Ctrl+E.").format(name=rows[0].name)
            )
            return
        self.context.open_dialog(CorrectDialog(self.context, rows[0]))

    def _labels(self, rows: list[PickRow]) -> None:
        self._print_labels([one.name for one in rows])

    def _print_labels(self, words: list[str]) -> None:
        if self.things is not None:
            dialog = BatchLabelsDialog(self.context, self.things.catalogue, words)
            self.context.open_dialog(dialog)

    def _pick_chosen(self) -> None:
        row = self.picks.current_row()
        if row is None:
            self.shares.set_rows([])
            return
        self.context.workplace.read(
            load_shares, self.context.farm, row.id, then=partial(self._show_shares, row)
        )

    def _show_shares(self, pick: PickRow, shares: list[ShareRow]) -> None:
        now = self.picks.current_row()
        if now is not None and now.id == pick.id:
            self.shares_title.setText(tr("What each bag gave to {name}").format(name=pick.name))
            self.shares.set_rows(shares)

    # ---- acts on bags

    def _do(self, card: str, rows: list[BagRow | BatchRow]) -> None:
        action = partial(act_on_fruiting, ids=_bags_of(rows), wanted=BagAct(card))
        self.context.act(action, then=self._told_done)

    def _told_done(self, done: BagsDone) -> None:
        self.context.say(say_done(done, self.context.formats))

    def _ask_for(self, form: Any, rows: list[BagRow | BatchRow]) -> None:
        if self.things is not None:
            ids = _bags_of(rows)
            title = (
                _name(rows[0])
                if len(rows) == 1
                else tr("{count_ids} bags").format(count_ids=len(ids))
            )
            dialog: FormDialog = form(self.context, self.things.catalogue, title=title, bags=ids)
            self.context.open_dialog(dialog)

    def _open_batch(self, row: BatchRow) -> None:
        self.bags.set_filter(row.batch_name)
        self.tabs.setCurrentWidget(self.bags)
        self.bags.view.setFocus()


def _bags_of(rows: list[BagRow | BatchRow]) -> list[int]:
    return [bag for one in rows for bag in (one.bags if isinstance(one, BatchRow) else (one.id,))]


def _name(row: BagRow | BatchRow) -> str:
    return row.batch_name if isinstance(row, BatchRow) else row.name


def _state(row: PickRow) -> str:
    return say_state("weighed") if row.is_weighed else tr("● waits for weight")
