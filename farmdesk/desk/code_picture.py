"""A code as bars on the screen, black on white in every colour scheme, to try a scanner on."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from farmdesk.domain.codes import group_code
from farmdesk.paper.symbols import QUIET_MODULES, modules
from farmdesk.wording.language import tr

_MODULE_PX = 3
_BARS_PX = 90


class CodePicture(QWidget):
    """Code 128 in whole pixels, with its quiet zones and its digits underneath."""

    def __init__(self, code: str) -> None:
        super().__init__()
        self._modules = modules(code)
        self._digits = group_code(code)
        self.setAccessibleName(tr("Bar code {code}").format(code=self._digits))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """All bars with their quiet zones, and the digits."""
        wide = (len(self._modules) + 2 * QUIET_MODULES) * _MODULE_PX
        return QSize(wide, _BARS_PX + 2 * _MODULE_PX + self.fontMetrics().height() + 12)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """Bars are never cut."""
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's own name
        """Paint the bars, then the digits."""
        painter = QPainter(self)
        hint = self.sizeHint()
        box = QRect((self.width() - hint.width()) // 2, 0, hint.width(), self.height())
        painter.fillRect(box, Qt.GlobalColor.white)
        left = box.left() + QUIET_MODULES * _MODULE_PX
        for at, one in enumerate(self._modules):
            if one == "1":
                x = left + at * _MODULE_PX
                painter.fillRect(x, 2 * _MODULE_PX, _MODULE_PX, _BARS_PX, Qt.GlobalColor.black)
        painter.setPen(Qt.GlobalColor.black)
        below = box.adjusted(0, _BARS_PX + 2 * _MODULE_PX, 0, 0)
        painter.drawText(below, int(Qt.AlignmentFlag.AlignCenter), self._digits)
