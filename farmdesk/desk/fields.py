"""Fields of a form: a label, a place to type, and one sentence when it can't be read."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.completers import PartCompleter
from farmdesk.errors import NotUnderstood, problem
from farmdesk.quantities.mass import MassReading, read_mass
from farmdesk.quantities.money import read_money
from farmdesk.quantities.numbers import decimal_of, read_number, tidy
from farmdesk.quantities.times import read_day, today_in
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say, say_error

_TEXT_LIMIT = 400
_NOTES_LIMIT = 10_000
_DAY_WORDS = {"today": tr("today"), "yesterday": tr("yesterday"), "tomorrow": tr("tomorrow")}
"""Days that are named, as `read_day` knows them and as the person does."""


class Field(QWidget):
    """The base of all fields; `value()` reads what was typed or raises NotUnderstood."""

    changed = Signal()

    def __init__(
        self, key: str, label: str, editor: QWidget, *, hint: str = "", required: bool = False
    ) -> None:
        super().__init__()
        self.key = key
        self.label_text = label
        self.editor = editor
        self.required = required
        name = QLabel(f"{label} *" if required else label, self)
        name.setBuddy(editor)
        editor.setAccessibleName(label)
        editor.setAccessibleDescription(hint)
        self._hint = QLabel(hint, self)
        self._hint.setObjectName("muted")
        self._hint.setVisible(bool(hint))
        self._problem = QLabel(self)
        self._problem.setObjectName("problem")
        self._problem.hide()
        for line in (self._hint, self._problem):
            line.setWordWrap(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        for part in (name, editor, self._hint, self._problem):
            column.addWidget(part)
        self.setFocusProxy(editor)

    def value(self) -> Any:
        """What was typed, read; None when it is empty and need not be filled."""
        raise TypeError(f"{type(self).__name__} does not say how it is read")

    def set_value(self, value: Any) -> None:
        """Fill the field."""
        raise TypeError(f"{type(self).__name__} does not say how {value!r} is filled in")

    def show_problem(self, sentence: str) -> None:
        """Show a sentence under the field; '' takes it away."""
        self._problem.setText(f"⚠ {sentence}" if sentence else "")
        self._problem.setVisible(bool(sentence))
        self.editor.setAccessibleDescription(sentence or self._hint.text())

    def problem_text(self) -> str:
        """The sentence under the field, or ''."""
        return self._problem.text().removeprefix("⚠ ")

    def set_hint(self, hint: str) -> None:
        """Say something calm under the field, such as what was read."""
        self._hint.setText(hint)
        self._hint.setVisible(bool(hint))

    def hint_text(self) -> str:
        """The calm sentence under the field."""
        return self._hint.text()

    def _missing(self) -> None:
        """Refuse an empty field that must be filled."""
        if self.required:
            raise NotUnderstood(problem("field_empty", field=self.key, label=self.label_text))


class TextField(Field):
    """One line of text. `value()` is str, or None when empty."""

    def __init__(
        self,
        key: str,
        label: str,
        *,
        hint: str = "",
        required: bool = False,
        value: Any = "",
        placeholder: str = "",
    ) -> None:
        self.line = QLineEdit()
        self.line.setMaxLength(_TEXT_LIMIT)
        self.line.setPlaceholderText(placeholder)
        super().__init__(key, label, self.line, hint=hint, required=required)
        self.line.textChanged.connect(self._edited)
        if value not in ("", None):
            self.set_value(value)

    def text(self) -> str:
        """The text as typed, without spaces at its ends."""
        return self.line.text().strip()

    def value(self) -> Any:
        """The text; None when empty."""
        text = self.text()
        if not text:
            self._missing()
            return None
        return self._read(text)

    def set_value(self, value: Any) -> None:
        """Fill the field with text."""
        self.line.setText("" if value is None else str(value))

    def set_placeholder(self, text: str) -> None:
        """Say in the empty line what may be typed; the line stays wide enough for it."""
        self.line.setPlaceholderText(text)
        wide = self.line.fontMetrics().horizontalAdvance(text)
        # Beside the text stand the frame, the margins of the style, and room for the cursor.
        self.line.setMinimumWidth(wide + 2 * self.line.fontMetrics().height() if text else 0)

    def _read(self, text: str) -> Any:
        return text

    def _edited(self, _text: str) -> None:
        self.show_problem("")
        self.changed.emit()


class MassField(TextField):
    """A weight such as '9 lb 6.5 oz'. `value()` is milligrams (int); `reading()` tells more."""

    def __init__(self, key: str, label: str, formats: Formats, **options: Any) -> None:
        self._formats = formats
        self._given_hint = str(options.get("hint", ""))
        options.setdefault("placeholder", "4.26 kg, 540 g, 9 lb 6.5 oz")
        super().__init__(key, label, **options)

    def reading(self) -> MassReading | None:
        """The reading with what was typed and what looks like a slip; None when empty."""
        text = self.text()
        return read_mass(text, decimal_comma=self._formats.decimal_comma) if text else None

    def set_value(self, value: Any) -> None:
        """Fill in milligrams (int), or text as typed."""
        super().set_value(self._formats.mass(value) if isinstance(value, int) else value)

    def _read(self, text: str) -> int:
        return read_mass(text, decimal_comma=self._formats.decimal_comma).mg

    def _edited(self, text: str) -> None:
        super()._edited(text)
        try:
            reading = self.reading()
        except NotUnderstood:
            reading = None
        if reading is None:
            self.set_hint(self._given_hint)
            return
        doubts = " ".join(say(doubt) for doubt in reading.doubts)
        self.set_hint(f"= {self._formats.mass(reading.mg)}" + (f"  ⚠ {doubts}" if doubts else ""))


class DayField(TextField):
    """A day such as '2026-02-05', '5 Feb 2026', 'today'. `value()` is 'YYYY-MM-DD'."""

    def __init__(self, key: str, label: str, formats: Formats, **options: Any) -> None:
        self._formats = formats
        self._given_hint = str(options.get("hint", ""))
        options.setdefault("placeholder", tr("today, 5 Feb 2026, 2026-02-05"))
        super().__init__(key, label, **options)

    def set_value(self, value: Any) -> None:
        """Fill in a day, or 'today' and the like in the language of the desk."""
        super().set_value(_DAY_WORDS.get(value, value))

    def _read(self, text: str) -> str:
        bare = text.strip().casefold()
        known = {word.casefold(): one for one, word in _DAY_WORDS.items()}
        today = today_in(self._formats.zone)
        return read_day(known.get(bare, text), today, locale=self._formats.locale)

    def _edited(self, text: str) -> None:
        super()._edited(text)
        try:
            day = self.value() if self.text() else None
        except NotUnderstood:
            day = None
        self.set_hint(f"= {self._formats.day(day)}" if day else self._given_hint)


class MoneyField(TextField):
    """An amount in the farm's currency. `value()` is Decimal."""

    def __init__(self, key: str, label: str, formats: Formats, **options: Any) -> None:
        self._formats = formats
        super().__init__(key, label, **options)

    def set_value(self, value: Any) -> None:
        """Fill in a Decimal, or text as typed."""
        super().set_value(self._formats.money(value) if isinstance(value, Decimal) else value)

    def _read(self, text: str) -> Decimal:
        return read_money(text, self._formats.currency, self._formats.locale)


