"""Incubation: batches that grow in, their bags, walks, and what is done to chosen bags."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QSplitter, QVBoxLayout, QWidget

from farmdesk.actions.bags import BagAct
from farmdesk.desk.batch_labels import BatchLabelsDialog
from farmdesk.desk.caution_lines import make_caution
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.exporting import offer_taking, print_table, table_of
from farmdesk.desk.fields import ChoiceField
from farmdesk.desk.life_dialog import open_life
from farmdesk.desk.list_view import ListView
from farmdesk.desk.page import Page
from farmdesk.desk.pages.incubation_dialogs import (
    DiscardDialog,
    MoveDialog,
    WalkDialog,
    WalkedBag,
    act_on_bags,
    say_done,
    say_walk,
)
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.tables import Column
from farmdesk.domain.bags import Bag
from farmdesk.domain.cards import COLONISED as COLONISED_CARD
from farmdesk.domain.cards import LOOK, OPENED
from farmdesk.domain.codes import group_code, kind_of, read_code, read_name
from farmdesk.domain.stages import ALIVE, COLONISED, INCUBATING
from farmdesk.errors import NotUnderstood
from farmdesk.paper.tables import Kind
from farmdesk.reports.bags import BagRow
from farmdesk.reports.incubation import (
    BatchLine,
    Incubation,
    number_of,
    read_bags,
    read_incubation,
)
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_state

_PLACES = {
    "before": tr("from {day}"),
    "within": tr("● now, to {day}"),
    "overdue": tr("▲ late since {day}"),
    "": tr("was from {day}"),
}
_FIGURES = ("age", "made", "incubating", "colonised", "opened", "slow")
_COUNTS: dict[str, Kind] = dict.fromkeys(_FIGURES, "integer")


class IncubationPage(Page):
    """Batches above, the bags of the chosen batch below."""

    title = tr("Incubation")
    help_text = tr(
        "Batches that grow in. Ctrl+W walks the chosen batch: name the bags that "
        "are not fine, all others are noted as looked at. Contamination is shown "
        "with the range in which its true share lies, with 95 % confidence: few "
        "bags say little."
    )
    interest = frozenset({"batch", "bag", "room", "reason", "strain", "species"})

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.shown: Incubation | None = None
        self._walks = False
        self._wanted_batch = 0
        self._wanted_name = ""
        self._wanted_bag = 0
        self._is_filling = False
        self.add_page_action(tr("Walk batch"), self.walk_batch, shortcut="Ctrl+W",
                             hint=tr("All others fine: name only what is not"))  # fmt: skip
        self.add_page_action(tr("Walk room"), self.walk_room, shortcut="Ctrl+Shift+W")
        self._all = self.add_page_action(tr("Show all batches"), self.refresh, shortcut="Ctrl+H",
                                         hint=tr("Also batches that are through"))  # fmt: skip
        self._all.setCheckable(True)
        self.batches = self._make_batches()
        self.bags = self._make_bags()
        self.bags_title = QLabel(tr("Bags"))
        self.bags_title.setObjectName("group")
        lower = QWidget()
        column = QVBoxLayout(lower)
        column.setContentsMargins(0, 6, 0, 0)
        column.addWidget(self.bags_title)
        column.addWidget(self.bags, 1)
        split = QSplitter(Qt.Orientation.Vertical)
        split.addWidget(self.batches)
        split.addWidget(lower)
        split.setChildrenCollapsible(False)
        split.setSizes([300, 300])
        self.body.addWidget(split, 1)
        self.body.addWidget(make_caution("contamination"))
        self.batches.selection_changed.connect(self._batch_chosen)

    # ---- what pages do

    def refresh(self) -> None:
        """Read the batches again."""
        self.context.workplace.read_newest(
            ask_farm,
            self.context.farm,
            read_incubation,
            everything=self._all.isChecked(),
            then=self._show,
        )

    def show_subject(self, subject: str) -> None:
        """Show a batch, or a bag and its batch, by code or name; `walk OY01-0001` walks it."""
        word, _, subject = subject.strip().rpartition(" ")
        self._walks = word == "walk"
        name = read_name(subject)
        if name is not None:
            self._wanted_name = name[0]
        else:
            try:
                found = read_code(subject)
            except NotUnderstood:
                return
            if kind_of(found) == "batch":
                self._wanted_batch = found
            elif kind_of(found) == "bag":
                self._wanted_bag = found
                self.context.workplace.read(
                    ask_farm, self.context.farm, _batch_of, found, then=self._choose_batch_of_bag
                )
        self._choose_wanted()

    def print_page(self) -> bool:
        """Print the batches."""
        print_table(self.context, table_of(self.batches, tr("Incubation"), _COUNTS, for_paper=True))
        return True

    # ---- what is shown

    def _show(self, shown: Incubation) -> None:
        self.shown = shown
        self._is_filling = True
        self.batches.set_rows(shown.batches)
        self._choose_wanted()
        if not self.batches.chosen_rows():
            self.batches.choose(lambda _row: True)
        self._is_filling = False
        self._batch_chosen()

    def _choose_batch_of_bag(self, batch: int) -> None:
        self._wanted_batch = batch
        self._choose_wanted()

    def _choose_wanted(self) -> None:
        if self.shown is None or not (self._wanted_batch or self._wanted_name):
            return
        found = self.batches.choose(
            lambda row: row.id == self._wanted_batch or row.name == self._wanted_name
        )
        if found:
            self._wanted_batch, self._wanted_name = 0, ""
            if self._walks:
                self._walks = False
                self.walk_batch()
        elif not self._all.isChecked():
            self._all.setChecked(True)
            self.refresh()

    def _batch_chosen(self) -> None:
        if self._is_filling:
            return
        row = self.batches.current_row()
        if row is None:
            self.bags_title.setText(tr("Bags"))
            self.bags.set_rows([])
            return
        self.context.workplace.read(
            ask_farm,
            self.context.farm,
            read_bags,
            batch=row.id,
            then=partial(self._show_bags, row),
        )

    def _show_bags(self, batch: BatchLine, bags: list[BagRow]) -> None:
        now = self.batches.current_row()
        if now is not None and now.id == batch.id:
            self.bags_title.setText(
                tr("Bags of {name}  (Ctrl+A chooses all)").format(name=batch.name)
            )
            self.bags.set_rows(bags)
            if self._wanted_bag and self.bags.choose(lambda row: row.id == self._wanted_bag):
                self._wanted_bag = 0

    # ---- the lists

    def _make_batches(self) -> ListView:
        view = ListView(
            [
                Column("name", tr("Batch"), width=12),
                Column("strain", tr("Strain"), _of("strain"), width=14),
                Column(
                    "age", tr("Days"), _of("age"), width=6, right=True, hint=tr("Since inoculation")
                ),
                Column("ready_from", tr("Likely ready"), _window, self._ready, width=26),
                Column(
                    "incubating", tr("Growing"), _of("incubating"), width=7, right=True, sums=True
                ),
                Column(
                    "colonised", tr("Grown in"), _of("colonised"), width=8, right=True, sums=True
                ),
                Column("contaminated", tr("Contaminated"), _contamination, self._bad, width=20),
                Column("looked_on", tr("Last look"), _of("looked_on"), self._day, width=12),
                Column("opened", tr("Opened"), width=6, right=True, sums=True),
                Column("slow", tr("Slow"), _of("slow"), width=5, right=True, sums=True),
                Column("room", tr("Room"), _of("room"), width=16),
                Column("species", tr("Species"), _of("species"), width=14),
                Column("made", tr("Made"), _of("made"), width=6, right=True, sums=True),
            ],
            name=tr("Batches"),
            empty_text=tr(
                "No batch grows in now. Press Ctrl+2 for the lab, and Ctrl+I there to "
                "inoculate the first."
            ),
        )
        view.row_opened.connect(lambda row: open_life(self.context, row.id))
        view.add_row_action(tr("Move …"), self._move_batches)
        view.add_row_action(tr("Labels …"), self._labels_of_batch, single=True)
        offer_taking(view, self, tr("Incubation"), _COUNTS)
        return view

    def _make_bags(self) -> ListView:
        view = ListView(
            [
                Column("number", tr("No."), number_of, width=4, right=True),
                Column("name", tr("Bag"), width=16),
                Column("code", tr("Code"), text=group_code, width=14),
                Column("stage", tr("Stage"), text=say_state, width=12),
                Column("stage_since", tr("Since"), text=self._day, width=13),
                Column("room", tr("Room"), width=16),
                Column("shelf", tr("Shelf"), width=7),
                Column("looked_on", tr("Last look"), text=self._day, width=13),
                Column("slow", tr("Slow"), text=lambda one: tr("slow") if one else "", width=5),
                Column("reason", tr("Reason"), width=18),
                Column("note", tr("Note"), width=10),
            ],
            name=tr("Bags"),
            empty_text=tr("Choose a batch above to see its bags."),
        )
        view.row_opened.connect(lambda row: open_life(self.context, row.id))
        view.add_row_action(tr("Looked at, fine"), partial(self._do, LOOK), shortcut="Ctrl+K")
        view.add_row_action(tr("Colonised"), partial(self._do, COLONISED_CARD), shortcut="Ctrl+G")
        view.add_row_action(tr("Open"), partial(self._do, OPENED), shortcut="Ctrl+E")
        view.add_row_action(tr("Move …"), self._move, shortcut="Ctrl+M")
        view.add_row_action(tr("Discard …"), self._discard, shortcut="Del")
        view.add_row_action(tr("Labels …"), self._labels)
        offer_taking(view, self, tr("Bags"))
        return view

    def _bad(self, found: tuple[float, int, int, float, float]) -> str:
        _, count, made, low, high = found
        number = self.context.formats.number
        return tr("{count} of {made}  ({number}–{number2} %)").format(
            count=count, made=made, number=number(100 * low), number2=number(100 * high)
        )

    def _ready(self, window: tuple[str, str, str]) -> str:
        first, last, place = window
        if not first:
            return ""
        day = self.context.formats.day(last if place in ("within", "overdue") else first)
        return _PLACES[place].format(day=day)

    def _day(self, day: str) -> str:
        return self.context.formats.day(day) if day else ""

    # ---- acts

    def walk_batch(self) -> None:
        """Walk the chosen batch."""
        row = self.batches.current_row()
        if row is None:
            self.context.say(tr("Choose a batch to walk first."))
            return
        stages = (INCUBATING, COLONISED)
        self.context.workplace.read(
            ask_farm, self.context.farm, read_bags, batch=row.id, stages=stages,
            then=partial(self._open_walk, row.name, {"batch": row.id}),
        )  # fmt: skip

    def walk_room(self) -> None:
        """Choose a room and walk it."""
        if self.shown is None:
            return
        dialog = _RoomDialog(self.shown)
        dialog.on_save = partial(self._room_chosen, dialog)
        self.context.open_dialog(dialog)

    def _room_chosen(self, dialog: FormDialog, values: dict[str, Any]) -> None:
        dialog.accept()
        room = values["room"]
        name = self.shown.catalogue.name("room", room) if self.shown else ""
        self.context.workplace.read(
            ask_farm, self.context.farm, read_bags, room=room, stages=ALIVE,
            then=partial(self._open_walk, name, {"room": room}),
        )  # fmt: skip

    def _open_walk(self, title: str, where: dict[str, int], bags: list[BagRow]) -> None:
        if self.shown is None:
            return
        if not bags:
            self.context.say(tr("{title}: there is no bag to walk.").format(title=title))
            return
        walked = [WalkedBag(one.id, one.name, number_of(one)) for one in bags]
        dialog = WalkDialog(self.context, self.shown.catalogue, title=title, bags=walked, **where)
        dialog.saved.connect(lambda result: self.context.say(say_walk(result)) if result else None)
        self.context.open_dialog(dialog)

    def _do(self, card: str, rows: list[BagRow]) -> None:
        ids = [one.id for one in rows]
        self.context.act(partial(act_on_bags, ids=ids, wanted=BagAct(card)), then=self._told_done)

    def _told_done(self, done: Any) -> None:
        if done is not None:
            self.context.say(say_done(done, self.context.formats))

    def _move(self, rows: list[BagRow]) -> None:
        self._open_for(MoveDialog, _title(rows), [one.id for one in rows])

    def _discard(self, rows: list[BagRow]) -> None:
        self._open_for(DiscardDialog, _title(rows), [one.id for one in rows])

    def _open_for(self, form: Any, title: str, ids: list[int]) -> None:
        if self.shown is not None:
            dialog = form(self.context, self.shown.catalogue, title=title, bags=ids)
            dialog.saved.connect(self._told_done)
            self.context.open_dialog(dialog)

    def _move_batches(self, rows: list[BatchLine]) -> None:
        names = ", ".join(one.name for one in rows)
        self.context.workplace.read(
            ask_farm, self.context.farm, _live_bags, [one.id for one in rows],
            then=lambda ids: self._open_for(MoveDialog, names, ids),
        )  # fmt: skip

    def _labels_of_batch(self, rows: list[BatchLine]) -> None:
        self._print_labels([rows[0].name])

    def _labels(self, rows: list[BagRow]) -> None:
        self._print_labels([one.name for one in rows])

    def _print_labels(self, words: list[str]) -> None:
        if self.shown is not None:
            self.context.open_dialog(BatchLabelsDialog(self.context, self.shown.catalogue, words))


class _RoomDialog(FormDialog):
    """Which room is walked."""

    def __init__(self, shown: Incubation) -> None:
        super().__init__(tr("Walk a room"), save_title=tr("Go on"))
        rooms = shown.catalogue.choices("room")
        usual = next(
            (one.id for one in shown.catalogue.all("room", retired=False)
             if one.use == "incubation"), None,
        )  # fmt: skip
        self.form.add(ChoiceField("room", tr("Room"), rooms, required=True, value=usual))


def _contamination(line: BatchLine) -> tuple[float, int, int, float, float]:
    rate = line.rate
    return (rate.share or 0.0, line.row.contaminated, line.row.made, rate.low, rate.high)


def _window(line: BatchLine) -> tuple[str, str, str]:
    return (line.row.ready_from, line.row.ready_to, line.row.window)


def _title(rows: list[BagRow]) -> str:
    return rows[0].name if len(rows) == 1 else tr("{count_rows} bags").format(count_rows=len(rows))


def _batch_of(reading: Reading, bag: int) -> int:
    found = reading.get(Bag, bag)
    return found.batch if found else 0


def _live_bags(reading: Reading, batches: list[int]) -> list[int]:
    return [bag.id for batch in batches for bag in read_bags(reading, batch=batch, stages=ALIVE)]


def _of(name: str) -> Callable[[BatchLine], Any]:
    return lambda line: getattr(line.row, name)
