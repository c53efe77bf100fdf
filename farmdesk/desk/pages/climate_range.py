"""Which room, over which days: the choices above a room's climate."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from farmdesk.desk.choosers import make_choice
from farmdesk.desk.fields import DayField
from farmdesk.errors import NotUnderstood
from farmdesk.quantities.times import day_plus, today_in
from farmdesk.reports.climate import ClimateQuestion, RoomClimate
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say_error

_LENGTHS: Mapping[str, int] = {
    "day": 1, "week": 7, "month": 30, "quarter": 91, "half": 183, "year": 365, "ten": 3_653,
}  # fmt: skip
_TITLES: Mapping[str, str] = {
    "day": tr("Last day"),
    "week": tr("Last week"),
    "month": tr("Last 30 days"),
    "quarter": tr("Last 13 weeks"),
    "half": tr("Last 26 weeks"),
    "year": tr("Last year"),
    "ten": tr("Last ten years"),
    "days": tr("From … to …"),
}
LARGE_PX = 26


class ClimateRange(QWidget):
    """A room and a span of days; `changed` says that one was chosen."""

    changed = Signal()

    def __init__(self, formats: Formats) -> None:
        super().__init__()
        self._formats = formats
        self._wanted = ""
        self.room = make_choice(tr("Room"))
        self.period = make_choice(tr("Days"))
        for key, title in _TITLES.items():
            self.period.addItem(title, key)
        self.period.setCurrentIndex(list(_TITLES).index("week"))
        self.first = DayField("first", tr("From"), formats)
        self.last = DayField("last", tr("To"), formats)
        self._lay_out()
        self.room.activated.connect(lambda _: self.changed.emit())
        self.period.activated.connect(lambda _: self._choose_period())
        for field in (self.first, self.last):
            field.line.returnPressed.connect(self.changed.emit)
            field.hide()

    def choose_room(self, name: str) -> None:
        """Choose a room by its name, now or when it is known."""
        self._wanted = name.strip().casefold()
        at = next(
            (i for i in range(self.room.count())
             if self.room.itemText(i).casefold() == self._wanted), -1,
        )  # fmt: skip
        if at >= 0:
            self._wanted = ""
            self.room.setCurrentIndex(at)
            self.changed.emit()

    def choose_period(self, key: str) -> None:
        """Choose a span of days by its key: day, week, month, quarter, half, year, ten, days."""
        self.period.setCurrentIndex(list(_TITLES).index(key))
        self._choose_period()

    def offer(self, found: RoomClimate) -> None:
        """Offer the farm's rooms; the one that is shown is chosen."""
        self.room.clear()
        for one in found.rooms:
            self.room.addItem(one.name, one.id)
        if found.room is not None:
            self.room.setCurrentIndex(max(0, self.room.findData(found.room.id)))
        if self._wanted:
            self.choose_room(self._wanted)

    def question(self) -> ClimateQuestion | None:
        """What is asked; None, with a sentence at the field, when a day can't be read."""
        room, period = self.room.currentData(), str(self.period.currentData())
        if period != "days":
            if period == "week":
                return ClimateQuestion(room)
            today = today_in(self._formats.zone)
            return ClimateQuestion(room, day_plus(today, 1 - _LENGTHS[period]), today)
        days: list[str] = []
        for field in (self.first, self.last):
            try:
                days.append(field.value() or "")
            except NotUnderstood as error:
                field.show_problem(say_error(error))
                return None
            field.show_problem("")
        first, last = days
        if first and last and first > last:
            self.last.show_problem(tr("This lies before the first day."))
            return None
        return ClimateQuestion(room, first, last)

    def _choose_period(self) -> None:
        is_typed = self.period.currentData() == "days"
        for field in (self.first, self.last):
            field.setVisible(is_typed)
        if is_typed:
            self.first.setFocus()
        self.changed.emit()

    def _lay_out(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        is_large = self.fontMetrics().height() > LARGE_PX
        for at, choice in enumerate((self.room, self.period)):
            label = QLabel(choice.accessibleName())
            label.setBuddy(choice)
            row, column = (at, 0) if is_large else (0, 2 * at)
            grid.addWidget(label, row, column)
            grid.addWidget(choice, row, column + 1)
        for at, field in enumerate((self.first, self.last)):
            grid.addWidget(field, 2, at * 3, 1, 3)
        grid.setColumnStretch(8, 1)