class NumberField(TextField):
    """A number. `value()` is int when `digits` is 0, else Decimal of so many decimals."""

    def __init__(
        self, key: str, label: str, formats: Formats, *, digits: int = 0, **options: Any
    ) -> None:
        self._formats = formats
        self._digits = digits
        super().__init__(key, label, **options)

    def _read(self, text: str) -> int | Decimal:
        bare = tidy(text)
        sign = -1 if bare.startswith("-") else 1
        number = read_number(bare.lstrip("+-").strip(), decimal_comma=self._formats.decimal_comma)
        if number is None or (not self._digits and number.value.denominator != 1):
            code = "number_not_understood" if number is None else "number_not_whole"
            raise NotUnderstood(problem(code, field=self.key, text=text))
        return sign * (
            decimal_of(number.value, self._digits) if self._digits else int(number.value)
        )


class NotesField(Field):
    """Several lines of text. `value()` is str, '' when empty. Tab leaves the field."""

    def __init__(self, key: str, label: str, *, hint: str = "", value: str = "") -> None:
        self.edit = QPlainTextEdit(value)
        self.edit.setTabChangesFocus(True)
        self.edit.setFixedHeight(self.edit.fontMetrics().lineSpacing() * 3 + 20)
        super().__init__(key, label, self.edit, hint=hint)
        self.edit.textChanged.connect(self.changed)

    def value(self) -> str:
        """The text."""
        return self.edit.toPlainText().strip()[:_NOTES_LIMIT]

    def set_value(self, value: Any) -> None:
        """Fill the field with text."""
        self.edit.setPlainText("" if value is None else str(value))


