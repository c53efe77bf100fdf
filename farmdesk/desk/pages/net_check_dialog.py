"""Net contents of a lot of packs: sample packs weighed, and the verdict."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtWidgets import QPlainTextEdit

from farmdesk.actions.base import Act
from farmdesk.actions.net_checks import check_net
from farmdesk.arithmetic.net_lots import RULES, allowed_shortage_mg, sample_size
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import ChoiceField, Field, MassField, NotesField
from farmdesk.desk.pages.order_lines import widen
from farmdesk.desk.scale_field import WeighField
from farmdesk.domain.catalogue import Product
from farmdesk.domain.harvest import NetCheck, Pack
from farmdesk.errors import FarmdeskError, NotUnderstood, Refused, problem
from farmdesk.paper.documents import Document
from farmdesk.quantities.mass import read_mass
from farmdesk.reports.net_check import NOT_OFFICIAL, RULE_NAMES, net_check_sheet
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr


class WeightsField(Field):
    """Weights, one on each line. `value()` is a list of milligrams."""

    def __init__(
        self, key: str, label: str, formats: Formats, *, hint: str = "", required: bool = True
    ) -> None:
        self._formats = formats
        self.edit = QPlainTextEdit()
        self.edit.setTabChangesFocus(True)
        self.edit.setMinimumHeight(self.edit.fontMetrics().height() * 7)
        super().__init__(key, label, self.edit, required=required, hint=hint)
        self.edit.textChanged.connect(self._edited)

    def add(self, mg: int) -> None:
        """One more weight, as taken from the scale."""
        self.edit.appendPlainText(self._formats.mass_in(mg, "g"))

    def value(self) -> list[int]:
        """The weights; a bare number is grams."""
        found = []
        for at, line in enumerate(self.edit.toPlainText().splitlines(), start=1):
            text = line.strip()
            if not text:
                continue
            bare = text.replace(",", ".")
            try:
                typed = f"{text} g" if bare.replace(".", "", 1).isdigit() else text
                comma = self._formats.decimal_comma
                found.append(read_mass(typed, decimal_comma=comma).mg)
            except NotUnderstood as error:
                raise NotUnderstood(problem("weight_of_line", field=self.key, number=at)) from error
        if not found:
            self._missing()
        return found or []

    def set_value(self, value: Any) -> None:
        """Fill in weights."""
        self.edit.clear()
        for one in value or ():
            self.add(one)

    def _edited(self) -> None:
        self.show_problem("")
        self.changed.emit()


class NetCheckDialog(FormDialog):
    """Weighs a sample of a lot; `on_checked` is told the check."""

    def __init__(
        self,
        context: DeskContext,
        pack: Pack,
        product: Product,
        *,
        rule: str,
        on_checked: Callable[[NetCheck], object],
    ) -> None:
        label = context.formats.mass_in(product.pack_mg or 0, "g")
        super().__init__(
            tr("Net contents of {lot}").format(lot=pack.name),
            sentence=tr("{product}, {label} on the label. {caution}").format(
                product=product.name, label=label, caution=NOT_OFFICIAL
            ),
            save_title=tr("Judge the lot"),
        )
        widen(self, 84)
        self._context, self._pack, self._product = context, pack, product
        self._on_checked = on_checked
        formats, add = context.formats, self.form.add
        self.rule = add(ChoiceField("rule", tr("Rule"), [(one, RULE_NAMES[one]) for one in RULES],
                                    required=True, value=rule))  # fmt: skip
        add(
            MassField("tare_mg", tr("One empty package"), formats, value=product.tare_mg or None,
                      hint=tr("Taken off every weight. Empty: they were weighed net."))
        )  # fmt: skip
        add(
            MassField("division_mg", tr("Smallest step of the scale"), formats,
                      placeholder=tr("such as 1 g"))
        )  # fmt: skip
        self.one = WeighField("one", tr("From the scale"), formats, scale=context.scale)
        if context.scale is not None and context.scale.is_in_use:
            self.form.add_widget(self.one)
            self.one.taken.connect(self._taken)
        self.weights = add(WeightsField("gross_mg", tr("Packs weighed, one on each line"), formats))
        add(NotesField("note", tr("Note")))
        self.rule.changed.connect(self._rule_chosen)
        self._rule_chosen()

    def save(self, values: dict[str, Any]) -> None:
        """Judge and keep it."""
        for key in ("tare_mg", "division_mg"):
            values[key] = values[key] or 0
        self.run(self._context.act, partial(_check, pack=self._pack.id, **values))

    def _rule_chosen(self) -> None:
        rule = self.rule.chosen()
        if rule is None or not self._product.pack_mg:
            return
        try:
            short = allowed_shortage_mg(self._product.pack_mg, rule)
        except (Refused, FarmdeskError):
            return
        self.weights.set_hint(
            tr(
                "Weigh {count} packs taken at random from all {packs}. A bare number is grams. A"
                " single pack may be {short} short."
            ).format(
                count=sample_size(self._pack.count), packs=self._pack.count,
                short=self._context.formats.mass_in(short, "g"),
            )
        )  # fmt: skip

    def _taken(self, reading: Any) -> None:
        mg = self.one.value()
        if mg:
            self.weights.add(mg)
        del reading

    def _finish(self, result: Any) -> None:
        super()._finish(result)
        self._on_checked(result)


def load_sheet_of(store: FarmStore, check: int) -> Document:
    """The sheet of a check."""
    with store.reading() as reading:
        return net_check_sheet(reading, check)


def _check(act: Act, *, pack: int, gross_mg: list[int], **values: Any) -> NetCheck:
    return check_net(act, act.need(Pack, pack), gross_mg, **values)
