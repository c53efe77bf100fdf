"""Shelf life as life used up, on the cold store's page: lots, warm hours, and who is touched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from farmdesk.actions.climate import set_shelf_rule, shorten_shelf_dates
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog, ask
from farmdesk.desk.fields import ChoiceField
from farmdesk.desk.overflow import OverflowBar
from farmdesk.desk.page import Page
from farmdesk.desk.pages.week_lists import TableSheet
from farmdesk.paper.tables import Table
from farmdesk.reports.shelf_life import dates_to_shorten, lives_table, read_shelf
from farmdesk.reports.warm_spells import find_warm_spells, spells_table, touched_table
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr

_RULES = (
    ("of_remaining", tr("what remains of life when the lot is made")),
    ("of_total", tr("the whole life, with what was used before")),
)
Dates = dict[int, tuple[str, str | None]]


@dataclass(frozen=True)
class ShelfView:
    """The tables of the tab, the dates to bring forward by lot, and the rule in force."""

    tables: tuple[Table, ...]
    dates: Dates
    names: dict[str, int]
    rule: str


def load_shelf(store: FarmStore) -> ShelfView:
    """The lives of all lots, read in a transaction of their own."""
    with store.reading() as reading:
        book = read_shelf(reading)
        spells = find_warm_spells(reading, book)
    lives = book.on_hand()
    tables = (
        lives_table(book, lives), touched_table(book, spells), spells_table(book, spells),
    )  # fmt: skip
    names = {one.lot.facts.name: one.lot.facts.id for one in lives}
    return ShelfView(tables, dates_to_shorten(lives), names, book.rule)


class LifeList(QWidget):
    """The lives of lots on a tab of the cold store's page."""

    def __init__(self, page: Page) -> None:
        super().__init__()
        self._page = page
        self.view: ShelfView | None = None
        self.setAccessibleName(tr("Shelf life"))
        self.sentence = QLabel()
        self.sentence.setObjectName("group")
        self.about = QLabel()
        self.about.setObjectName("muted")
        for label in (self.sentence, self.about):
            label.setWordWrap(True)
        self.tables = QComboBox()
        self.tables.setAccessibleName(tr("Table"))
        self.tables.activated.connect(lambda _: self._show_table())
        self.sheet = TableSheet(
            page,
            empty_text=tr(
                "No lot is on hand. Record a pick on the fruiting page (Ctrl+4, then Ctrl+N)."
            ),
        )
        bar = OverflowBar(self)
        self.forward = self._add(bar, tr("Bring dates forward …"), self.bring_forward)
        self._add(bar, tr("Rule of the sell-by day …"), self.choose_rule)
        head = QHBoxLayout()
        head.addWidget(self.tables)
        head.addWidget(bar, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.addLayout(head)
        column.addWidget(self.sentence)
        column.addWidget(self.sheet, 1)
        column.addWidget(self.about)

    @property
    def table(self) -> Table | None:
        """The table in sight."""
        return None if self.view is None else self.view.tables[max(0, self.tables.currentIndex())]

    def refresh(self) -> None:
        """Follow all lots again."""
        context = self._page.context
        context.workplace.read_newest(load_shelf, context.farm, then=self._show)

    def print(self) -> None:
        """Print the table in sight."""
        self.sheet.print()

    def bring_forward(self) -> None:
        """Bring the dates of the chosen lots forward, of all that are too late without a choice."""
        if self.view is None:
            return
        dates = self._chosen_dates()
        if not dates:
            self._page.context.say(tr("No printed date comes too late."))
            return
        names = [name for name, lot in self.view.names.items() if lot in dates]
        text = tr(
            "Bring the dates of {lots} forward? Their labels still say the old ones: print new ones"
            " and stick them over. What was sold already stays as it is; see who got it."
        )
        ask(
            self, text.format(lots=", ".join(names)), yes=partial(self._shorten, dates),
            yes_title=tr("Bring forward"),
        )  # fmt: skip

    def choose_rule(self) -> None:
        """Choose what the sell-by share is a share of."""
        if self.view is not None:
            self._page.context.open_dialog(RuleDialog(self._page.context, self.view.rule))

    def _shorten(self, dates: Dates) -> None:
        self._page.context.act(partial(shorten_shelf_dates, dates=dates))

    def _chosen_dates(self) -> Dates:
        assert self.view is not None
        rows: Sequence[Any] = ()
        if self.sheet.list is not None and self.tables.currentIndex() == 0:
            rows = self.sheet.list.chosen_rows()
        chosen = {self.view.names.get(str(row[0]), 0) for row in rows}
        found = {lot: dates for lot, dates in self.view.dates.items() if lot in chosen}
        return found or self.view.dates

    def _show(self, view: ShelfView) -> None:
        self.view = view
        at = max(0, self.tables.currentIndex())
        self.tables.clear()
        self.tables.addItems([one.title for one in view.tables])
        self.tables.setCurrentIndex(at)
        self.forward.setEnabled(bool(view.dates))
        self._show_table()

    def _show_table(self) -> None:
        table = self.table
        if table is None or self.view is None:
            return
        self.sentence.setText(self.view.tables[0].notes[0])
        notes = [one for one in table.notes if one != self.sentence.text()]
        self.about.setText("  ".join(notes))
        self.sheet.show_table(replace(table, notes=()))

    def _add(self, bar: OverflowBar, title: str, function: Any) -> QAction:
        action = QAction(title, self)
        action.triggered.connect(lambda _=False: function())
        bar.add_action(action)
        return action


class RuleDialog(FormDialog):
    """What the sell-by share is a share of."""

    def __init__(self, context: DeskContext, now: str) -> None:
        super().__init__(
            tr("Rule of the sell-by day"),
            sentence=tr(
                "The share itself is in the farm's settings. Of a fresh lot both rules give the"
                " same day; of one that had warm hours before it was packed, the whole life gives"
                " the earlier day. It holds for lots made from now on."
            ),
            save_title=tr("Save"),
        )
        self._context = context
        self.form.add(ChoiceField("rule", tr("The share is of"), _RULES, required=True, value=now))

    def save(self, values: dict[str, Any]) -> None:
        """Keep it."""
        self.run(self._context.act, partial(set_shelf_rule, **values))
