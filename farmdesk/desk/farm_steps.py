"""Five questions to begin a farm: name, units, money, language, and whether the scanner works."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any
from zoneinfo import available_timezones

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)
from tzlocal import get_localzone_name

from farmdesk.desk.code_picture import CodePicture
from farmdesk.desk.fields import ChoiceField, TextField
from farmdesk.desk.forms import Form
from farmdesk.desk.locale_choices import (
    currency_choices,
    locale_choices,
    mass_choices,
    paper_choices,
    temperature_choices,
    usual_currency,
)
from farmdesk.desk.messages import field_of
from farmdesk.desk.scanner_trial import KeyRun, ScannerTrial, suitable_gap
from farmdesk.desk.station_devices import wedge_settings_of
from farmdesk.desk.wedge import WedgeSettings
from farmdesk.domain.codes import code_of, make_id
from farmdesk.errors import FarmdeskError
from farmdesk.settings.preferences import Preferences, usual_preferences
from farmdesk.wording.language import LANGUAGES, tr

OF_STATION = ("language", "paper")
"""Answers that this computer keeps; all others are the farm's."""
SAMPLE = code_of(make_id("card", 9_999_999))
_ENTERS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class FarmSteps(QDialog):
    """One question after the other; Enter goes on, `on_begin(farm, preferences)` begins."""

    def __init__(self, now: Preferences) -> None:
        super().__init__()
        self._now = now
        self._usual = usual_preferences()
        self.on_begin: Callable[[dict[str, Any], Preferences], object] = lambda _f, _p: None
        self.on_pause: Callable[[bool], object] = lambda _paused: None
        self.setWindowTitle(tr("A new farm"))
        self.setAccessibleName(tr("A new farm, in five questions"))
        self.forms: list[Form] = []
        self.steps = QStackedWidget()
        self.question = QLabel()
        self.question.setObjectName("title")
        self.question.setWordWrap(True)
        self.count = QLabel()
        self.count.setObjectName("muted")
        self._questions: list[str] = []
        self._make_steps()
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 20, 24, 16)
        column.setSpacing(12)
        column.addWidget(self.count)
        column.addWidget(self.question)
        column.addWidget(self.steps, 1)
        column.addLayout(self._buttons())
        self._go(0)

    # ---- the questions

    def _make_steps(self) -> None:
        self._add(tr("What is the farm called, and where is it?"), self._name_fields())
        self._add(tr("What do you weigh, measure and print with?"), self._unit_fields())
        self._add(tr("Which money do you use?"), self._money_fields())
        self._add(tr("Which language, and how are dates and numbers written?"),
                  self._language_fields())  # fmt: skip
        self._add(tr("Does the scanner work?"), ())
        self.trial = ScannerTrial(self._wedge_settings, self._pause)
        self.trial.line.run_changed.connect(self._fit_gap)
        told = QLabel(
            tr("Put the cursor in the field and scan this code, or any other bar code at hand "
               "(laser scanners do not read screens). No scanner? Just begin: codes can be typed "
               "and read from pictures.")
        )  # fmt: skip
        told.setWordWrap(True)
        for part in (told, CodePicture(SAMPLE), self.trial):
            self.forms[-1].add_widget(part)

    def _add(self, question: str, fields: tuple[ChoiceField | TextField, ...]) -> None:
        form = Form()
        for field in fields:
            form.add(field)
        form.save_asked.connect(self.next)
        form.cancel_asked.connect(self.reject)
        self.forms.append(form)
        self._questions.append(question)
        self.steps.addWidget(form)

    def _name_fields(self) -> tuple[ChoiceField | TextField, ...]:
        zones = sorted(available_timezones())
        zone = get_localzone_name() or "UTC"
        return (
            TextField("name", tr("Name of the farm"), required=True),
            ChoiceField(
                "zone", tr("Time zone"), [(one, one.replace("_", " ")) for one in zones],
                required=True, value=zone if zone in zones else "UTC",
                hint=tr("Type a part of it, such as the next large city."),
            ),
        )  # fmt: skip

    def _unit_fields(self) -> tuple[ChoiceField | TextField, ...]:
        usual = self._usual
        return (
            ChoiceField("mass_unit", tr("Weights in"), mass_choices(), required=True,
                        value=usual.mass_unit),
            ChoiceField("temperature_unit", tr("Temperatures in"), temperature_choices(),
                        required=True, value=usual.temperature_unit),
            ChoiceField("paper", tr("Paper"), paper_choices(), required=True, value=usual.paper),
        )  # fmt: skip

    def _money_fields(self) -> tuple[ChoiceField | TextField, ...]:
        usual = usual_currency(self._usual.locale)
        return (
            ChoiceField("currency", tr("Money"), currency_choices(usual), required=True,
                        value=usual),
        )  # fmt: skip

    def _language_fields(self) -> tuple[ChoiceField | TextField, ...]:
        return (
            ChoiceField(
                "language", tr("Language"), list(LANGUAGES.items()), required=True,
                value=self._now.language,
                hint=tr("Farmdesk speaks another language from its next start on."),
            ),
            ChoiceField(
                "locale", tr("Dates and numbers as in"), locale_choices(self._usual.locale),
                required=True, value=self._usual.locale,
            ),
        )  # fmt: skip

    # ---- going on and back

    def _buttons(self) -> QHBoxLayout:
        self.cancel_button = self._button(tr("Cancel (Esc)"), self.reject)
        self.back_button = self._button(tr("&Back"), self.back)
        self.next_button = self._button(tr("&Next (Enter)"), self.next)
        self.next_button.setDefault(True)
        row = QHBoxLayout()
        row.addWidget(self.cancel_button)
        row.addStretch(1)
        row.addWidget(self.back_button)
        row.addWidget(self.next_button)
        return row

    def _button(self, title: str, then: Callable[[], object]) -> QPushButton:
        button = QPushButton(title)
        button.setAutoDefault(False)
        button.clicked.connect(lambda _=False: then())
        return button

    def next(self) -> None:
        """To the next question, if this one is answered; after the last the farm is begun."""
        at = self.steps.currentIndex()
        if self.forms[at].values() is None:
            return
        if at + 1 < len(self.forms):
            self._go(at + 1)
        elif self.next_button.isEnabled():
            self.next_button.setEnabled(False)
            self.on_begin(*self.answers())

    def back(self) -> None:
        """To the question before."""
        self._go(max(0, self.steps.currentIndex() - 1))

    def answers(self) -> tuple[dict[str, Any], Preferences]:
        """What the farm is begun with, and what this computer keeps."""
        values: dict[str, Any] = {}
        for form in self.forms:
            values.update(form.values() or {})
        own = {key: values.pop(key) for key in OF_STATION}
        return values, replace(self._now, **own)

    def show_error(self, error: FarmdeskError) -> None:
        """Go to the question that the error is about, and say it there."""
        self.next_button.setEnabled(True)
        names = {field_of(one) for one in error.problems}
        for number, form in enumerate(self.forms):
            if names & set(form.fields):
                self._go(number)
                form.show_error(error)
                return
        self.forms[self.steps.currentIndex()].show_error(error)

    def _go(self, at: int) -> None:
        self.steps.setCurrentIndex(at)
        self.question.setText(self._questions[at])
        count = tr("Question {n} of {all}").format(n=at + 1, all=len(self.forms))
        self.count.setText(count)
        self.steps.setAccessibleName(f"{count}. {self._questions[at]}")
        self.back_button.setEnabled(at > 0)
        is_last = at + 1 == len(self.forms)
        self.next_button.setText(tr("&Begin (Ctrl+Enter)") if is_last else tr("&Next (Enter)"))
        fields: list[QWidget] = [*self.forms[at].fields.values()]
        (fields[0] if fields else self.trial).setFocus()

    # ---- the scanner

    def _wedge_settings(self) -> WedgeSettings:
        return wedge_settings_of(self._now)

    def _pause(self, is_paused: bool) -> None:
        self.on_pause(is_paused)

    def _fit_gap(self, run: KeyRun) -> None:
        """A scanner that is slower than usual is known from now on."""
        gap = suitable_gap(run)
        if run.end and gap is not None and gap > self._now.scanner_gap_ms:
            self._now = replace(self._now, scanner_gap_ms=gap)
            self.trial.show_run(run)

    def take_scan(self, line: str) -> bool:
        """A scan before the last question is no answer; on the last it is what is wanted."""
        if self.steps.currentIndex() + 1 == len(self.forms):
            self.trial.show_line(line)
        return True

    def open(self) -> None:
        """Show the dialog as large as its text needs and the screen allows."""
        screen = self.screen().availableGeometry()
        wide = max(560, self.fontMetrics().averageCharWidth() * 70)
        tall = max(460, self.fontMetrics().height() * 28)
        self.resize(min(wide, int(screen.width() * 0.95)), min(tall, int(screen.height() * 0.9)))
        super().open()
        self._go(0)

    def done(self, result: int) -> None:
        """Leave the keys to the scanner's recognition again."""
        self.on_pause(False)
        super().done(result)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Enter and Ctrl+Enter go on; on the scanner's question only Ctrl+Enter does."""
        if event.key() in _ENTERS:
            is_control = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            if is_control or self.steps.currentIndex() + 1 < len(self.forms):
                self.next()
            return
        super().keyPressEvent(event)
