"""Paints the headings between the rows of a grouped list."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, Qt
from PySide6.QtGui import QFont, QPainter, QPalette
from PySide6.QtWidgets import (
    QApplication,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
)

from farmdesk.desk.grouping import Heading
from farmdesk.desk.tables import HEADING_ROLE

EDGE_PX = 6


class HeadingDelegate(QStyledItemDelegate):
    """Rows as ever; a heading runs over the columns up to the first that has a sum."""

    def __init__(self, view: QTableView) -> None:
        super().__init__(view)
        self._view = view

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Paint one cell."""
        heading = index.data(HEADING_ROLE)
        if not isinstance(heading, Heading):
            super().paint(painter, option, index)
            return
        is_chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        palette: QPalette = QApplication.palette()
        roles = QPalette.ColorRole
        ground = roles.Highlight if is_chosen else roles.Button
        ink = roles.HighlightedText if is_chosen else roles.ButtonText
        rect: QRect = option.rect
        font = QFont(option.font)
        font.setBold(True)
        painter.save()
        painter.fillRect(rect, palette.color(ground))
        painter.setPen(palette.color(ink))
        painter.setFont(font)
        painter.setClipRect(rect)
        total = index.data(Qt.ItemDataRole.DisplayRole)
        if total:
            flags = index.data(Qt.ItemDataRole.TextAlignmentRole)
            painter.drawText(rect.adjusted(EDGE_PX, 0, -EDGE_PX, 0), int(flags), total)
        elif index.column() in self._title_columns(heading):
            place = QRect(rect)
            place.setLeft(self._left() + EDGE_PX)
            place.setRight(self._view.viewport().width())
            sign = "▾" if heading.is_open else "▸"
            flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
            painter.drawText(place, int(flags), f"{sign} {heading.title}")
        painter.restore()

    def _shown(self) -> list[int]:
        header = self._view.horizontalHeader()
        order = [header.logicalIndex(at) for at in range(header.count())]
        return [at for at in order if not self._view.isColumnHidden(at)]

    def _left(self) -> int:
        return self._view.columnViewportPosition(self._shown()[0])

    def _title_columns(self, heading: Heading) -> list[int]:
        columns = self._view.model().columns  # type: ignore[attr-defined]
        taken: list[int] = []
        for at in self._shown():
            if heading.sums.get(columns[at].key) is not None:
                break
            taken.append(at)
        return taken
