"""The heat run of an inoculation day, noted while it goes on."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from farmdesk.actions.heat_runs import OUTCOMES, note_heat, record_heat
from farmdesk.desk.caution_lines import make_caution
from farmdesk.desk.fields import ChoiceField, ReadField
from farmdesk.desk.pages.inoculation_day_step import DayStep
from farmdesk.desk.pages.lab_fields import ClockField, ReadingsField, below_label
from farmdesk.quantities.percent import read_percent
from farmdesk.quantities.times import now_utc, to_iso
from farmdesk.reports.lab_days import LabDay, LabDays
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.pages.inoculation_day import InoculationDayPage

_OUTCOMES = {
    "passed": tr("passed: may be inoculated"),
    "held": tr("held: to be looked at first"),
    "failed": tr("failed: not to be used"),
}


class HeatStep(DayStep):
    """The heat run as it goes on: times, probe readings, and in the end its outcome."""

    key = "heat"
    title = tr("Heat run")
    button = tr("Keep the outcome")

    def __init__(self, page: InoculationDayPage) -> None:
        super().__init__(page)
        formats = self.context.formats
        self.form.add_widget(make_caution("pressure"))
        self.form.add_widget(self.told)
        self.now: dict[str, QPushButton] = {}
        add = self.form.add
        self._add_time("started_at", tr("Started"), tr("Started now"))
        self._add_time("hot_at", tr("At temperature"), tr("At temperature now"))
        self._add_time("ended_at", tr("Ended"), tr("Ended now"))
        add(
            ReadingsField(
                "readings", tr("Probe readings, one a line"), formats,
                hint=tr("Time, temperature, place in the load: 14:40 121 °C middle"),
            )
        )  # fmt: skip

        def read(text: str) -> Any:
            return read_percent(text, decimal_comma=formats.decimal_comma).percent

        add(ReadField("measured_percent", tr("Moisture measured, %"), read))
        self.status = add(
            ChoiceField("status", tr("Outcome"), [(one, _OUTCOMES[one]) for one in OUTCOMES])
        )
        self.form.add_widget(make_caution("hot_water", "heat_run"))
        self.note = self.add_button(tr("Note, still running"), self.note_typed)

    def _add_time(self, name: str, label: str, now_title: str) -> None:
        """A time to type, with a button beside it for the moment itself."""
        field = ClockField(name, label, self.context.formats)
        self.form.add(field)
        button = QPushButton(tr("Now"))
        button.setAccessibleName(now_title)
        button.setToolTip(now_title)
        button.clicked.connect(partial(self.note_now, name))
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(field, 1)
        row.addWidget(below_label(button), 0, Qt.AlignmentFlag.AlignTop)
        self.form.add_widget(holder)
        self.now[name] = button

    def show_day(self, days: LabDays, day: LabDay | None) -> None:
        """Show what was noted so far."""
        super().show_day(days, day)
        ready = not self.why_not()
        run = day.run if day else None
        for name, button in self.now.items():
            button.setEnabled(ready and run is not None and getattr(run, name) is None)
        self.keep.setEnabled(ready)
        self.note.setEnabled(ready)
        self.told.setText(self._tell() if ready else self.why_not())

    def why_not(self) -> str:
        """A mix is weighed before it is heated."""
        if self.day is None or self.day.run.status == "planned":
            return tr("Weigh the mix first.")
        return ""

    def note_now(self, name: str, _checked: bool = False) -> None:
        """Note that this happened just now."""
        if self.day is not None:
            noted: dict[str, Any] = {name: to_iso(now_utc())}
            self.act(partial(note_heat, run=self.day.run.id, **noted))

    def note_typed(self) -> None:
        """Note what was typed; the outcome stays open."""
        values = self.form.values()
        if values is not None and self.day is not None:
            wanted = ("started_at", "hot_at", "ended_at", "readings")
            noted = {key: values[key] for key in wanted}
            self.act(partial(note_heat, run=self.day.run.id, **noted))

    def save(self, values: dict[str, Any]) -> None:
        """Keep the outcome."""
        if self.day is None:
            return
        if values["status"] is None:
            self.form.fields["status"].show_problem(tr("Say what came of the run."))
            self.status.setFocus()
            return
        self.act(partial(record_heat, run=self.day.run.id, **values))

    def _kept(self, result: Any) -> None:
        for field in self.form.fields.values():
            field.set_value(None)
        super()._kept(result)

    def _tell(self) -> str:
        assert self.day is not None
        run, formats = self.day.run, self.context.formats
        lines = [f"{self.day.recipe}. {run.treatment}".strip()]
        titles = {
            "started_at": tr("Started: {at}"),
            "hot_at": tr("At temperature: {at}"),
            "ended_at": tr("Ended: {at}"),
        }
        for name, title in titles.items():
            if getattr(run, name) is not None:
                lines.append(title.format(at=formats.instant(getattr(run, name))))
        for one in self.day.readings:
            at, warm = formats.instant(one.at), formats.temperature(one.celsius)
            lines.append(tr("{at}: {warm} {place}").format(at=at, warm=warm, place=one.place))
        if run.status in _OUTCOMES:
            lines.append(tr("Outcome: {outcome}").format(outcome=_OUTCOMES[run.status]))
        return "\n".join(lines)
