"""Forms for bags: walking a batch or room, moving, discarding with a reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QListWidget, QListWidgetItem

from farmdesk.actions.bags import (
    BagAct,
    BagsDone,
    ask_early,
    do_to_bags,
    judge_and_do,
    name_of_bag,
)
from farmdesk.actions.base import Act
from farmdesk.actions.walks import WalkResult, walk
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import ChoiceField, NotesField, TextField
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.cards import DISCARD, MOVE, OPENED
from farmdesk.domain.codes import kind_of, read_code, read_name
from farmdesk.domain.rules import DONE
from farmdesk.errors import NotUnderstood
from farmdesk.reports.catalogue import Catalogue
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

SLOW = "slow"


@dataclass(frozen=True)
class WalkedBag:
    """A bag on a walk: its id, its name and its number in its batch."""

    id: int
    name: str
    number: int


class WalkDialog(FormDialog):
    """A walk by exception: contaminated and slow bags are named, all others are fine."""

    def __init__(
        self,
        context: DeskContext,
        catalogue: Catalogue,
        *,
        title: str,
        bags: Sequence[WalkedBag],
        batch: int | None = None,
        room: int | None = None,
    ) -> None:
        super().__init__(
            tr("Walk: {title}").format(title=title),
            sentence=tr(
                "{count_bags} bags are to be looked at. Scan or type those that are not "
                "fine; all others are noted as looked at and fine, in one act."
            ).format(count_bags=len(bags)),
            save_title=tr("All others are fine"),
        )
        self._context = context
        self._batch, self._room = batch, room
        self._bags = {bag.id: bag for bag in bags}
        self.exceptions: dict[int, str | int] = {}
        add = self.form.add
        self.reason = add(
            ChoiceField(
                "reason", tr("What the next bags have"), _defects(catalogue), value=SLOW,
                hint=tr("Slow bags stay where they are; all other kinds are discarded."),
            )
        )  # fmt: skip
        self.bag = add(
            TextField(
                "bag", tr("Bag"), placeholder=tr("scan, or type a number such as 17"),
                hint=tr("Enter puts it on the list."),
            )
        )  # fmt: skip
        self.bag.line.returnPressed.connect(self._add_typed)
        self._words = dict(_defects(catalogue))
        label = QLabel(tr("Not fine (Del takes one off the list)"))
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Bags that are not fine"))
        self.list.setMinimumHeight(120)
        label.setBuddy(self.list)
        self.form.add_widget(label)
        self.form.add_widget(self.list)
        self.bag.line.setFocus()

    def add_bag(self, text: str) -> bool:
        """Name a bag by its code, name or number as what is chosen above; whether it was known."""
        found = self._find(text)
        if found is None:
            self.bag.show_problem(
                tr("“{text}” is none of the bags of this walk.").format(text=text[:40])
            )
            return False
        try:
            what = self.reason.value() or SLOW
        except NotUnderstood:
            self.reason.show_problem(tr("Choose what the bag has."))
            return False
        self.exceptions[found.id] = what
        self._show_list()
        self.bag.set_value("")
        return True

    def take_scan(self, line: str) -> bool:
        """A bag scanned during the walk goes on the list."""
        self.add_bag(line)
        return True

    def try_save(self) -> None:
        """A number left in the field counts as typed."""
        if self.bag.text() and not self.add_bag(self.bag.text()):
            return
        super().try_save()

    def save(self, values: dict[str, Any]) -> None:  # noqa: ARG002 - the list is what counts
        """Note the walk."""
        bad = {bag: what for bag, what in self.exceptions.items() if isinstance(what, int)}
        slow = {bag for bag, what in self.exceptions.items() if what == SLOW}
        action = partial(walk, batch=self._batch, room=self._room, contaminated=bad, slow=slow)
        self.run(self._context.act, action)

    def _add_typed(self) -> None:
        if self.bag.text():
            self.add_bag(self.bag.text())

    def _find(self, text: str) -> WalkedBag | None:
        bare = text.strip()
        if bare.isascii() and bare.isdigit() and len(bare) <= 4:
            alike = [bag for bag in self._bags.values() if bag.number == int(bare)]
            return alike[0] if len(alike) == 1 else None
        if read_name(bare) is not None:
            wanted = bare.upper().replace(" ", "")
            return next((bag for bag in self._bags.values() if bag.name == wanted), None)
        try:
            code = read_code(bare)
        except NotUnderstood:
            return None
        return self._bags.get(code) if kind_of(code) == "bag" else None

    def _show_list(self) -> None:
        self.list.clear()
        for bag, what in self.exceptions.items():
            item = QListWidgetItem(f"{self._bags[bag].name}   {self._words[what]}")
            item.setData(Qt.ItemDataRole.UserRole, bag)
            self.list.addItem(item)
        left = len(self._bags) - len(self.exceptions)
        self.save_button.setText(tr("The other {left} are fine (Ctrl+Enter)").format(left=left))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Enter in the field adds a bag; Del takes one off the list."""
        item = self.list.currentItem()
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.bag.line.hasFocus():
            return
        if event.key() == Qt.Key.Key_Delete and self.list.hasFocus() and item is not None:
            self.exceptions.pop(item.data(Qt.ItemDataRole.UserRole), None)
            self._show_list()
            return
        super().keyPressEvent(event)


