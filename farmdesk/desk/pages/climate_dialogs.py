"""Forms of a room's climate: a reading typed by hand, and where CO₂ comes to in the end."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from functools import partial
from typing import Any

from PySide6.QtWidgets import QLabel

from farmdesk.actions.climate import change_reading, note_reading
from farmdesk.arithmetic.air import CO2_LITRES_PER_GRAM, Ventilation, find_co2, find_steady_co2
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import ChoiceField, DayField, NotesField, NumberField, ReadField
from farmdesk.domain.catalogue import Room
from farmdesk.domain.climate import RoomReading
from farmdesk.errors import FarmdeskError, NotUnderstood, problem
from farmdesk.quantities.temperature import TemperatureReading, read_temperature
from farmdesk.quantities.times import find_zone, local_time, to_iso
from farmdesk.wording.cautions import find_caution
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say_error

_OUTSIDE_PPM = Decimal(420)
_HALF_HOUR = 0.5


def read_clock(text: str) -> str:
    """A time of day such as 14:30 or 2:30 pm, as 'HH:MM'."""
    bare = text.strip().casefold().replace(".", "")
    for form in ("%H:%M", "%H%M", "%I:%M %p", "%I:%M%p", "%I %p", "%I%p"):
        try:
            return datetime.strptime(bare, form).strftime("%H:%M")  # noqa: DTZ007 - no day yet
        except ValueError:
            continue
    raise NotUnderstood(problem("clock_not_understood", text=text[:20]))


class ReadingDialog(FormDialog):
    """One reading of a room, typed in the units that are read there."""

    def __init__(
        self,
        context: DeskContext,
        rooms: Sequence[Room],
        room: int | None,
        now: RoomReading | None = None,
    ) -> None:
        title = tr("Type a reading") if now is None else tr("Correct a reading")
        super().__init__(title, sentence=tr("Leave out what was not read."), save_title=tr("Save"))
        self._context, self._now = context, now
        self._formats = formats = context.formats
        add = self.form.add
        choices = [(one.id, one.name) for one in rooms]
        self.room = add(ChoiceField("room", tr("Room"), choices, required=True, value=room))
        unit = f"°{formats.temperature_unit}"
        hint = tr("{unit}, or with its unit, such as 65 F.").format(unit=unit)
        self.celsius = add(ReadField("celsius", tr("Temperature"), self._read, hint=hint))
        self.humidity = add(NumberField("humidity", tr("Humidity, %"), formats, digits=1))
        self.co2 = add(NumberField("co2", tr("CO₂, ppm"), formats))
        self.day = add(DayField("day", tr("Day"), formats, value=tr("today")))
        hint = tr("Empty: now. Such as 14:30.")
        self.clock = add(ReadField("clock", tr("Time"), read_clock, hint=hint))
        add(NotesField("note", tr("Note")))
        if now is not None:
            self._fill(now)
        self.celsius.setFocus()

    def save(self, values: dict[str, Any]) -> None:
        """Keep the reading."""
        day, clock = values.pop("day"), values.pop("clock")
        reading: TemperatureReading | None = values["celsius"]
        typed = self._typed()
        values["celsius"] = None if reading is None else reading.celsius
        values["at"] = self._instant(day, clock)
        if self._now is not None:
            self.run(self._context.act, partial(change_reading, reading=self._now.id, **values))
        else:
            self.run(self._context.act, partial(note_reading, typed=typed, **values))

    def _read(self, text: str) -> TemperatureReading:
        return read_temperature(
            text,
            usual_unit=self._formats.temperature_unit,
            decimal_comma=self._formats.decimal_comma,
        )

    def _typed(self) -> str:
        reading = self.celsius.value() if self.celsius.text() else None
        parts = [f"{reading.typed.rstrip('CFcf° ')} {reading.unit}" if reading else ""]
        parts.append(f"{self.humidity.text()} %" if self.humidity.text() else "")
        parts.append(tr("{text} ppm").format(text=self.co2.text()) if self.co2.text() else "")
        return ", ".join(filter(None, parts))

    def _instant(self, day: str | None, clock: str | None) -> str | None:
        if clock is None and (day is None or self._now is None):
            return None if self._now is None else self._now.at
        local = local_time(to_iso(datetime.now().astimezone()), self._formats.zone)
        wanted = f"{day or local.date().isoformat()}T{clock or local.strftime('%H:%M')}"
        zone = find_zone(self._formats.zone)
        return to_iso(datetime.fromisoformat(wanted).replace(tzinfo=zone))

    def _fill(self, now: RoomReading) -> None:
        local = local_time(now.at, self._formats.zone)
        unit = self._formats.temperature_unit
        self.form.set_values(
            {
                "celsius": None if now.celsius is None else self._formats.temperature(now.celsius),
                "humidity": now.humidity,
                "co2": now.co2,
                "day": local.date().isoformat(),
                "clock": local.strftime("%H:%M"),
                "note": now.note,
            }
        )
        self.celsius.set_hint(tr("It was typed as {text}.").format(text=now.typed or unit))


class Co2Dialog(FormDialog):
    """Where CO₂ comes to in the end, from fresh air and what the crop gives off."""

    def __init__(self, context: DeskContext) -> None:
        super().__init__(
            tr("CO₂ from ventilation and crop"),
            sentence=tr(
                "A fully mixed room: in the end, outside air plus what the crop gives off over"
                " the fresh air. It plans fans; it is no alarm."
            ),
            save_title=tr("Work out"),
        )
        formats = self._formats = context.formats
        add = self.form.add
        number = partial(_number, formats)
        add(number("volume", tr("Room, m³"), "30"))
        add(number("changes", tr("Air changes in an hour"), "2"))
        add(number("outside", tr("CO₂ of outside air, ppm"), str(_OUTSIDE_PPM)))
        add(number("start", tr("CO₂ in the room now, ppm"), str(_OUTSIDE_PPM)))
        add(number("crop", tr("Mushrooms and blocks that breathe, kg"), "20"))
        hint = tr(
            "Mushrooms off the block: 28 to 44 at 0 °C, 100 at 10 °C, 264 to 316 at 20 °C"
            " (UC Davis, for Agaricus). For blocks measure your own."
        )
        add(number("rate", tr("CO₂ of one kg, mg an hour"), "100", hint=hint))
        self.answer = QLabel()
        self.answer.setObjectName("group")
        self.answer.setWordWrap(True)
        self.answer.setAccessibleName(tr("Answer"))
        caution = QLabel(f"⚠ {find_caution('co2').line}")
        caution.setObjectName("problem")
        caution.setWordWrap(True)
        for one in (self.answer, caution):
            self.form.add_widget(one)
        self.form.changed.connect(self._work_out)
        self._work_out()

    def save(self, values: dict[str, Any]) -> None:
        """Work it out and say so."""
        self.answer.setText(self._say(values))

    def _work_out(self) -> None:
        try:
            values = {key: field.value() for key, field in self.form.fields.items()}
        except NotUnderstood:
            return
        self.answer.setText(self._say(values))

    def _say(self, values: dict[str, Any]) -> str:
        given = {key: float(value) for key, value in values.items() if value is not None}
        if len(given) < len(values):
            return tr("Fill all fields to see the answer.")
        litres = given["crop"] * given["rate"] / 1_000 * CO2_LITRES_PER_GRAM
        room = Ventilation(
            volume_m3=given["volume"],
            fresh_air_m3_per_h=given["volume"] * given["changes"],
            outside_ppm=given["outside"],
            co2_m3_per_h=litres / 1_000,
        )
        try:
            steady = find_steady_co2(room)
            soon = find_co2(room, start_ppm=given["start"], hours=_HALF_HOUR)
        except FarmdeskError as error:
            return f"⚠ {say_error(error)}"
        number = self._formats.number
        text = tr(
            "{steady} ppm in the end; {soon} ppm after half an hour. The crop gives off {litres} L"
            " of CO₂ an hour, and {air} m³ of fresh air come in."
        )
        return text.format(
            steady=number(steady), soon=number(soon), litres=number(litres, 1),
            air=number(room.fresh_air_m3_per_h),
        )  # fmt: skip


def _number(formats: Formats, key: str, label: str, value: str, hint: str = "") -> NumberField:
    return NumberField(key, label, formats, digits=2, required=True, value=value, hint=hint)
