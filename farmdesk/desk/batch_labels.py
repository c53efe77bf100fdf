"""Labels of chosen things printed from a page: on any stock, from any place of a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices

from farmdesk.actions.base import Who
from farmdesk.actions.labelling import PrintedLabels, print_labels
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import CheckField, ChoiceField, NumberField, TextField
from farmdesk.desk.station_formats import usual_stock
from farmdesk.reports.catalogue import Catalogue
from farmdesk.reports.lab_choices import label_stock_names


class BatchLabelsDialog(FormDialog):
    """Writes the labels of what the words name to a PDF file, and shows it."""

    def __init__(self, context: DeskContext, catalogue: Catalogue, words: Sequence[str]) -> None:
        what = words[0] if len(words) == 1 else f"{len(words)} things"
        super().__init__(
            f"Labels of {what}",
            sentence="Print at 100 %, without fitting to the page. A label printed again is "
            "noted as such.",
            save_title="Print",
        )
        self._context = context
        self._words = list(words)
        stocks = label_stock_names(catalogue)
        usual = usual_stock(stocks, context.preferences)
        add = self.form.add
        add(ChoiceField("stock", "Label stock", stocks, required=True,
                        value=usual))  # fmt: skip
        add(NumberField("start", "Start at label number", context.formats, value=1))
        add(TextField("out", "PDF file", value=str(Path.home() / "labels.pdf"), required=True))
        add(CheckField("show", "Show it, to print it", value=True))

    def save(self, values: dict[str, Any]) -> None:
        """Print the labels."""
        context = self._context
        self._show = bool(values["show"])
        self._set_busy(busy=True)
        context.workplace.do(
            print_labels,
            context.farm,
            self._words,
            stock=values["stock"],
            out=Path(values["out"]),
            start=values["start"] or 1,
            who=Who(context.station, context.person.id if context.person else None),
            then=self._printed,
            failed=self._show_failure,
        )

    def _printed(self, labels: PrintedLabels) -> None:
        context = self._context
        context.refresher.broadcast({"printing"})
        again = f", {labels.reprinted} of them again" if labels.reprinted else ""
        count = context.formats.count(labels.count, "label", "labels")
        context.say(f"{count} in {labels.path}{again}.")
        if self._show:
            QDesktopServices.openUrl(QUrl.fromLocalFile(str(labels.path)))
        self._finish(labels)
