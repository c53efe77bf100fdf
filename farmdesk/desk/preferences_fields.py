"""The fields of the preferences, grouped as on the tabs of their dialog."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrinterInfo
from PySide6.QtWidgets import QLabel, QSlider, QWidget

from farmdesk.desk.fields import CheckField, ChoiceField, Field, NumberField, TextField
from farmdesk.desk.forms import Form
from farmdesk.desk.locale_choices import (
    locale_choices,
    mass_choices,
    paper_choices,
    temperature_choices,
)
from farmdesk.settings.preferences import SERIAL_FORMATS, Preferences
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import LANGUAGES, tr

AS_FARM = ""
SPEEDS = (1200, 2400, 4800, 9600, 19_200, 38_400, 57_600, 115_200)
SCALES_OF_TEXT = (80, 100, 125, 150, 175, 200)


class VolumeField(Field):
    """A slider from silence to full volume. `value()` is 0 to 100."""

    def __init__(self, key: str, label: str, *, value: int, hint: str = "") -> None:
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(0, 100)
        self.slider.setPageStep(10)
        self.slider.setSingleStep(5)
        self.slider.setMinimumHeight(40)
        self.percent = QLabel()
        super().__init__(key, label, self.slider, hint=hint)
        column = self.layout()
        if column is not None:
            column.addWidget(self.percent)
        self.slider.valueChanged.connect(self._moved)
        self.set_value(value)
        self._moved(value)

    def value(self) -> int:
        """Percent of full volume."""
        return self.slider.value()

    def set_value(self, value: Any) -> None:
        """Move the slider."""
        self.slider.setValue(int(value))

    def _moved(self, value: int) -> None:
        self.percent.setText(tr("{percent} %").format(percent=value))
        self.changed.emit()


class NamedField(ChoiceField):
    """One of the names that were found, or another one that is typed. `value()` is str."""

    def value(self) -> str:
        """The name chosen or typed; '' for none."""
        text = self.combo.currentText().strip()
        at = self.combo.currentIndex()
        if at >= 0 and text == self.combo.itemText(at):
            return str(self.combo.itemData(at))
        return text

    def set_value(self, value: Any) -> None:
        """Choose a name; one that is not offered is shown as typed."""
        super().set_value(value)
        if value and self.combo.currentIndex() < 0:
            self.combo.setEditText(str(value))

    def offer(self, names: list[tuple[str, str]]) -> None:
        """Offer these names; what is shown stays."""
        now = self.value()
        self.set_choices(names)
        self.set_value(now)


def look_form(now: Preferences) -> Form:
    """Language, colours, text and this computer's name."""
    form = Form()
    form.add(
        ChoiceField(
            "language", tr("Language"), list(LANGUAGES.items()), required=True, value=now.language,
            hint=tr("Farmdesk speaks another language from its next start on."),
        )
    )  # fmt: skip
    themes = [
        ("system", tr("As the computer")), ("light", tr("Light")), ("dark", tr("Dark")),
        ("contrast", tr("High contrast")),
    ]  # fmt: skip
    form.add(ChoiceField("theme", tr("Colours"), themes, required=True, value=now.theme))
    sizes = sorted({*SCALES_OF_TEXT, now.text_scale})
    texts = [(one, tr("{percent} %").format(percent=one)) for one in sizes]
    form.add(ChoiceField("text_scale", tr("Text size"), texts, required=True, value=now.text_scale))
    form.add(
        TextField(
            "station", tr("Name of this station"), value=now.station, placeholder="desk",
            hint=tr("Acts carry it in the day book. Give each computer another name; a wall card "
                    "counts for its own station only."),
        )
    )  # fmt: skip
    return form


def number_form(now: Preferences) -> Form:
    """Number formats, units and paper; each may be the farm's."""
    form = Form()
    as_farm = (AS_FARM, tr("As the farm has it"))
    own = tr("Only how this computer shows and reads; the farm's records stay the same.")
    form.add(
        NamedField(
            "locale", tr("Dates and numbers as in"), [as_farm, *locale_choices(now.locale)],
            value=now.locale, hint=own,
        )
    )  # fmt: skip
    masses = [as_farm, *mass_choices()]
    form.add(ChoiceField("mass_unit", tr("Weights in"), masses, value=now.mass_unit))
    warmth = [as_farm, *temperature_choices()]
    form.add(
        ChoiceField("temperature_unit", tr("Temperatures in"), warmth, value=now.temperature_unit)
    )
    form.add(ChoiceField("paper", tr("Paper"), paper_choices(), required=True, value=now.paper))
    return form


