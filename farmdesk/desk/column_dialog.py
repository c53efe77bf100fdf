"""Which columns a list shows, in which order and how wide: all by keyboard."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.columns import Column
from farmdesk.desk.list_look import LEAST_CHARACTERS, MOST_CHARACTERS, ListLook
from farmdesk.desk.overflow import OverflowBar
from farmdesk.wording.language import tr

_KEY = Qt.ItemDataRole.UserRole


class ColumnDialog(QDialog):
    """Every column with a tick; what is changed shows at once in the list behind."""

    def __init__(self, look: ListLook, columns: Sequence[Column], parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._titles = {one.key: one.title for one in columns}
        self.setWindowTitle(tr("Columns of the list"))
        self.setAccessibleName(tr("Columns of the list"))
        sentence = QLabel(tr("Space shows or hides a column, Alt+Up and Alt+Down move it."))
        sentence.setWordWrap(True)
        self.columns = QListWidget()
        self.columns.setAccessibleName(tr("Columns, from left to right"))
        self.width_box = QSpinBox()
        self.width_box.setAccessibleName(tr("Width in characters"))
        self.width_box.setRange(int(LEAST_CHARACTERS), int(MOST_CHARACTERS))
        label = QLabel(tr("&Width in characters"))
        label.setBuddy(self.width_box)
        beside = QHBoxLayout()
        beside.addWidget(label)
        beside.addWidget(self.width_box)
        beside.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(18, 16, 18, 14)
        column.addWidget(sentence)
        column.addWidget(self.columns, 1)
        column.addWidget(self._make_moves())
        column.addLayout(beside)
        column.addLayout(self._make_foot())
        self._fill()
        self.columns.itemChanged.connect(lambda _: self._turn())
        self.columns.currentRowChanged.connect(lambda _: self._show_width())
        self.width_box.valueChanged.connect(self._set_width)
        self.columns.setCurrentRow(0)
        self.resize(max(460, self.fontMetrics().averageCharWidth() * 52), 520)

    def shift(self, step: int) -> None:
        """Put the chosen column one place on (1) or back (-1)."""
        row = self.columns.currentRow()
        to = row + step
        if row < 0 or not 0 <= to < self.columns.count():
            return
        self.columns.blockSignals(True)
        self.columns.insertItem(to, self.columns.takeItem(row))
        self.columns.blockSignals(False)
        self.columns.setCurrentRow(to)
        self._look.set_order([self._key(at) for at in range(self.columns.count())])

    def reset(self) -> None:
        """All as the list began."""
        self._look.reset()
        self._fill()
        self.columns.setCurrentRow(0)

    def _fill(self) -> None:
        self.columns.blockSignals(True)
        self.columns.clear()
        hidden = self._look.hidden()
        for key in self._look.order():
            item = QListWidgetItem(self._titles[key])
            item.setData(_KEY, key)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(_tick(key not in hidden))
            self.columns.addItem(item)
        self.columns.blockSignals(False)

    def _make_moves(self) -> OverflowBar:
        bar = OverflowBar(self)
        for title, keys, step in (
            (tr("Move left"), "Alt+Up", -1),
            (tr("Move right"), "Alt+Down", 1),
        ):
            action = QAction(title, self)
            action.setShortcut(QKeySequence(keys))
            action.triggered.connect(lambda _=False, step=step: self.shift(step))
            self.addAction(action)
            bar.add_action(action)
        reset = QAction(tr("As it was at first"), self)
        reset.triggered.connect(lambda _=False: self.reset())
        bar.add_action(reset)
        return bar

    def _make_foot(self) -> QHBoxLayout:
        foot = QHBoxLayout()
        foot.addStretch(1)
        close = QPushButton(tr("Close"))
        close.setDefault(True)
        close.clicked.connect(self.accept)
        foot.addWidget(close)
        return foot

    def _key(self, row: int) -> str:
        return str(self.columns.item(row).data(_KEY))

    def _turn(self) -> None:
        rows = range(self.columns.count())
        ticked = [self.columns.item(at).checkState() == Qt.CheckState.Checked for at in rows]
        if not any(ticked):
            self.columns.currentItem().setCheckState(Qt.CheckState.Checked)
            return
        self._look.set_hidden([self._key(at) for at in rows if not ticked[at]])

    def _show_width(self) -> None:
        if self.columns.currentRow() >= 0:
            self.width_box.blockSignals(True)
            self.width_box.setValue(round(self._look.width(self._key(self.columns.currentRow()))))
            self.width_box.blockSignals(False)

    def _set_width(self, characters: int) -> None:
        if self.columns.currentRow() >= 0:
            self._look.set_width(self._key(self.columns.currentRow()), characters)


def _tick(shown: bool) -> Qt.CheckState:
    return Qt.CheckState.Checked if shown else Qt.CheckState.Unchecked
