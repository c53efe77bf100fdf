"""Logger files before they are read: encoding, delimiter, heading, and which column holds what.

Any table of readings as text is taken: with or without a heading, with lines about the logger
above it, in UTF-8, UTF-16 or Windows-1252, with commas, semicolons, tabs or bars.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from farmdesk.actions.logger_times import DayOrder, find_time, guess_day_order
from farmdesk.domain.climate import LoggerFormat
from farmdesk.errors import Refused, problem

PARTS = ("time", "clock", "celsius", "humidity", "co2")
"""What a column can hold; `clock` is the time of day where it has a column of its own."""
MOST_BYTES = 200_000_000
_LOOKED_AT = 400
_DELIMITERS = ";\t|,"
_WORDS: Mapping[str, re.Pattern[str]] = {
    "time": re.compile(r"date|time|datum|fecha|zeit|stamp|moment", re.IGNORECASE),
    "clock": re.compile(r"^(?:time|zeit|uhrzeit|hora|heure|clock)\b", re.IGNORECASE),
    "celsius": re.compile(r"temp|°\s?[cf]\b|celsius|fahrenheit|^t\b", re.IGNORECASE),
    "humidity": re.compile(r"hum|\brh\b|%\s?rh|feucht|hygro|r\.h\.|\brf\b", re.IGNORECASE),
    "co2": re.compile(r"co.?2|co₂|carbon|kohlen|\bppm\b", re.IGNORECASE),
}
_NOT_MEANT = re.compile(
    r"dew|tau|roc[ií]o|ros[ée]e|vpd|absol|abs\.|battery|batt|alarm|wet.?bulb|heat.?index",
    re.IGNORECASE,
)
_FAHRENHEIT = re.compile(r"°\s?f\b|\(f\)|fahrenheit|_f\b|\[f\]", re.IGNORECASE)
_COMMA_NUMBER = re.compile(r"[-+]?[0-9]+,[0-9]+")
_NUMBER = re.compile(r"[-+]?[0-9]+(?:[.,][0-9]+)?(?:\s?(?:°?\s?[CF]|%(?:\s?RH)?|ppm))?")
_LIKELY: Mapping[str, tuple[float, float]] = {"celsius": (-30, 60), "humidity": (5, 100)}


@dataclass(frozen=True)
class LoggerFile:
    """A file as a table: its headings, its first data rows, and the line of the first of them."""

    path: Path
    text: str
    delimiter: str
    headings: tuple[str, ...]
    first_line: int
    sample: tuple[tuple[str, ...], ...]

    @property
    def signature(self) -> str:
        """What files of the same make have in common: their headings, or how many columns."""
        if any(self.headings):
            return "|".join(one.strip().casefold() for one in self.headings)[:500]
        return f"{len(self.sample[0])} columns" if self.sample else ""

    @property
    def titles(self) -> list[str]:
        """A title for each column, also where the file has none."""
        width = max((len(one) for one in self.sample), default=0)
        given = [*self.headings, *("" for _ in range(width))][:width]
        return [one.strip() or f"#{at + 1}" for at, one in enumerate(given)]


@dataclass(frozen=True)
class Choice:
    """Which column holds what (None: none), and how its figures and days are to be read."""

    time: int | None = None
    clock: int | None = None
    celsius: int | None = None
    humidity: int | None = None
    co2: int | None = None
    unit: str = "C"
    day_order: DayOrder = "ymd"
    zone: str = "farm"
    decimal: str = "."

    def columns(self) -> dict[str, int]:
        """The columns that were chosen, by what they hold."""
        return {one: at for one in PARTS if (at := getattr(self, one)) is not None}


def open_logger_file(path: Path) -> LoggerFile:
    """Look at a file; raises Refused when it can't be read or holds no readings."""
    text = _read_text(path)
    head = "".join(io.StringIO(text).readlines()[:_LOOKED_AT])
    if not head.strip():
        raise Refused(problem("logger_file_empty", file=path.name))
    best: tuple[int, LoggerFile] | None = None
    for delimiter in _DELIMITERS:
        found = _look(path, text, head, delimiter)
        if found is not None:
            worth = len(found.sample) * min(len(found.sample[0]), 12)
            if best is None or worth > best[0]:
                best = worth, found
    if best is None:
        raise Refused(problem("logger_file_no_readings", file=path.name))
    return best[1]


def guess_choice(
    file: LoggerFile, known: Sequence[LoggerFormat] = (), *, month_first: bool = False
) -> Choice:
    """What the columns seem to hold; as it was chosen before for a file with these headings."""
    for one in known:
        if one.signature == file.signature:
            return choice_of(one)
    guess = _guess_times(file, month_first)
    taken = set(guess.columns().values())
    found: dict[str, int] = {}
    for part in ("co2", "humidity", "celsius"):
        at = _find_named(file, part, taken) if any(file.headings) else None
        if at is not None:
            found[part] = at
            taken.add(at)
    if not found:
        found = _guess_by_size(file, taken)
    guess = replace(guess, **found, decimal=_guess_decimal(file))  # type: ignore[arg-type]
    title = file.titles[guess.celsius] if guess.celsius is not None else ""
    return replace(guess, unit="F" if _is_fahrenheit(title, file, guess) else "C")


