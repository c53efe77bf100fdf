"""A logger's file read line by line: readings, and each value that cannot be one, by its line."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from farmdesk.actions.climate import COLDEST_C, LEAST_PPM, MOST_PPM, WARMEST_C
from farmdesk.actions.logger_files import Choice, LoggerFile
from farmdesk.actions.logger_times import TimeReader
from farmdesk.arithmetic.packed_readings import Readings, make_readings
from farmdesk.domain.codes import shown
from farmdesk.errors import Problem, Refused, problem

Tell = Callable[[int, int], None]
MOST_TOLD = 1_000
"""So many refused values are kept with their lines; more are only counted."""
_TELL_EACH = 5_000
_TOO_DAMP = 105.0
_MISSING = frozenset({"", "-", "--", "---", "nan", "n/a", "na", "null", "none", "nodata", "#n/a"})
_THOUSANDS = {
    mark: re.compile(f"(?<=[0-9]){re.escape(mark)}(?=[0-9]{{3}}(?![0-9]))") for mark in ".,"
}
_UNITS = re.compile(r"(?:°\s?[CF]|℃|℉|%\s?rH|%|ppm|[CF])\s*$", re.IGNORECASE)


@dataclass(frozen=True)
class RefusedValue:
    """One value that was not taken: its line in the file, its column, and why."""

    line: int
    column: str
    text: str
    reason: str


@dataclass(frozen=True)
class LoggerReadings:
    """What a file holds: readings in the order of time, and what was refused of it.

    `lines` are lines with readings looked at, `repeated` those whose second came twice.
    """

    readings: Readings
    lines: int
    repeated: int
    refused: tuple[RefusedValue, ...]
    refused_count: int


def check_choice(file: LoggerFile, choice: Choice) -> list[Problem]:
    """What is missing or chosen twice among the columns."""
    columns = choice.columns()
    found = []
    if "time" not in columns:
        found.append(problem("logger_time_missing", field="time"))
    if not set(columns) & {"celsius", "humidity", "co2"}:
        found.append(problem("logger_figure_missing", field="celsius"))
    taken: set[int] = set()
    for part, at in columns.items():
        if at in taken:
            title = file.titles[at] if at < len(file.titles) else str(at + 1)
            found.append(problem("logger_column_twice", field=part, column=title))
        taken.add(at)
    return found


def read_logger_file(
    file: LoggerFile,
    choice: Choice,
    *,
    zone: ZoneInfo,
    now_s: int,
    tell: Tell = lambda _done, _total: None,
    is_cancelled: Callable[[], bool] = lambda: False,
) -> LoggerReadings:
    """Read all lines; `now_s` is the second now, after which nothing can have been read.

    Raises Refused for a wrong choice, a file without readings, and when it was cancelled.
    """
    found = check_choice(file, choice)
    if found:
        raise Refused(*found)
    work = _Work(file, choice, zone, now_s)
    total = file.text.count("\n")
    reader = csv.reader(io.StringIO(file.text), delimiter=file.delimiter)
    for row in _rows(file, reader):
        if work.lines % _TELL_EACH == 0:
            tell(reader.line_num, total)
            if is_cancelled():
                raise Refused(problem("logger_import_stopped", file=file.path.name))
        work.take(reader.line_num, row)
    if not work.rows:
        raise Refused(problem("logger_file_no_readings", file=file.path.name))
    readings = make_readings(work.rows)
    return LoggerReadings(
        readings, work.lines, len(work.rows) - len(readings), tuple(work.refused), work.count
    )


def show_choice(
    file: LoggerFile, choice: Choice, *, zone: ZoneInfo, rows: int = 5
) -> list[tuple[int | None, float | None, float | None, float | None]]:
    """The first lines as they would be read: (second, Celsius, percent, ppm), None for unread."""
    work = _Work(file, choice, zone, 1 << 40)
    return [work.read(0, row) for row in file.sample[:rows]]


def _rows(file: LoggerFile, reader: Any) -> Iterator[list[str]]:
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error:
            continue
        if reader.line_num >= file.first_line and any(one.strip() for one in row):
            yield row


class _Work:
    """One file being read: rows that are good, and values that are not."""

    def __init__(self, file: LoggerFile, choice: Choice, zone: ZoneInfo, now_s: int) -> None:
        self._titles = file.titles
        self._choice = choice
        self._times = TimeReader(choice.day_order, choice.zone, zone)
        self._now_s = now_s
        self.lines = 0
        self.rows: list[tuple[int, float | None, float | None, float | None]] = []
        self.refused: list[RefusedValue] = []
        self.count = 0

    def take(self, line: int, row: Sequence[str]) -> None:
        """Read one line and keep what is good of it."""
        self.lines += 1
        second, *figures = self.read(line, row)
        if second is not None and any(one is not None for one in figures):
            self.rows.append((second, figures[0], figures[1], figures[2]))

    def read(
        self, line: int, row: Sequence[str]
    ) -> tuple[int | None, float | None, float | None, float | None]:
        """One line as (second, Celsius, percent, ppm); what is refused is told and None."""
        second = self._time(line, row)
        if second is None:
            return None, None, None, None
        return (
            second,
            self._celsius(line, row),
            self._humidity(line, row),
            self._co2(line, row),
        )

    def _time(self, line: int, row: Sequence[str]) -> int | None:
        at, clock = self._choice.time, self._choice.clock
        text = _cell(row, at)
        if clock is None:
            second = self._times.read(text)
        else:
            second = self._times.read_parts(text, _cell(row, clock))
            text = f"{text} {_cell(row, clock)}"
        if second is None:
            self._refuse(line, at, text, "no_time")
        elif second > self._now_s:
            self._refuse(line, at, text, "in_future")
            return None
        return second

    def _celsius(self, line: int, row: Sequence[str]) -> float | None:
        value = self._number(line, row, self._choice.celsius)
        if value is None:
            return None
        celsius = (value - 32) / 1.8 if self._choice.unit == "F" else value
        if COLDEST_C <= celsius <= WARMEST_C:
            return celsius
        self._refuse(line, self._choice.celsius, f"{value:g}", "out_of_range")
        return None

    def _humidity(self, line: int, row: Sequence[str]) -> float | None:
        value = self._number(line, row, self._choice.humidity)
        # A sensor in saturated air often shows a little over 100: common practice, no source.
        if value is None or 0 < value <= 100:
            return value
        if 100 < value <= _TOO_DAMP:
            return 100.0
        self._refuse(line, self._choice.humidity, f"{value:g}", "out_of_range")
        return None

    def _co2(self, line: int, row: Sequence[str]) -> float | None:
        value = self._number(line, row, self._choice.co2)
        if value is None or LEAST_PPM <= value <= MOST_PPM:
            return value
        self._refuse(line, self._choice.co2, f"{value:g}", "out_of_range")
        return None

    def _number(self, line: int, row: Sequence[str], at: int | None) -> float | None:
        text = _cell(row, at)
        if at is None or text.casefold() in _MISSING:
            return None
        try:
            value = float(_plain_number(text, self._choice.decimal))
        except ValueError:
            self._refuse(line, at, text, "no_number")
            return None
        return value if np.isfinite(value) else None

    def _refuse(self, line: int, at: int | None, text: str, reason: str) -> None:
        self.count += 1
        if len(self.refused) < MOST_TOLD:
            title = self._titles[at] if at is not None and at < len(self._titles) else ""
            self.refused.append(RefusedValue(line, title, shown(text), reason))


def _cell(row: Sequence[str], at: int | None) -> str:
    return row[at].strip() if at is not None and at < len(row) else ""


def _plain_number(text: str, decimal: str) -> str:
    """A figure without its unit and the marks between thousands, with a decimal point."""
    bare = _UNITS.sub("", text).strip().replace("−", "-")
    if decimal == ",":
        return _THOUSANDS["."].sub("", bare).replace(",", ".")
    return _THOUSANDS[","].sub("", bare)