def scanner_form(now: Preferences, formats: Formats, trial: QWidget) -> Form:
    """How the scanner sends, by keyboard or by a port, under the place to try it."""
    form = Form()
    form.add_widget(trial)
    form.add(
        NumberField(
            "scanner_gap_ms", tr("Longest gap between keys, ms"), formats,
            required=True, value=now.scanner_gap_ms,
            hint=tr("Faster keys are a scan, slower ones are typing. Usual: 35."),
        )
    )  # fmt: skip
    ends = [("either", tr("Enter or Tab")), ("enter", tr("Enter")), ("tab", tr("Tab"))]
    form.add(
        ChoiceField(
            "scanner_terminator", tr("A scan ends with"), ends, required=True,
            value=now.scanner_terminator,
        )
    )  # fmt: skip
    form.add(
        TextField(
            "scanner_prefix", tr("Prefix"), value=now.scanner_prefix,
            hint=tr("What the scanner is set to send before each code; empty for nothing."),
        )
    )  # fmt: skip
    form.add(TextField("scanner_suffix", tr("Suffix"), value=now.scanner_suffix))
    form.add(_port_field("scanner_port", tr("Port, for a scanner on a serial port"),
                         now.scanner_port))  # fmt: skip
    form.add(_speed_field("scanner_speed", now.scanner_speed))
    return form


def scale_form(now: Preferences, trial: QWidget) -> Form:
    """Which scale, and how it speaks, under the place to try it."""
    form = Form()
    form.add_widget(trial)
    kinds = [
        ("none", tr("No scale: weights are typed")),
        ("serial", tr("A scale on a serial or USB-serial port")),
        ("usb", tr("A USB scale (HID)")),
    ]
    form.add(ChoiceField("scale", tr("Scale"), kinds, required=True, value=now.scale))
    form.add(_port_field("scale_port", tr("Port"), now.scale_port))
    form.add(_speed_field("scale_speed", now.scale_speed))
    shapes = [(one, one) for one in SERIAL_FORMATS]
    form.add(
        ChoiceField(
            "scale_format", tr("Data format"), shapes, required=True, value=now.scale_format,
            hint=tr("Data bits, parity (N none, E even, O odd) and stop bits, from its manual."),
        )
    )  # fmt: skip
    ends = [
        ("any", tr("CR, LF or both")), ("cr", "CR"), ("lf", "LF"), ("crlf", "CR LF"),
        ("etx", "ETX"),
    ]  # fmt: skip
    form.add(
        ChoiceField(
            "scale_terminator", tr("A line ends with"), ends, required=True,
            value=now.scale_terminator,
        )
    )  # fmt: skip
    form.add(CheckField("scale_comma", tr("Decimal comma (1,234 kg)"), value=now.scale_comma))
    return form


def sound_form(now: Preferences, hear: QWidget) -> Form:
    """Sounds, labels, printer and the folder of pictures."""
    form = Form()
    form.add(VolumeField("sound_volume", tr("Volume of the answers' sounds"),
                         value=now.sound_volume))  # fmt: skip
    form.add_widget(hear)
    form.add(CheckField("is_muted", tr("Sounds off"), value=now.is_muted))
    form.add(
        NamedField(
            "label_stock", tr("Usual label stock"), [("", tr("The first of the farm's"))],
            value=now.label_stock,
        )
    )  # fmt: skip
    printers = [("", tr("The computer's usual one"))]
    printers += [(one, one) for one in QPrinterInfo.availablePrinterNames()]
    form.add(NamedField("printer", tr("Label printer"), printers, value=now.printer))
    form.add(
        TextField(
            "picture_folder", tr("Folder that is watched for pictures of codes"),
            value=now.picture_folder,
            hint=tr("For example the folder that a phone copies its photos to. Empty: none."),
        )
    )  # fmt: skip
    return form


def _port_field(key: str, label: str, value: str) -> NamedField:
    field = NamedField(key, label, [("", tr("None"))], value=value)
    field.set_hint(tr("Choose a port that was found, or type its name, such as COM3."))
    return field


def _speed_field(key: str, value: int) -> ChoiceField:
    speeds = sorted({*SPEEDS, value})
    texts = [(one, str(one)) for one in speeds]
    return ChoiceField(key, tr("Speed, bits a second"), texts, required=True, value=value)
