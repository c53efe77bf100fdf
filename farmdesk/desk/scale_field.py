"""A weight that is typed or taken from the scale; what was taken stays as it was taken."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from farmdesk.desk.fields import MassField
from farmdesk.desk.scale_link import ScaleLink, reading_text
from farmdesk.devices.readings import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say

TAKE_KEY = "F4"


class WeighField(MassField):
    """A MassField with what the scale shows beside it and a button to take it.

    Without a scale at this station it is a MassField. `taken` tells the frozen reading.
    """

    taken = Signal(object)

    def __init__(
        self,
        key: str,
        label: str,
        formats: Formats,
        *,
        scale: ScaleLink | None,
        **options: Any,
    ) -> None:
        super().__init__(key, label, formats, **options)
        self._scale = scale if scale is not None and scale.is_in_use else None
        self._is_waiting = False
        if self._scale is not None:
            self._add_row(self._scale)

    def _add_row(self, scale: ScaleLink) -> None:
        self.scale_line = QLabel()
        self.scale_line.setAccessibleName(tr("What the scale shows"))
        self.scale_line.setWordWrap(True)
        self.take_button = QPushButton(tr("Take the weight ({key})").format(key=TAKE_KEY))
        self.take_button.setAutoDefault(False)
        # A button's own key works a tenth of a second late, and takes what the scale shows then.
        QShortcut(QKeySequence(TAKE_KEY), self).activated.connect(self._press)
        self.take_button.setAccessibleName(
            tr("Take {label} from the scale").format(label=self.label_text)
        )
        self.take_button.clicked.connect(self._press)
        row = QWidget()
        across = QHBoxLayout(row)
        across.setContentsMargins(0, 2, 0, 2)
        across.addWidget(self.take_button)
        across.addWidget(self.scale_line, 1)
        column = self.layout()
        if isinstance(column, QVBoxLayout):
            column.insertWidget(2, row)
        scale.changed.connect(self._show, Qt.ConnectionType.UniqueConnection)
        scale.steadied.connect(self._steadied)
        self._show()

    def _press(self) -> None:
        """Take the steady reading, or the next one as soon as the load is at rest."""
        if self._scale is None:
            return
        reading = self._scale.take()
        if reading is not None:
            self._fill(reading)
            return
        self._is_waiting = not self._is_waiting
        if self._is_waiting:
            self._scale.ask_again()
        self._show()

    def _steadied(self) -> None:
        if self._is_waiting and self._scale is not None:
            reading = self._scale.take()
            if reading is not None:
                self._fill(reading)

    def _fill(self, reading: Reading) -> None:
        self._is_waiting = False
        self.set_value(reading_text(reading, decimal_comma=self._formats.decimal_comma))
        self.setFocus()
        self._show()
        self.taken.emit(reading)

    def _show(self) -> None:
        if self._scale is not None:
            self.scale_line.setText(scale_sentence(self._scale, self._formats, self._is_waiting))


def scale_sentence(scale: ScaleLink, formats: Formats, is_waiting: bool = False) -> str:
    """What the scale shows now, and whether it is at rest, in words."""
    if scale.trouble is not None:
        return "⚠ " + say(scale.trouble)
    if scale.live is None:
        return tr("Waiting for the scale …")
    shown = scale.steady or scale.live
    text = reading_text(shown, decimal_comma=formats.decimal_comma)
    if scale.steady is not None:
        return tr("✓ {weight}, at rest").format(weight=text)
    if is_waiting:
        return tr("… {weight}, taken as soon as it is at rest").format(weight=text)
    if scale.live.stable is False:
        return tr("≈ {weight}, moving").format(weight=text)
    return tr("{weight}").format(weight=text)
