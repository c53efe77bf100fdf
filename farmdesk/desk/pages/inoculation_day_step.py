"""What every step of an inoculation day has: a form, what it says, and a button that keeps it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from farmdesk.desk.forms import Form
from farmdesk.errors import FarmdeskError
from farmdesk.reports.lab_days import LabDay, LabDays
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.context import DeskContext
    from farmdesk.desk.pages.inoculation_day import InoculationDayPage


_LEAST_LINES = 9
"""So many lines of a form are in sight at least; where the window is lower, the page scrolls."""


class DayStep(QWidget):
    """One step: a form, what it says, and a button that keeps it. Ctrl+Enter keeps it too."""

    key: ClassVar[str] = ""
    title: ClassVar[str] = ""
    button: ClassVar[str] = ""

    def __init__(self, page: InoculationDayPage) -> None:
        super().__init__(page)
        self.page = page
        self.days: LabDays | None = None
        self.day: LabDay | None = None
        self.setAccessibleName(self.title)
        self.form = Form(self)
        self.told = QLabel()
        self.told.setWordWrap(True)
        self.told.setAccessibleName(tr("Sums"))
        self.keep = QPushButton(self.button)
        self.keep.setToolTip(tr("{title} ({key})").format(title=self.button, key="Ctrl+Enter"))
        self.keep.clicked.connect(lambda _=False: self.try_save())
        self.form.setMinimumHeight(self.fontMetrics().height() * _LEAST_LINES)
        self.buttons = QHBoxLayout()
        self.buttons.addWidget(self.keep)
        self.buttons.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 0, 0, 0)
        column.addWidget(self.form, 1)
        column.addLayout(self.buttons)
        self.form.save_asked.connect(self.try_save)

    @property
    def context(self) -> DeskContext:
        """The farm and the ways to it."""
        return self.page.context

    def show_day(self, days: LabDays, day: LabDay | None) -> None:
        """Show what was done of the day; what is being typed stays."""
        self.days, self.day = days, day

    def why_not(self) -> str:
        """Why this step cannot be done yet; '' when it can."""
        return ""

    def try_save(self) -> None:
        """Read the fields and keep the step."""
        why = self.why_not()
        if why:
            self.form.show_on_top(why)
            return
        values = self.form.values()
        if values is not None:
            self.save(values)

    def save(self, values: dict[str, Any]) -> None:
        """Keep the step."""

    def act(self, action: Any) -> None:
        """Do an action; the page then goes on to what comes next."""
        self.keep.setEnabled(False)
        self.context.act(
            action, then=self._kept, failed=self._failed, no=self._not_meant, parent=self
        )

    def add_button(self, title: str, function: Any) -> QPushButton:
        """One more button beside the one that keeps."""
        button = QPushButton(title)
        button.clicked.connect(lambda _=False: function())
        self.buttons.insertWidget(self.buttons.count() - 1, button)
        return button

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Ctrl+Enter keeps the step from its buttons too; the form has its own."""
        is_control = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        if is_control and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.try_save()
        else:
            super().keyPressEvent(event)

    def _kept(self, result: Any) -> None:
        self.keep.setEnabled(True)
        self.form.clear_problems()
        self.page.go_on(result)

    def _failed(self, error: FarmdeskError) -> None:
        self.keep.setEnabled(True)
        self.form.show_error(error)

    def _not_meant(self) -> None:
        self.keep.setEnabled(True)
