"""Text of several lines that always has the height it takes at its width."""

from __future__ import annotations

from PySide6.QtCore import QEvent
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QWidget


class WrappedLabel(QLabel):
    """A wrapped label that cannot be laid over its neighbours.

    Qt's own asks for its height by width only where nothing around it scrolls: in a page that
    does, it gets too little at first and lies over what stands above.
    """

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setWordWrap(True)

    def setText(self, text: str) -> None:  # noqa: N802 - Qt's own name
        """Show a text, with the height it takes."""
        super().setText(text)
        self._grow()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's own name
        """Another width takes another height."""
        super().resizeEvent(event)
        self._grow()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's own name
        """Larger text takes more lines."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._grow()

    def _grow(self) -> None:
        tall = self.heightForWidth(self.width()) if self.text() else 0
        if tall != self.minimumHeight():
            self.setMinimumHeight(max(0, tall))
