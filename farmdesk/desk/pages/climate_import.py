"""A logger's file taken in: what its columns hold is guessed, shown, changed and remembered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtWidgets import QLabel

from farmdesk.actions.climate import ImportResult, import_readings
from farmdesk.actions.logger_files import (
    Choice,
    LoggerFile,
    form_of,
    guess_choice,
    open_logger_file,
)
from farmdesk.actions.logger_rows import (
    LoggerReadings,
    RefusedValue,
    check_choice,
    read_logger_file,
    show_choice,
)
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog, ProgressDialog, ask, tell
from farmdesk.desk.fields import ChoiceField, TextField
from farmdesk.domain.catalogue import Room
from farmdesk.domain.climate import LoggerFormat
from farmdesk.errors import FarmdeskError, Refused
from farmdesk.quantities.times import find_zone, now_utc
from farmdesk.reports.climate import instant_of
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr, tr_count

FILES = tr("Tables of readings (*.csv *.txt *.tsv *.log);;All files (*)")
_NONE = -1
_SHOWN_REFUSED = 3
_REASONS = {
    "no_time": tr("no day and time"),
    "in_future": tr("lies in the future"),
    "no_number": tr("no number"),
    "out_of_range": tr("no figure of a room; sensors write such values when they fail"),
}
_ORDERS = (
    ("ymd", tr("year, month, day")),
    ("dmy", tr("day, month, year")),
    ("mdy", tr("month, day, year")),
)
_CLOCKS = (
    ("farm", tr("the farm's time, with its summer time")),
    ("standard", tr("the farm's winter time, all year round")),
    ("utc", tr("UTC")),
)
_UNITS = (("C", "°C"), ("F", "°F"))
_DECIMALS = ((".", tr("point: 18.5")), (",", tr("comma: 18,5")))


@dataclass(frozen=True)
class OpenedFile:
    """A file with what its columns seem to hold, and how it was read before, if it was."""

    file: LoggerFile
    choice: Choice
    form: LoggerFormat | None


def open_and_guess(store: FarmStore, path: Path, month_first: bool) -> OpenedFile:
    """Look at a file in a worker."""
    file = open_logger_file(path)
    with store.reading() as reading:
        known = reading.all(LoggerFormat)
    form = next((one for one in known if one.signature == file.signature), None)
    return OpenedFile(file, guess_choice(file, known, month_first=month_first), form)


class ImportDialog(FormDialog):
    """What each column holds, with the first lines as they would be read."""

    def __init__(
        self, context: DeskContext, opened: OpenedFile, rooms: Sequence[Room], room: int | None
    ) -> None:
        file = opened.file
        known = tr("A file with these headings was read before; it is read the same way again.")
        guessed = tr("Guessed from the headings and figures. Look at the first lines below.")
        super().__init__(
            tr("Read in {file}").format(file=file.path.name),
            sentence=known if opened.form is not None else guessed,
            save_title=tr("Read in"),
        )
        self._context, self._file = context, file
        self._progress: ProgressDialog | None = None
        form = opened.form
        add = self.form.add
        choices = [(one.id, one.name) for one in rooms]
        chosen = form.room if form is not None and form.room is not None else room
        add(ChoiceField("room", tr("Room"), choices, required=True, value=chosen))
        hint = tr("Tells two loggers in one room apart, such as Shelf top.")
        name = form.logger if form is not None else tr("Logger")
        add(TextField("logger", tr("Name of the logger"), hint=hint, required=True, value=name))
        self.preview = QLabel()
        self.preview.setAccessibleName(tr("The first lines as they will be read"))
        self.preview.setWordWrap(True)
        self.form.add_widget(self.preview)
        self._add_columns(opened.choice)
        self.form.changed.connect(self.show_preview)
        self.show_preview()

    def choice(self) -> Choice | None:
        """What is chosen now; None while something is not understood."""
        values = {key: field.value() for key, field in self._chosen.items()}
        return _choice_from(values)

    def show_preview(self) -> None:
        """Show the first lines as they would be read."""
        try:
            choice = self.choice()
        except FarmdeskError:
            return
        if choice is None or check_choice(self._file, choice):
            return
        zone = find_zone(self._context.formats.zone)
        lines = [self._say_line(*one) for one in show_choice(self._file, choice, zone=zone)]
        self.preview.setText("\n".join([tr("The first lines as they will be read:"), *lines]))

    def save(self, values: dict[str, Any]) -> None:
        """Read the whole file, then ask about what cannot be taken."""
        choice = _choice_from({key: values[key] for key in self._chosen})
        wrong = check_choice(self._file, choice)
        if wrong:
            self.form.show_error(Refused(*wrong))
            return
        self._set_busy(busy=True)
        text = tr("Reading {file} …").format(file=self._file.path.name)
        self._progress = ProgressDialog(text, parent=self)
        self._context.workplace.read(
            read_logger_file, self._file, choice,
            zone=find_zone(self._context.formats.zone), now_s=int(now_utc().timestamp()),
            tell=self._progress.report, is_cancelled=self._progress.is_cancelled,
            then=partial(self._read, values["room"], values["logger"], choice),
            failed=self._not_read,
        )  # fmt: skip

    # ---- inner workings

    def _add_columns(self, choice: Choice) -> None:
        columns = [(_NONE, tr("– none –")), *enumerate(self._file.titles)]
        texts = {
            "time": tr("Column with the day (and time)"),
            "clock": tr("Column with the time, if it stands apart"),
            "celsius": tr("Column with the temperature"),
            "humidity": tr("Column with the humidity"),
            "co2": tr("Column with the CO₂"),
        }
        self._chosen: dict[str, ChoiceField] = {}
        for key, text in texts.items():
            at = getattr(choice, key)
            field = ChoiceField(key, text, columns, value=_NONE if at is None else at)
            self._chosen[key] = self.form.add(field)
        for key, text, pairs in (
            ("unit", tr("Temperature in"), _UNITS),
            ("day_order", tr("Days are written"), _ORDERS),
            ("zone", tr("Its clock keeps"), _CLOCKS),
            ("decimal", tr("Decimal"), _DECIMALS),
        ):
            field = ChoiceField(key, text, pairs, required=True, value=getattr(choice, key))
            self._chosen[key] = self.form.add(field)

    def _say_line(
        self,
        second: int | None,
        celsius: float | None,
        humidity: float | None,
        co2: float | None,
    ) -> str:
        formats = self._context.formats
        when = tr("no time") if second is None else formats.instant(instant_of(second))
        warm = "–" if celsius is None else formats.temperature(Decimal(f"{celsius:.2f}"))
        damp = "–" if humidity is None else formats.percent(humidity)
        air = "–" if co2 is None else tr("{co2} ppm").format(co2=formats.number(co2))
        return f"{when}:  {warm},  {damp},  {air}"

    def _read(self, room: int, logger: str, choice: Choice, found: LoggerReadings) -> None:
        take = partial(self._take_in, room, logger, choice, found)
        if not found.refused_count:
            take()
            return
        self._end_progress()
        count = self._context.formats.count(found.refused_count, "value", "values")
        first = "; ".join(say_refused(one) for one in found.refused[:_SHOWN_REFUSED])
        text = tr("{count} cannot be taken: {first}. Take in all the others?")
        sentence = text.format(count=count, first=first)
        ask(self, sentence, yes=take, no=self._stop_asking, yes_title=tr("Take in the others"))

    def _take_in(self, room: int, logger: str, choice: Choice, found: LoggerReadings) -> None:
        progress = self._progress
        form = form_of(self._file, choice, logger=logger.strip(), room=room)
        self._context.act(
            partial(
                import_readings, room=room, logger=logger, readings=found.readings, form=form,
                is_cancelled=progress.is_cancelled if progress is not None else _never,
            ),
            then=partial(self._taken, found),
            failed=self._not_read,
            parent=self,
        )  # fmt: skip

    def _taken(self, found: LoggerReadings, result: ImportResult) -> None:
        self._end_progress()
        details = "\n".join(say_refused(one) for one in found.refused)
        self.finish_with(say_result(found, result), details)
        self._finish(result)

    def finish_with(self, sentence: str, details: str) -> None:
        """Say what came of it, with every refused value to be copied."""
        tell(self.parentWidget(), tr("Readings taken in"), sentence, details=details)

    def _not_read(self, error: FarmdeskError) -> None:
        self._end_progress()
        self._show_failure(error)

    def _end_progress(self) -> None:
        if self._progress is not None:
            self._progress.finish()
            self._progress = None


def _never() -> bool:
    return False


def say_refused(one: RefusedValue) -> str:
    """A refused value with its line and why."""
    return tr("line {line}, {column}: “{text}” ({reason})").format(
        line=one.line, column=one.column, text=one.text, reason=_REASONS[one.reason]
    )


def say_result(found: LoggerReadings, result: ImportResult) -> str:
    """What came of a file, in a few sentences."""
    parts = []
    if result.added:
        parts.append(
            tr_count(result.added, "{n} reading taken in.", "{n} readings taken in.").format(
                n=f"{result.added:,}"
            )
        )
    else:
        parts.append(tr("Nothing was added: all its readings are known."))
    if result.known and result.added:
        parts.append(tr("{known} were known already.").format(known=f"{result.known:,}"))
    if result.differing:
        text = tr("{count} say something else than those known; the ones that came first stay.")
        parts.append(text.format(count=f"{result.differing:,}"))
    if found.repeated:
        text = tr(
            "{count} lines repeat a time. Does the logger keep winter time all year? Then undo"
            " (Ctrl+Z), and read it in with that clock."
        )
        parts.append(text.format(count=f"{found.repeated:,}"))
    if found.refused_count:
        text = tr_count(
            found.refused_count,
            "{n} value was not taken; its line stands below.",
            "{n} values were not taken; their lines stand below.",
        )
        parts.append(text.format(n=f"{found.refused_count:,}"))
    return " ".join(parts)


def _choice_from(values: dict[str, Any]) -> Choice:
    columns = {
        key: None if values[key] in (_NONE, None) else int(values[key])
        for key in ("time", "clock", "celsius", "humidity", "co2")
    }
    rest = {key: values[key] for key in ("unit", "day_order", "zone", "decimal")}
    return replace(Choice(**rest), **columns)  # type: ignore[arg-type]
