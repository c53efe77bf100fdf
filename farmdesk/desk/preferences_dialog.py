"""What this computer prefers: language, formats, looks, scanner, scale, sounds and printing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.forms import Form
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.preferences_fields import (
    NamedField,
    look_form,
    number_form,
    scale_form,
    scanner_form,
    sound_form,
)
from farmdesk.desk.scale_field import scale_sentence
from farmdesk.desk.scale_link import ScaleLink
from farmdesk.desk.scanner_trial import ScannerTrial
from farmdesk.desk.station_devices import wedge_settings_of
from farmdesk.desk.wedge import WedgeSettings
from farmdesk.devices.serial_lines import PortFound, list_ports
from farmdesk.errors import FarmdeskError, NotUnderstood, Refused
from farmdesk.settings.preferences import Preferences, find_problems
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.workplace import Workplace

_ENTERS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class PreferencesDialog(QDialog):
    """Tabs of fields; `on_save(preferences)` keeps them, `on_try(preferences)` opens devices."""

    def __init__(self, now: Preferences, *, formats: Formats, scale: ScaleLink) -> None:
        super().__init__()
        self._now = now
        self._formats = formats
        self._scale = scale
        self.on_save: Callable[[Preferences], object] = lambda _new: None
        self.on_try: Callable[[Preferences], object] = lambda _new: None
        self.on_pause: Callable[[bool], object] = lambda _paused: None
        self.on_sound: Callable[[int], object] = lambda _volume: None
        self.setWindowTitle(tr("Preferences"))
        self.setAccessibleName(tr("Preferences"))
        self.tabs = QTabWidget()
        self.tabs.setUsesScrollButtons(True)
        self.tabs.setAccessibleName(tr("Groups of preferences"))
        self.forms: dict[str, Form] = {}
        self._add_forms()
        self.problem = QLabel()
        self.problem.setObjectName("problem")
        self.problem.setWordWrap(True)
        self.problem.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(18, 16, 18, 14)
        column.setSpacing(12)
        column.addWidget(self.problem)
        column.addWidget(self.tabs, 1)
        column.addLayout(self._buttons())

    # ---- building

    def _add_forms(self) -> None:
        now = self._now
        self._add_form("look", tr("&Look"), look_form(now))
        self._add_form("numbers", tr("&Numbers and paper"), number_form(now))
        self.trial = ScannerTrial(self._wedge_settings, self._pause)
        self._add_form("scanner", tr("&Scanner"), scanner_form(now, self._formats, self.trial))
        scale = scale_form(now, self._scale_trial())
        self._add_form("scale", tr("S&cale"), scale)
        hear = _left(_button(tr("Hear it"), self._hear))
        self._add_form("sound", tr("Sound and &printing"), sound_form(now, hear))
        self._show_scale_fields()
        scale.fields["scale"].changed.connect(self._show_scale_fields)

    def _add_form(self, key: str, title: str, form: Form) -> None:
        self.forms[key] = form
        form.save_asked.connect(self.try_save)
        form.cancel_asked.connect(self.reject)
        holder = QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(8, 10, 8, 8)
        column.addWidget(form)
        self.tabs.addTab(holder, title)

    def _scale_trial(self) -> QWidget:
        self.weight = QLabel(tr("Choose the scale below, then try it here."))
        self.weight.setWordWrap(True)
        self.weight.setAccessibleName(tr("What the scale shows"))
        self.try_button = _button(tr("Try this scale"), self._try_scale)
        self._scale.changed.connect(self._show_weight)
        return _left(self.try_button, self.weight)

    def _buttons(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.addStretch(1)
        self.cancel_button = _button(tr("Cancel (Esc)"), self.reject)
        self.save_button = _button(tr("Save (Ctrl+Enter)"), self.try_save)
        self.save_button.setDefault(True)
        row.addWidget(self.cancel_button)
        row.addWidget(self.save_button)
        return row

    def offer_ports(self, workplace: Workplace) -> None:
        """Look which ports this computer has, and offer them."""
        workplace.read(list_ports, then=self._show_ports, failed=self._show_no_ports)

    def offer_stocks(self, names: list[str]) -> None:
        """Offer the farm's label stocks."""
        field = self.forms["sound"].fields["label_stock"]
        if isinstance(field, NamedField):
            first = [("", tr("The first of the farm's"))]
            field.offer([*first, *((name, name) for name in names)])

    def _port_fields(self) -> list[NamedField]:
        fields = (
            self.forms["scanner"].fields["scanner_port"],
            self.forms["scale"].fields["scale_port"],
        )
        return [one for one in fields if isinstance(one, NamedField)]

    def _show_ports(self, found: tuple[PortFound, ...]) -> None:
        for field in self._port_fields():
            texts = [(one.port, f"{one.port}  ·  {one.description}") for one in found]
            field.offer([("", tr("None")), *texts])

    def _show_no_ports(self, error: FarmdeskError) -> None:
        for field in self._port_fields():
            field.set_hint(sentence_of(error))

    # ---- trying

    def _wedge_settings(self) -> WedgeSettings:
        return wedge_settings_of(self._draft() or self._now)

    def _draft(self) -> Preferences | None:
        """The preferences as the fields have them now; None while one can't be read."""
        values: dict[str, Any] = {}
        for form in self.forms.values():
            for key, field in form.fields.items():
                try:
                    values[key] = field.value()
                except NotUnderstood:
                    return None
        return self._with(values)

    def _with(self, values: dict[str, Any]) -> Preferences:
        usual = asdict(Preferences())
        given = {key: usual[key] if value is None else value for key, value in values.items()}
        return replace(self._now, **given)

    def take_scan(self, line: str) -> bool:
        """A scan by a port, or one by keys while the cursor is elsewhere, is shown."""
        self.tabs.setCurrentIndex(list(self.forms).index("scanner"))
        self.trial.show_line(line)
        return True

    def _try_scale(self) -> None:
        draft = self._draft()
        if draft is None or find_problems(draft):
            self.try_save_problems()
            return
        if draft.scale == "none" or (draft.scale == "serial" and not draft.scale_port):
            self.weight.setText(tr("Choose the scale and its port first."))
            return
        self.weight.setText(tr("Waiting for the scale …"))
        self.on_try(draft)

    def _show_weight(self) -> None:
        if self._scale.is_in_use:
            self.weight.setText(scale_sentence(self._scale, self._formats))

    def _show_scale_fields(self) -> None:
        """Only a serial scale has a port and a format."""
        form = self.forms["scale"]
        chosen = _value_of(form.fields["scale"])
        for key in ("scale_port", "scale_speed", "scale_format", "scale_terminator", "scale_comma"):
            form.fields[key].setVisible(chosen == "serial")
        self.try_button.setEnabled(chosen != "none")

    def _pause(self, is_paused: bool) -> None:
        self.on_pause(is_paused)

    def _hear(self) -> None:
        self.on_sound(int(self.forms["sound"].fields["sound_volume"].value()))

    # ---- keeping

    def try_save(self) -> None:
        """Keep what the fields say, or show the first that can't be used."""
        if not self.try_save_problems():
            draft = self._draft()
            if draft is not None:
                self.accept()
                self.on_save(draft)

    def try_save_problems(self) -> bool:
        """Show what can't be used, and go there; whether there is something."""
        for number, form in enumerate(self.forms.values()):
            if form.values() is None:
                self.tabs.setCurrentIndex(number)
                return True
        draft = self._draft()
        found = find_problems(draft) if draft is not None else ()
        for number, form in enumerate(self.forms.values()):
            here = [one for one in found if one.facts.get("field") in form.fields]
            if here:
                self.tabs.setCurrentIndex(number)
                form.show_error(Refused(*here))
                return True
        return False

    def open(self) -> None:
        """Show the dialog as large as its text needs and the screen allows."""
        screen = self.screen().availableGeometry()
        wide = max(640, self.fontMetrics().averageCharWidth() * 80)
        tall = max(520, self.fontMetrics().height() * 34)
        self.resize(min(wide, int(screen.width() * 0.95)), min(tall, int(screen.height() * 0.9)))
        super().open()
        next(iter(self.forms["look"].fields.values())).setFocus()

    def done(self, result: int) -> None:
        """Leave the keys to the scanner's recognition again."""
        self.on_pause(False)
        super().done(result)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Ctrl+Enter saves from everywhere; a plain Enter never does so by chance."""
        if event.key() in _ENTERS:
            if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
                self.try_save()
            return
        super().keyPressEvent(event)


def _value_of(field: Any) -> Any:
    try:
        return field.value()
    except NotUnderstood:
        return None


def _left(button: QPushButton, beside: QWidget | None = None) -> QWidget:
    """A button as wide as its words, with something beside it."""
    holder = QWidget()
    row = QHBoxLayout(holder)
    row.setContentsMargins(0, 0, 0, 4)
    row.addWidget(button)
    row.addWidget(beside or QWidget(), 1)
    return holder


def _button(title: str, then: Callable[[], object]) -> QPushButton:
    button = QPushButton(title)
    button.setAutoDefault(False)
    button.clicked.connect(lambda _=False: then())
    return button
