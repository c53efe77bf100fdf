"""A form: fields under each other, problems beside the field they are about, two keys."""

from __future__ import annotations

from typing import Any, TypeVar

from PySide6.QtCore import QEvent, QObject, QSize, Signal
from PySide6.QtGui import QKeyEvent, Qt
from PySide6.QtWidgets import QLabel, QScrollArea, QVBoxLayout, QWidget

from farmdesk.desk.fields import Field, sentence_of_field
from farmdesk.desk.messages import field_of, sentence_for, sentence_of
from farmdesk.errors import FarmdeskError, NotUnderstood

FieldT = TypeVar("FieldT", bound=Field)
_ENTERS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class _Fields(QScrollArea):
    """Scrolls up and down only: never narrower than its fields and the bar beside them.

    `least` is a width in pixels that it has at least, whatever its fields need.
    """

    def __init__(self) -> None:
        super().__init__()
        self.least = 0

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """The fields at their narrowest, beside the bar."""
        inside = self.widget()
        wide = inside.minimumSizeHint().width() if inside is not None else 0
        bar = self.verticalScrollBar().sizeHint().width()
        return super().minimumSizeHint().expandedTo(QSize(max(wide + bar, self.least), 0))

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """As Qt has it, but never too narrow."""
        return super().sizeHint().expandedTo(self.minimumSizeHint())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's own name
        """Fields that came or grew may ask for more width."""
        if event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().eventFilter(watched, event)


class Form(QWidget):
    """Fields that are read together. Ctrl+Enter asks to save, Esc to cancel."""

    save_asked = Signal()
    cancel_asked = Signal()
    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields: dict[str, Field] = {}
        self._top = QLabel(self)
        self._top.setObjectName("problem")
        self._top.setWordWrap(True)
        self._top.hide()
        holder = QWidget()
        self._column = QVBoxLayout(holder)
        self._column.setSpacing(10)
        self._column.addStretch(1)
        self._area = _Fields()
        self._area.setWidgetResizable(True)
        self._area.setFrameShape(_Fields.Shape.NoFrame)
        self._area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._area.setWidget(holder)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self._top)
        outer.addWidget(self._area, 1)

    def add(self, field: FieldT) -> FieldT:
        """Put a field at the end; gives it back."""
        self.fields[field.key] = field
        self.add_widget(field)
        field.changed.connect(self.changed)
        return field

    def add_widget(self, widget: QWidget) -> None:
        """Put any widget at the end, such as a list or a sentence."""
        self._column.insertWidget(self._column.count() - 1, widget)

    def widen(self, width: int) -> None:
        """Be at least so many pixels wide; fields that need more get more."""
        self._area.least = width
        self._area.updateGeometry()

    def content_height(self) -> int:
        """Height in pixels that shows every field without scrolling."""
        inside = self._area.widget()
        return (inside.sizeHint().height() if inside is not None else 0) + 8

    def values(self) -> dict[str, Any] | None:
        """Every field's value by its key; None when one can't be read, which is then shown."""
        self.clear_problems()
        values: dict[str, Any] = {}
        bad: list[Field] = []
        for key, field in self.fields.items():
            try:
                values[key] = field.value()
            except NotUnderstood as error:
                field.show_problem(sentence_of_field(field, error))
                bad.append(field)
        if bad:
            self._go_to(bad[0])
            return None
        return values

    def set_values(self, values: dict[str, Any]) -> None:
        """Fill the fields that are named."""
        for key, value in values.items():
            self.fields[key].set_value(value)

    def show_error(self, error: FarmdeskError) -> None:
        """Show each problem at the field that its fact 'field' names, else on top."""
        self.clear_problems()
        on_top: list[str] = []
        named: list[Field] = []
        for one in error.problems:
            field = self.fields.get(field_of(one))
            if field is None:
                on_top.append(sentence_for(one))
                continue
            field.show_problem(" ".join(filter(None, (field.problem_text(), sentence_for(one)))))
            named.append(field)
        if not named and not on_top:
            on_top.append(sentence_of(error))
        self.show_on_top(" ".join(on_top))
        if named:
            self._go_to(named[0])

    def show_on_top(self, sentence: str) -> None:
        """Show a sentence above all fields; '' takes it away."""
        self._top.setText(f"⚠ {sentence}" if sentence else "")
        self._top.setVisible(bool(sentence))

    def problem_on_top(self) -> str:
        """The sentence above all fields, or ''."""
        return self._top.text().removeprefix("⚠ ")

    def clear_problems(self) -> None:
        """Take all sentences about problems away."""
        self.show_on_top("")
        for field in self.fields.values():
            field.show_problem("")

    def _go_to(self, field: Field) -> None:
        field.setFocus()
        self._area.ensureWidgetVisible(field)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Ctrl+Enter saves, Esc cancels."""
        control = event.modifiers() & Qt.KeyboardModifier.ControlModifier
        if control and event.key() in _ENTERS:
            self.save_asked.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.cancel_asked.emit()
        else:
            super().keyPressEvent(event)
