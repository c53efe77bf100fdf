"""Times as loggers write them, made UTC: three orders of the day, clocks of three kinds."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

DayOrder = Literal["ymd", "dmy", "mdy"]
ORDERS: tuple[DayOrder, ...] = ("ymd", "dmy", "mdy")
CLOCKS = ("farm", "standard", "utc")
_DAY = r"([0-9]{1,4})[-/. ]([0-9]{1,2}|[A-Za-z]{3,4}\.?)[-/. ]([0-9]{1,4})"
_CLOCK = (
    r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2})(?:[.,][0-9]+)?)?\s*([AaPp]\.?[Mm]\.?)?"
    r"\s*(Z|UTC|[+-][0-9]{2}:?[0-9]{2})?"
)
_BOTH = re.compile(rf"{_DAY},?[T ]+{_CLOCK}")
_ONE_DAY = re.compile(_DAY)
_ONE_CLOCK = re.compile(_CLOCK)
_EPOCH = re.compile(r"[12][0-9]{9}(?:[0-9]{3})?")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_FIRST_YEAR, _LAST_YEAR = 1970, 2199
_EPOCH_DAY = date(1970, 1, 1).toordinal()
_DAY_S = 86_400


def find_time(row: Sequence[str]) -> tuple[int, int | None] | None:
    """The column of a row that holds a time, and the one with its clock if that stands apart."""
    cells = [one.strip() for one in row]
    for at, one in enumerate(cells):
        if _BOTH.fullmatch(one) or _EPOCH.fullmatch(one):
            return at, None
    for at, one in enumerate(cells):
        if _ONE_DAY.fullmatch(one):
            for beside, other in enumerate(cells):
                if beside != at and _ONE_CLOCK.fullmatch(other):
                    return at, beside
    return None


def guess_day_order(texts: Iterable[str], *, month_first: bool) -> DayOrder:
    """The order of day, month and year that fits these times; where two fit, the land's own."""
    firsts, seconds = [0], [0]
    has_dots = False
    for text in texts:
        found = _ONE_DAY.match(text.strip())
        if found is None:
            continue
        if len(found[1]) == 4:
            return "ymd"
        if not found[2].isdigit():
            return "dmy"
        has_dots = has_dots or "." in found[0]
        firsts.append(int(found[1]))
        seconds.append(int(found[2]))
    if max(firsts) > 12:
        return "ymd" if max(firsts) > 31 else "dmy"
    if max(seconds) > 12:
        return "mdy"
    # Dots between day and month are written where the day comes first.
    return "mdy" if month_first and not has_dots else "dmy"


class TimeReader:
    """Reads one file's times into seconds since 1970, UTC.

    `clock` is farm (the farm's time with its summer time), standard (the farm's winter time all
    year round) or utc; a time that says its own offset keeps it. An hour that comes twice when
    clocks are put back is told apart by the order of the lines.
    """

    def __init__(self, order: DayOrder, clock: str, zone: ZoneInfo) -> None:
        self._order = order
        self._clock = clock
        self._zone = zone
        self._offsets: dict[tuple[int, int], tuple[int, int]] = {}
        self._days: dict[tuple[str, str, str], int | None] = {}
        self._last = -1

    def read(self, text: str) -> int | None:
        """The second of a day and time in one text; None when it is no time."""
        bare = text.strip()
        if _EPOCH.fullmatch(bare):
            return int(bare[:10])
        found = _BOTH.fullmatch(bare)
        if found is None:
            return None
        day = self._day(found[1], found[2], found[3])
        return None if day is None else self._settle(day, found.groups()[3:])

    def read_parts(self, day_text: str, clock_text: str) -> int | None:
        """The second of a day and a clock time that stand in two columns."""
        day_found = _ONE_DAY.fullmatch(day_text.strip())
        clock_found = _ONE_CLOCK.fullmatch(clock_text.strip())
        if day_found is None or clock_found is None:
            return None
        day = self._day(*day_found.groups())
        return None if day is None else self._settle(day, clock_found.groups())

    def _day(self, *parts: str) -> int | None:
        key = (parts[0], parts[1], parts[2])
        if key not in self._days:
            self._days[key] = _day_number(key, self._order)
        return self._days[key]

    def _settle(self, day: int, clock: Sequence[str | None]) -> int | None:
        hour, minute, second = int(clock[0] or 0), int(clock[1] or 0), int(clock[2] or 0)
        if clock[3]:
            if not 1 <= hour <= 12:
                return None
            hour = hour % 12 + (12 if clock[3][0] in "Pp" else 0)
        if hour > 23 or minute > 59 or second > 59:
            return None
        plain = day * _DAY_S + hour * 3600 + minute * 60 + second
        if clock[4]:
            return plain - _offset_of(clock[4])
        if self._clock == "utc":
            return plain
        first, second_time = self._offset(day, hour)
        found = plain - first
        if first != second_time and found < self._last:
            found = plain - second_time
        self._last = max(self._last, found)
        return found

    def _offset(self, day: int, hour: int) -> tuple[int, int]:
        """Seconds ahead of UTC in that hour, the first and the second time it comes."""
        key = (day, hour)
        if key not in self._offsets:
            plain = datetime.fromtimestamp(0, UTC) + timedelta(days=day, hours=hour)
            if self._clock == "standard":
                self._offsets[key] = (_standard(self._zone, plain.year),) * 2
            else:
                ahead = [
                    plain.replace(tzinfo=self._zone, fold=fold).utcoffset() or timedelta()
                    for fold in (0, 1)
                ]
                self._offsets[key] = (int(ahead[0].total_seconds()), int(ahead[1].total_seconds()))
        return self._offsets[key]


def _standard(zone: ZoneInfo, year: int) -> int:
    """The zone's least offset in a year: its winter time, seconds."""
    offsets = [
        datetime(year, month, 1, tzinfo=UTC).astimezone(zone).utcoffset() or timedelta()
        for month in (1, 7)
    ]
    return int(min(offsets).total_seconds())


def _day_number(parts: tuple[str, str, str], order: DayOrder) -> int | None:
    first, middle, last = parts
    if not middle.isdigit():
        if middle[:3].casefold() not in _MONTHS:
            return None
        middle = str(_MONTHS.index(middle[:3].casefold()) + 1)
        order = "ymd" if len(first) == 4 else "dmy"
    if len(first) == 4:
        order = "ymd"
    numbers = (int(first), int(middle), int(last))
    year, month, day = (numbers["ymd".index(one)] if order == "ymd" else numbers[order.index(one)]
                        for one in "ymd")  # fmt: skip
    if year < 100:
        year += 2000
    if not _FIRST_YEAR <= year <= _LAST_YEAR:
        return None
    try:
        return date(year, month, day).toordinal() - _EPOCH_DAY
    except ValueError:
        return None


def _offset_of(text: str) -> int:
    if text in ("Z", "UTC"):
        return 0
    digits = text[1:].replace(":", "")
    seconds = int(digits[:2]) * 3600 + int(digits[2:]) * 60
    return -seconds if text[0] == "-" else seconds
