"""What of the day's work is put off: the keys that do it, the day asked for, how many it is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QToolButton

from farmdesk.actions.put_offs import WorkLine, bring_back, put_off
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import DayField
from farmdesk.desk.list_view import ListView
from farmdesk.domain.put_off import last_day
from farmdesk.quantities.times import day_plus, today_in
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.today import say_put_off
from farmdesk.reports.today_rows import TodayRow
from farmdesk.wording.language import tr, tr_count

_MOST_NAMED = 5


class PutOffDialog(FormDialog):
    """Asks until which day lines are put off."""

    def __init__(self, context: DeskContext, rows: Sequence[TodayRow]) -> None:
        today = today_in(context.formats.zone)
        last = min(last_day(row.section, today) for row in rows)
        super().__init__(
            tr("Put off"),
            sentence=tr(
                "{lines}: off the list until the day that you give. What becomes worse before then"
                " is back at once."
            ).format(lines=_names(rows)),
            save_title=tr("Put off"),
        )
        self.form.add(
            DayField(
                "until_on", tr("Back on the list on"), context.formats, required=True,
                placeholder=tr("tomorrow, 5 Feb 2026, 2026-02-05"),
                hint=tr("The last day that may be given is {day}.").format(
                    day=context.formats.day(last)
                ),
            )
        )  # fmt: skip
        lines = [line_of(row) for row in rows]
        self.on_save = lambda values: self.run(context.act, partial(put_off, lines=lines, **values))


class PutOffButton(QToolButton):
    """Counts what is put off and shows it; gives the list the keys that put off and bring back."""

    def __init__(self, context: DeskContext, work: ListView, show: Callable[[], object]) -> None:
        super().__init__()
        self._context = context
        self._count = 0
        add = work.add_row_action
        add(tr("Put off until tomorrow"), self._until_tomorrow, shortcut="Ctrl+T")
        add(tr("Put off until Monday"), self._until_monday, shortcut="Ctrl+M")
        add(tr("Put off …"), self._ask, shortcut="Ctrl+D")
        self.back = add(tr("Bring back"), self._bring_back, shortcut="Ctrl+B")
        self.turn = QAction(self)
        self.turn.setCheckable(True)
        self.turn.setShortcut(QKeySequence("Ctrl+H"))
        self.turn.toggled.connect(lambda _: self.tell(self._count))
        self.turn.toggled.connect(lambda _: show())
        self.setDefaultAction(self.turn)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.tell(0)

    @property
    def is_shown(self) -> bool:
        """Whether the lines that are put off are to be seen."""
        return self.turn.isChecked()

    def tell(self, count: int) -> None:
        """Say how many lines are put off; nothing for none."""
        self._count = count
        if not count and self.is_shown:
            self.turn.setChecked(False)
            return
        words = tr("{put_off}: hide them") if self.is_shown else tr("{put_off}: show them")
        self.turn.setText(words.format(put_off=say_put_off(count)))
        self.turn.setToolTip(tr("{title} ({key})").format(title=self.turn.text(), key="Ctrl+H"))
        self.turn.setEnabled(count > 0)
        self.setVisible(count > 0)
        self.back.setVisible(self.is_shown)

    def _until_tomorrow(self, rows: list[TodayRow]) -> None:
        self._put_off(rows, day_plus(today_in(self._context.formats.zone), 1))

    def _until_monday(self, rows: list[TodayRow]) -> None:
        self._put_off(rows, IsoWeek.of(today_in(self._context.formats.zone)).next().monday)

    def _put_off(self, rows: Sequence[TodayRow], until_on: str) -> None:
        lines = [line_of(row) for row in rows]
        self._context.act(
            partial(put_off, lines=lines, until_on=until_on),
            then=lambda made: self._say_done(len(made), until_on),
            parent=self,
        )

    def _say_done(self, count: int, until_on: str) -> None:
        words = tr_count(
            count,
            "{n} line put off until {day}. Ctrl+Z takes it back.",
            "{n} lines put off until {day}. Ctrl+Z takes it back.",
        )
        day = self._context.formats.day(until_on)
        self._context.say(words.format(n=self._context.formats.number(count), day=day))

    def _ask(self, rows: list[TodayRow]) -> None:
        self._context.open_dialog(PutOffDialog(self._context, rows))

    def _bring_back(self, rows: list[TodayRow]) -> None:
        ids = [row.put_off.id for row in rows if row.put_off is not None]
        self._context.act(partial(bring_back, put_offs=ids), parent=self)


def line_of(row: TodayRow) -> WorkLine:
    """What is to be put off of a row."""
    section, subject = row.id
    return WorkLine(section, subject, row.name, row.due or "", row.grade)


def _names(rows: Sequence[TodayRow]) -> str:
    names = ", ".join(row.name for row in rows[:_MOST_NAMED])
    rest = len(rows) - _MOST_NAMED
    return tr("{names} and {rest} more").format(names=names, rest=rest) if rest > 0 else names
