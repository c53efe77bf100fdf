"""Each line of one batch's costs, how it came about, and the figures it adds up to."""

from __future__ import annotations

from typing import cast

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QPushButton, QVBoxLayout

from farmdesk.desk.context import DeskContext
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.page import Page
from farmdesk.desk.pages.week_lists import TableSheet
from farmdesk.errors import FarmdeskError
from farmdesk.paper.tables import Table
from farmdesk.reports.costs import cost_lines_table
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr


def load_cost_lines(store: FarmStore, batch: str) -> Table:
    """A batch's lines, read in a transaction of their own."""
    with store.reading() as reading:
        return cost_lines_table(reading, batch)


class CostLinesDialog(QDialog):
    """The lines of one batch; they can be printed and exported like any list."""

    def __init__(self, context: DeskContext, batch: str) -> None:
        super().__init__()
        self.context = context
        self.setWindowTitle(tr("Costs of {batch}").format(batch=batch))
        self.setMinimumSize(1020, 640)
        self.about = QLabel(tr("Counting …"))
        self.about.setWordWrap(True)
        self.about.setObjectName("group")
        self.about.setAccessibleName(tr("The figures of the batch"))
        empty = tr("Nothing is known of what this batch cost yet.")
        # The sheet asks its page for nothing but the context that the dialog has too.
        self.sheet = TableSheet(cast(Page, self), empty_text=empty)
        close = QPushButton(tr("Close (Esc)"))
        close.setAutoDefault(False)
        close.setShortcut(QKeySequence("Esc"))
        close.clicked.connect(self.accept)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(close)
        column = QVBoxLayout(self)
        column.setContentsMargins(18, 16, 18, 14)
        column.addWidget(self.about)
        column.addWidget(self.sheet, 1)
        column.addLayout(foot)
        context.workplace.read(
            load_cost_lines, context.farm, batch, then=self._show, failed=self._not_read
        )

    def _show(self, table: Table) -> None:
        self.about.setText("  ".join(table.notes))
        self.about.setVisible(bool(table.notes))
        self.sheet.show_table(table)
        self.sheet.notes.hide()

    def _not_read(self, error: FarmdeskError) -> None:
        self.about.setText(f"⚠ {sentence_of(error)}")