class MoveDialog(FormDialog):
    """Bags go to another room, and onto one of its shelves where they have names."""

    def __init__(
        self, context: DeskContext, catalogue: Catalogue, *, title: str, bags: Sequence[int]
    ) -> None:
        super().__init__(tr("Move {title}").format(title=title), save_title=tr("Move"))
        self._context = context
        self._bags = bags
        rooms = catalogue.all("room", retired=False)
        self._shelves = {one.id: one.shelves.split() for one in rooms}
        add = self.form.add
        self.room = add(
            ChoiceField("room", tr("To room"), catalogue.choices("room"), required=True)
        )
        self.shelf = add(
            ChoiceField("shelf", tr("Onto shelf"), hint=tr("Empty: somewhere in the room."))
        )
        self.room.changed.connect(self._room_chosen)
        self._room_chosen()

    def save(self, values: dict[str, Any]) -> None:
        """Move them."""
        wanted = BagAct(MOVE, room=values["room"], shelf=values["shelf"] or "")
        self.run(self._context.act, partial(act_on_bags, ids=self._bags, wanted=wanted))

    def _room_chosen(self) -> None:
        shelves = self._shelves.get(self.room.chosen() or 0, [])
        self.shelf.set_choices([(one, one) for one in shelves])
        self.shelf.setVisible(bool(shelves))


class DiscardDialog(FormDialog):
    """Bags are thrown away, for a reason."""

    def __init__(
        self, context: DeskContext, catalogue: Catalogue, *, title: str, bags: Sequence[int]
    ) -> None:
        super().__init__(
            tr("Discard {title}").format(title=title),
            sentence=tr(
                "Take contaminated bags out closed; do not open them to look. Wear a "
                "mask that fits where spores may fly."
            ),
            save_title=tr("Discard"),
        )
        self._context = context
        self._bags = bags
        reasons = [pair for pair in _defects(catalogue) if pair[0] != SLOW]
        self.form.add(ChoiceField("reason", tr("Reason"), reasons, required=True))
        self.form.add(NotesField("note", tr("Note")))

    def save(self, values: dict[str, Any]) -> None:
        """Discard them."""
        wanted = BagAct(DISCARD, reason=values["reason"], note=values["note"])
        self.run(self._context.act, partial(act_on_bags, ids=self._bags, wanted=wanted))


def act_on_bags(act: Act, *, ids: Sequence[int], wanted: BagAct) -> BagsDone:
    """One act of a card on chosen bags: one alone is asked about or refused with its reason,

    of many those that it does not fit are left as they are.
    """
    bags = [act.need(Bag, one) for one in ids]
    if len(bags) == 1:
        verdict, bag = judge_and_do(act, bags[0], wanted)
        is_done = verdict.outcome == DONE
        return BagsDone((bag,) if is_done else (), {} if is_done else {verdict.code: (bag,)})
    if wanted.name == OPENED:
        firsts = {bag.batch: bag for bag in reversed(bags) if bag.opened_on is None}
        for bag in firsts.values():
            act.ask(*ask_early(act, act.need(Batch, bag.batch), name_of_bag(act, bag)))
    return do_to_bags(act, bags, wanted)


def say_done(done: BagsDone, formats: Formats) -> str:
    """What an act did to chosen bags, in one sentence."""
    left = sum(len(some) for some in done.left_out.values())
    sentence = tr("{count} changed.").format(count=formats.count(len(done.changed), "bag", "bags"))
    return (
        tr("{sentence} {left} left as before.").format(
            sentence=sentence, left=formats.count(left, "bag", "bags")
        )
        if left
        else sentence
    )


def say_walk(result: WalkResult) -> str:
    """What a walk found, in one sentence."""
    parts = [tr("{looked_at} fine").format(looked_at=result.looked_at + result.already)]
    parts += (
        [tr("{discarded} discarded").format(discarded=result.discarded)] if result.discarded else []
    )
    parts += [tr("{slow} slow").format(slow=result.slow)] if result.slow else []
    return tr("Walked: {parts}.").format(parts=", ".join(parts))


def _defects(catalogue: Catalogue) -> list[tuple[str | int, str]]:
    reasons = [one for one in catalogue.all("reason", retired=False) if one.use == "discard"]
    reasons.sort(key=lambda one: not one.contamination)
    return [(SLOW, tr("Slow")), *[(one.id, one.name) for one in reasons]]
