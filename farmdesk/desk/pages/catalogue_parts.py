"""The ingredients of a recipe with their shares: rows to fill, and the sum below."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from farmdesk.desk.fields import ChoiceField, Field, ReadField
from farmdesk.domain.catalogue import RecipePart
from farmdesk.errors import NotUnderstood
from farmdesk.quantities.percent import read_percent
from farmdesk.reports.catalogue import Catalogue
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_WHOLE = Decimal(100)


class _PartRow(QWidget):
    """One ingredient and its share."""

    def __init__(self, choices: Sequence[tuple[int, str]], formats: Formats) -> None:
        super().__init__()

        def read(text: str) -> Decimal:
            return read_percent(text, decimal_comma=formats.decimal_comma).percent

        self.ingredient = ChoiceField("ingredient", tr("Ingredient"), choices)
        self.share = ReadField("share", tr("Share, %"), read)
        self.share.setMaximumWidth(140)
        self.remove = QPushButton(tr("Remove"))
        self.remove.setAutoDefault(False)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        top = Qt.AlignmentFlag.AlignTop
        row.addWidget(self.ingredient, 1, top)
        row.addWidget(self.share, 0, top)
        row.addWidget(self.remove, 0, Qt.AlignmentFlag.AlignBottom)

    @property
    def is_empty(self) -> bool:
        """Whether nothing was typed here."""
        return not self.ingredient.line.text().strip() and not self.share.text()


class PartsField(Field):
    """All parts of one recipe. `value()` is a list of RecipePart."""

    def __init__(
        self,
        key: str,
        label: str,
        formats: Formats,
        catalogue: Catalogue,
        *,
        recipe: int,
        hint: str = "",
    ) -> None:
        self._formats = formats
        self._choices = catalogue.choices("ingredient")
        self._recipe = recipe
        self.rows: list[_PartRow] = []
        editor = QWidget()
        self._column = QVBoxLayout(editor)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._sum = QLabel()
        self.add_button = QPushButton(tr("Add an ingredient"))
        self.add_button.setAutoDefault(False)
        self.add_button.clicked.connect(self._add_empty)
        foot = QHBoxLayout()
        foot.addWidget(self.add_button)
        foot.addWidget(self._sum)
        foot.addStretch(1)
        self._column.addLayout(foot)
        super().__init__(key, label, editor, hint=hint)
        parts = [one for one in catalogue.all("recipe_part") if recipe and one.recipe == recipe]
        for one in parts:
            row = self.add_row()
            row.ingredient.set_value(one.ingredient)
            row.share.set_value(_plain(one.share_percent, formats))
        if not parts:
            self.add_row()
        self._show_sum()

    def add_row(self) -> _PartRow:
        """One more line for an ingredient."""
        row = _PartRow(self._choices, self._formats)
        row.remove.clicked.connect(lambda _=False: self._remove(row))
        row.ingredient.changed.connect(self.changed)
        row.share.changed.connect(self._show_sum)
        self._column.insertWidget(len(self.rows), row)
        self.rows.append(row)
        return row

    def value(self) -> list[RecipePart]:
        """The parts that were filled in."""
        found = []
        for row in self.rows:
            if row.is_empty:
                continue
            row.ingredient.required = row.share.required = True
            ingredient, share = row.ingredient.value(), row.share.value()
            found.append(RecipePart(0, self._recipe, ingredient, share))
        return found

    def set_value(self, value: Any) -> None:
        """Fill in parts."""
        for row in list(self.rows):
            self._remove(row)
        for one in value or ():
            row = self.add_row()
            row.ingredient.set_value(one.ingredient)
            row.share.set_value(_plain(one.share_percent, self._formats))

    def _add_empty(self) -> None:
        self.add_row().ingredient.setFocus()

    def _remove(self, row: _PartRow) -> None:
        self.rows.remove(row)
        self._column.removeWidget(row)
        row.hide()
        row.deleteLater()
        self.add_button.setFocus()
        self._show_sum()

    def _show_sum(self) -> None:
        self.show_problem("")
        total = Decimal(0)
        for row in self.rows:
            try:
                total += row.share.value() or 0
            except NotUnderstood:
                self._sum.setText(tr("The sum waits for a share that can be read."))
                return
        word = tr("✓ complete") if total == _WHOLE else tr("not yet 100 %")
        self._sum.setText(
            tr("Sum {total} %, {word}").format(total=_plain(total, self._formats), word=word)
        )
        self.changed.emit()


def _plain(value: Decimal, formats: Formats) -> str:
    text = format(value, "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace(".", ",") if formats.decimal_comma else text