class ChoiceField(Field):
    """One of some things; typing searches. `value()` is the chosen thing's key, or None."""

    def __init__(
        self,
        key: str,
        label: str,
        choices: Sequence[tuple[Any, str]] = (),
        *,
        hint: str = "",
        required: bool = False,
        value: Any = None,
    ) -> None:
        self.combo = QComboBox()
        self.combo.setEditable(True)
        self.combo.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.line = QLineEdit()
        self.line.setAccessibleName(label)
        self.combo.setLineEdit(self.line)
        self.combo.setCompleter(PartCompleter(self.combo.model(), self.combo))
        super().__init__(key, label, self.combo, hint=hint, required=required)
        self.set_choices(choices)
        self.set_value(value)
        self.combo.editTextChanged.connect(self._edited)

    def set_choices(self, choices: Sequence[tuple[Any, str]]) -> None:
        """Offer these (key, text); the chosen one stays if it is still among them."""
        chosen = self.combo.currentData()
        self.combo.blockSignals(True)
        self.combo.clear()
        for choice, text in choices:
            self.combo.addItem(text, choice)
        self.combo.setCurrentIndex(-1)
        self.combo.blockSignals(False)
        self.set_value(chosen)

    def value(self) -> Any:
        """The key of the thing whose text is shown."""
        text = self.combo.currentText().strip()
        if not text:
            self._missing()
            return None
        exact = self._find(text)
        if exact is None:
            raise NotUnderstood(problem("choice_not_known", field=self.key, text=text))
        return self.combo.itemData(exact)

    def chosen(self) -> Any:
        """The key that is chosen so far; None while the text names nothing."""
        try:
            return self.value()
        except NotUnderstood:
            return None

    def set_value(self, value: Any) -> None:
        """Choose a thing by its key; None clears."""
        keys = [self.combo.itemData(at) for at in range(self.combo.count())]
        at = keys.index(value) if value is not None and value in keys else -1
        self.combo.setCurrentIndex(at)
        if at < 0:
            self.combo.setEditText("")
        self.line.setCursorPosition(0)

    def _find(self, text: str) -> int | None:
        """The place of the text typed; a beginning is enough when only one thing has it."""
        texts = [self.combo.itemText(at).casefold() for at in range(self.combo.count())]
        wanted = text.casefold()
        if self.combo.currentText() == self.combo.itemText(self.combo.currentIndex()):
            return self.combo.currentIndex()
        if texts.count(wanted) == 1:
            return texts.index(wanted)
        starts = [at for at, one in enumerate(texts) if one.startswith(wanted)]
        return starts[0] if len(starts) == 1 else None

    def _edited(self, _text: str) -> None:
        self.show_problem("")
        self.changed.emit()


class CheckField(Field):
    """Yes or no. `value()` is bool."""

    def __init__(self, key: str, label: str, *, hint: str = "", value: bool = False) -> None:
        self.box = QCheckBox(label)
        super().__init__(key, label, self.box, hint=hint)
        self.findChildren(QLabel)[0].hide()
        self.box.setChecked(value)
        self.box.toggled.connect(self.changed)

    def value(self) -> bool:
        """Whether it is ticked."""
        return self.box.isChecked()

    def set_value(self, value: Any) -> None:
        """Tick or clear."""
        self.box.setChecked(bool(value))


class ReadField(TextField):
    """Text read by a function of the caller, which may raise NotUnderstood."""

    def __init__(self, key: str, label: str, read: Callable[[str], Any], **options: Any) -> None:
        self._reader = read
        super().__init__(key, label, **options)

    def _read(self, text: str) -> Any:
        return self._reader(text)


def sentence_of_field(field: Field, error: NotUnderstood) -> str:
    """What is wrong with a field, in plain words."""
    return say_error(error) or tr("{label_text} could not be read.").format(
        label_text=field.label_text
    )
