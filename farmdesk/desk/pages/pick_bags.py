"""The bags of a pick as a field: scanned, typed or named by batch, each with its flush."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QStringListModel, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from farmdesk.actions.labelling import resolve
from farmdesk.actions.picks import propose_bag_flush
from farmdesk.desk.completers import PartCompleter
from farmdesk.desk.context import DeskContext
from farmdesk.desk.fields import Field
from farmdesk.desk.messages import sentence_of
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.codes import bag_name, kind_of, read_code, shown
from farmdesk.errors import FarmdeskError, NotFound, NotUnderstood, problem
from farmdesk.reports.fruiting_lists import FruitingThings
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.picks import bags_to_pick
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

_WHY = {
    "first_pick": tr("its first pick"),
    "same_picking": tr("the same picking as its last"),
    "rested": tr("it has rested since its last pick"),
    "was_resting": tr("it was resting"),
    "between": tr("soon after its last pick"),
    "earlier_than_last": tr("before its last pick"),
}


@dataclass(frozen=True)
class PickedBag:
    """A bag named for a pick, the flush proposed for it, why, and whether that is plain."""

    id: int
    name: str
    stage: str
    flush: int
    reason: str
    is_sure: bool


def find_bags(store: FarmStore, words: Sequence[str], day: str) -> list[PickedBag]:
    """The bags behind codes and names; a batch means its opened bags. Raises NotFound."""
    with store.reading() as reading:
        ids = list(dict.fromkeys(_bag_ids(reading, words)))
        return [_propose(reading, one, day) for one in ids]


def _bag_ids(reading: Reading, words: Sequence[str]) -> Iterable[int]:
    for found in resolve(reading, words, expand=False):
        kind = kind_of(found)
        if kind == "batch":
            yield from (bag.id for bag in bags_to_pick(reading, found))
        elif kind == "bag":
            yield found
        else:
            raise NotFound(problem("word_not_known", text=" ".join(words)))


def _propose(reading: Reading, bag_id: int, day: str) -> PickedBag:
    bag, batch = _need_bag(reading, bag_id)
    proposed = propose_bag_flush(reading, bag, day)
    name = bag_name(batch.name, bag.number)
    return PickedBag(bag.id, name, bag.stage, proposed.flush, proposed.reason, proposed.is_sure)


def _need_bag(reading: Reading, bag_id: int) -> tuple[Bag, Batch]:
    bag = reading.get(Bag, bag_id)
    batch = None if bag is None else reading.get(Batch, bag.batch)
    if bag is None or batch is None:
        raise NotFound(problem("not_found", kind="bag", id=bag_id))
    return bag, batch


class BagsField(Field):
    """Bags on a list; Enter in the line puts more on it. `value()` is a list of ids."""

    def __init__(self, context: DeskContext, things: FruitingThings) -> None:
        self._context = context
        self._day = things.terms.today
        self._bags: dict[int, PickedBag] = {}
        editor = QWidget()
        column = QVBoxLayout(editor)
        column.setContentsMargins(0, 0, 0, 0)
        self.line = QLineEdit()
        self.line.setPlaceholderText(tr("scan, or type OY01-0147 or OY01-0147-001..020"))
        self.line.setAccessibleName(tr("Bag or batch"))
        self.line.setMaxLength(400)
        self.line.setCompleter(_completer(things, self.line))
        self.line.textEdited.connect(lambda _text: self.show_problem(""))
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Bags picked from"))
        self.list.setFixedHeight(self.list.fontMetrics().height() * 6 + 20)
        column.addWidget(self.line)
        column.addWidget(self.list)
        super().__init__(
            "bags",
            tr("Bags picked from"),
            editor,
            required=True,
            hint=tr(
                "Enter puts a bag on the list, a batch puts all its opened bags. Del takes one off."
            ),
        )
        self.setFocusProxy(self.line)

    def add_words(self, text: str) -> None:
        """Put what these codes or names mean on the list."""
        words = text.replace(",", " ").split()
        if words:
            self._context.workplace.read(
                find_bags, self._context.farm, words, self._day,
                then=self._add, failed=self._show_error,
            )  # fmt: skip

    def set_day(self, day: str) -> None:
        """Propose the flushes anew for another day of picking."""
        if day != self._day:
            self._day = day
            if self._bags:
                self.add_words(" ".join(bag.name for bag in self._bags.values()))

    @property
    def waiting(self) -> str:
        """What was typed and not put on the list yet."""
        return self.line.text().strip()

    def bags(self) -> list[PickedBag]:
        """The bags on the list."""
        return list(self._bags.values())

    def value(self) -> list[int]:
        """The ids of the bags on the list."""
        if not self._bags:
            raise NotUnderstood(problem("pick_names_no_bags", field=self.key))
        return list(self._bags)

    def set_value(self, value: Any) -> None:
        """Put bags on the list by their names."""
        self.add_words(" ".join(value or ()))

    def _add(self, found: list[PickedBag]) -> None:
        self._bags |= {bag.id: bag for bag in found}
        self.line.clear()
        self.show_problem("" if found else tr("That batch has no bag to pick from."))
        self._show_list()

    def _show_error(self, error: FarmdeskError) -> None:
        self.show_problem(sentence_of(error))
        self.line.setFocus()

    def _show_list(self) -> None:
        self.list.clear()
        for bag in self._bags.values():
            doubt = "" if bag.is_sure else tr("  ⚠ please check")
            text = tr("{name}   flush {flush}: {why}{doubt}").format(
                name=bag.name, flush=bag.flush, why=_WHY[bag.reason], doubt=doubt
            )
            item = QListWidgetItem(text)
            item.setData(Qt.ItemDataRole.UserRole, bag.id)
            self.list.addItem(item)
        self.changed.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Enter in the line adds what it says; Del takes a bag off the list."""
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        is_plain = not event.modifiers() & Qt.KeyboardModifier.ControlModifier
        if is_enter and is_plain and self.line.hasFocus():
            self.add_words(self.line.text())
            return
        item = self.list.currentItem()
        if event.key() == Qt.Key.Key_Delete and self.list.hasFocus() and item is not None:
            self._bags.pop(item.data(Qt.ItemDataRole.UserRole), None)
            self._show_list()
            return
        super().keyPressEvent(event)


def read_bag_scan(line: str) -> str:
    """The word that a scanned line is for the list; raises NotUnderstood for a damaged code."""
    bare = line.strip()
    if bare.isascii() and bare.replace(" ", "").isdigit():
        read_code(bare)
        return bare.replace(" ", "")
    return shown(bare)


def _completer(things: FruitingThings, line: QLineEdit) -> PartCompleter:
    names = [*dict.fromkeys(bag.batch_name for bag in things.bags)]
    names += [bag.name for bag in things.pickable()]
    return PartCompleter(QStringListModel(names, line), line)