def choice_of(form: LoggerFormat) -> Choice:
    """The choice that a remembered form stands for."""
    pairs = (word.split("=") for word in form.columns.split())
    columns = {part: int(at) for part, at in pairs if part in PARTS}
    order: DayOrder = form.day_order if form.day_order in ("ymd", "dmy", "mdy") else "ymd"  # type: ignore[assignment]
    return Choice(**columns, unit=form.unit, day_order=order, zone=form.clock, decimal=form.decimal)


def form_of(file: LoggerFile, choice: Choice, *, logger: str, room: int | None) -> LoggerFormat:
    """A choice as it is remembered for files with the same headings."""
    columns = " ".join(f"{part}={at}" for part, at in choice.columns().items())
    return LoggerFormat(
        0, file.signature, logger, room, columns, choice.unit, choice.day_order, choice.zone,
        choice.decimal,
    )  # fmt: skip


def _read_text(path: Path) -> str:
    try:
        if path.stat().st_size > MOST_BYTES:
            most = MOST_BYTES // 1_000_000
            raise Refused(problem("logger_file_too_large", file=path.name, most=most))
        raw = path.read_bytes()
    except OSError as error:
        reason = error.strerror or str(error)
        raise Refused(problem("logger_file_unreadable", file=path.name, reason=reason)) from error
    return decode(raw)


def decode(raw: bytes) -> str:
    """Bytes as text: by their mark, as UTF-16 where every other byte is nothing, UTF-8, or as
    Windows writes it."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", errors="replace")
    head = raw[:2_000]
    if head[1::2].count(0) > len(head) // 3:
        return raw.decode("utf-16-le", errors="replace")
    if head[0::2].count(0) > len(head) // 3:
        return raw.decode("utf-16-be", errors="replace")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")


def _look(path: Path, text: str, head: str, delimiter: str) -> LoggerFile | None:
    """The file with this delimiter; None when no row then holds a time and a figure."""
    rows: list[tuple[int, tuple[str, ...]]] = []
    reader = csv.reader(io.StringIO(head), delimiter=delimiter)
    try:
        rows.extend((reader.line_num, tuple(one)) for one in reader)
    except csv.Error:
        return None
    data = [(line, row) for line, row in rows if _is_data(row)]
    if not data:
        return None
    first_line, first = data[0]
    above = [row for line, row in rows if line < first_line and len(row) >= len(first) - 1]
    headings = next((row for row in reversed(above) if any(one.strip() for one in row)), ())
    if len(headings) < 2:
        headings = ()
    sample = tuple(row for _, row in data[:_LOOKED_AT])
    return LoggerFile(path, text, delimiter, tuple(headings), first_line, sample)


def _is_data(row: Sequence[str]) -> bool:
    if len(row) < 2 or find_time(row) is None:
        return False
    at, clock = find_time(row) or (0, None)
    rest = [one.strip() for place, one in enumerate(row) if place not in (at, clock)]
    return any(_NUMBER.fullmatch(one) for one in rest)


def _guess_times(file: LoggerFile, month_first: bool) -> Choice:
    at, clock = find_time(file.sample[0]) or (0, None)
    texts = [row[at] for row in file.sample if at < len(row)]
    return Choice(at, clock, day_order=guess_day_order(texts, month_first=month_first))


def _find_named(file: LoggerFile, part: str, taken: set[int]) -> int | None:
    for at, title in enumerate(file.titles):
        is_meant = _WORDS[part].search(title) and not _NOT_MEANT.search(title)
        if at not in taken and is_meant and _numbers(file, at):
            return at
    return None


def _guess_by_size(file: LoggerFile, taken: set[int]) -> dict[str, int]:
    """Without headings: humidity is mostly above 60, CO2 above 300, temperature comes first."""
    found: dict[str, int] = {}
    for at in range(len(file.titles)):
        numbers = sorted(_numbers(file, at)) if at not in taken else []
        if not numbers:
            continue
        middle = numbers[len(numbers) // 2]
        if middle > 300:
            part = "co2"
        else:
            part = "humidity" if "celsius" in found and 5 <= middle <= 100 else "celsius"
        found.setdefault(part, at)
    return found


def _numbers(file: LoggerFile, at: int) -> list[float]:
    texts = (row[at].strip() for row in file.sample if at < len(row))
    digits = (re.sub(r"[^0-9.,+-]", "", one) for one in texts if _NUMBER.fullmatch(one))
    return [float(one.replace(",", ".")) for one in digits]


def _guess_decimal(file: LoggerFile) -> str:
    if file.delimiter == ",":
        quoted = sum(1 for row in file.sample for one in row if _COMMA_NUMBER.fullmatch(one))
        return "," if quoted else "."
    commas = sum(1 for row in file.sample for one in row if _COMMA_NUMBER.match(one.strip()))
    return "," if commas else "."


def _is_fahrenheit(title: str, file: LoggerFile, guess: Choice) -> bool:
    if _FAHRENHEIT.search(title):
        return True
    if guess.celsius is None or re.search(r"°\s?c\b|celsius|\(c\)", title, re.IGNORECASE):
        return False
    numbers = sorted(_numbers(file, guess.celsius))
    return bool(numbers) and numbers[len(numbers) // 2] > 45
