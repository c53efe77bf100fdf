"""What a sum is asked: grouped by what, which species, which days of inoculation."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from farmdesk.desk.choosers import make_choice
from farmdesk.desk.fields import DayField
from farmdesk.errors import NotUnderstood
from farmdesk.quantities.times import day_plus, today_in
from farmdesk.reports.sum_question import A_YEAR, GROUPINGS, SumQuestion
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say_error

_PERIODS: Mapping[str, int | None] = {
    "quarter": 13 * 7,
    "half": 26 * 7,
    "year": A_YEAR,
    "three": 3 * A_YEAR,
    "all": None,
    "days": 0,
}
_TITLES: Mapping[str, str] = {
    "quarter": tr("Last 13 weeks"),
    "half": tr("Last 26 weeks"),
    "year": tr("Last year"),
    "three": tr("Last three years"),
    "all": tr("All there is"),
    "days": tr("From … to …"),
}
FIRST_DAY = "1950-01-01"
_LARGE_PX = 26
_EXTRA: Mapping[str, str] = {
    "defect": tr("Defect"),
    "colonised": tr("Time to colonise"),
    "opened": tr("Time to opening, when pins show"),
    "picked": tr("Time to the first pick"),
    "month": tr("Month inoculated"),
    "channel": tr("Channel"),
    "customer": tr("Customer"),
    "product": tr("Product"),
}


class SumFilters(QWidget):
    """A row of choices (two where letters are large); `changed` says that one was made."""

    changed = Signal()

    def __init__(self, groupings: Sequence[str], formats: Formats) -> None:
        super().__init__()
        self._formats = formats
        self.by_choice = make_choice(tr("By"))
        for key in groupings:
            self.by_choice.addItem(GROUPINGS.get(key) or _EXTRA[key], key)
        self.species_choice = make_choice(tr("Species"))
        self.species_choice.addItem(tr("All species"), None)
        self.period_choice = make_choice(tr("Inoculated in"))
        for key, title in _TITLES.items():
            self.period_choice.addItem(title, key)
        self.period_choice.setCurrentIndex(list(_TITLES).index("year"))
        self.first = DayField("first", tr("From"), formats)
        self.last = DayField("last", tr("To"), formats)
        self._lay_out(bool(groupings))
        for choice in (self.by_choice, self.species_choice):
            choice.activated.connect(lambda _: self.changed.emit())
        self.period_choice.activated.connect(lambda _: self._choose_period())
        for field in (self.first, self.last):
            field.line.returnPressed.connect(self.changed.emit)
            field.hide()

    @property
    def by(self) -> str:
        """The key of the grouping chosen."""
        return str(self.by_choice.currentData() or "strain")

    def choose_by(self, key: str) -> None:
        """Choose a grouping by its key, if it is offered."""
        at = self.by_choice.findData(key)
        if at >= 0:
            self.by_choice.setCurrentIndex(at)
            self.changed.emit()

    def choose_period(self, key: str) -> None:
        """Choose a span of time by its key: quarter, half, year, three, all, days."""
        self.period_choice.setCurrentIndex(list(_TITLES).index(key))
        self._choose_period()

    def offer_species(self, species: Sequence[tuple[int, str]]) -> None:
        """Offer these species; the chosen one stays."""
        chosen = self.species_choice.currentData()
        self.species_choice.clear()
        self.species_choice.addItem(tr("All species"), None)
        for one, name in species:
            self.species_choice.addItem(name, one)
        self.species_choice.setCurrentIndex(max(0, self.species_choice.findData(chosen)))

    def question(self) -> SumQuestion | None:
        """What is asked; None, with a sentence at the field, when a day can't be read."""
        species = self.species_choice.currentData()
        period = str(self.period_choice.currentData())
        today = today_in(self._formats.zone)
        if period == "days":
            days = [self._read(self.first), self._read(self.last)]
            if None in days:
                return None
            first, last = days[0] or FIRST_DAY, days[1] or today
            if first > last:
                self.last.show_problem(tr("This lies before the first day."))
                return None
            return SumQuestion(self.by, species, first, last)
        length = _PERIODS[period]
        first = FIRST_DAY if length is None else day_plus(today, -length)
        return SumQuestion(self.by, species, first, today)

    def _read(self, field: DayField) -> str | None:
        try:
            day = field.value() or ""
        except NotUnderstood as error:
            field.show_problem(say_error(error))
            return None
        field.show_problem("")
        return str(day)

    def _choose_period(self) -> None:
        is_typed = self.period_choice.currentData() == "days"
        for field in (self.first, self.last):
            field.setVisible(is_typed)
        if is_typed:
            self.first.setFocus()
        self.changed.emit()

    def _lay_out(self, with_by: bool) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        choices = [self.by_choice] if with_by else []
        choices += [self.species_choice, self.period_choice]
        self.by_choice.setVisible(with_by)
        if not with_by:
            self.by_choice.setParent(self)
            self.by_choice.hide()
        is_large = self.fontMetrics().height() > _LARGE_PX
        for at, choice in enumerate(choices):
            label = QLabel(choice.accessibleName())
            label.setBuddy(choice)
            row, column = (at, 0) if is_large else (0, 2 * at)
            grid.addWidget(label, row, column)
            grid.addWidget(choice, row, column + 1)
        for at, field in enumerate((self.first, self.last)):
            grid.addWidget(field, len(choices), at * 3, 1, 3)
        grid.setColumnStretch(8, 1)
