"""The scale of this station, brought into the window's thread: live, steady, or why there is none.

The scale tells its news on a thread of its own. Only a nudge crosses to the window's thread; the
news themselves are plain values in a queue, read and dropped there.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from fractions import Fraction
from functools import partial

import shiboken6
from PySide6.QtCore import QObject, Qt, Signal

from farmdesk.devices.device_thread import Connected, Lost
from farmdesk.devices.readings import Reading
from farmdesk.devices.scale import (
    Live,
    NoWeight,
    Scale,
    ScaleNews,
    ScaleSettings,
    Taken,
    open_scale,
)
from farmdesk.errors import FarmdeskError, Problem
from farmdesk.quantities.mass import amount_in

OpenScale = Callable[[ScaleSettings, Callable[[ScaleNews], None]], Scale]
EMPTY_DIVISIONS = 3
"""A scale that shows no more than so many steps of its last digit has nothing on it."""
_MOST_DECIMALS = 4


class ScaleLink(QObject):
    """One scale at a time; none until `use`. What it says is kept in plain attributes."""

    changed = Signal()
    """The reading, the trouble or the connection is another one."""
    steadied = Signal()
    """A steady reading is ready in `steady`, once for each load."""
    _nudged = Signal()

    def __init__(self, parent: QObject | None = None, *, open_it: OpenScale = open_scale) -> None:
        super().__init__(parent)
        self._open = open_it
        self._scale: Scale | None = None
        self._number = 0
        self._news: deque[tuple[int, ScaleNews]] = deque()
        self.live: Reading | None = None
        self.steady: Reading | None = None
        self.trouble: Problem | None = None
        self.is_connected = False
        self.was_empty = False
        """Whether the scale was empty at some time since the last scan."""
        self._nudged.connect(self._read_news, Qt.ConnectionType.QueuedConnection)

    def use(self, settings: ScaleSettings | None) -> None:
        """Listen to this scale from now on, or to none; the one before is let go."""
        self.close()
        if settings is not None:
            try:
                self._scale = self._open(settings, partial(self._hear, self._number))
            except FarmdeskError as error:
                self.trouble = error.problems[0]
            else:
                self._scale.start()
        self.changed.emit()

    def close(self) -> None:
        """Let the scale go."""
        scale, self._scale = self._scale, None
        self._number += 1
        if scale is not None:
            scale.stop()
        self._news.clear()
        self._forget()

    @property
    def is_in_use(self) -> bool:
        """Whether this station has a scale, plugged in or not."""
        return self._scale is not None or self.trouble is not None

    def take(self) -> Reading | None:
        """The steady reading, frozen, for one use; the next one comes with the next load."""
        taken, self.steady = self.steady, None
        if taken is not None and self._scale is not None:
            self._scale.start_over()
        self.changed.emit()
        return taken

    def ask_again(self) -> None:
        """Take the load that stands on the scale once more, as soon as it is steady."""
        self.steady = None
        if self._scale is not None:
            self._scale.start_over(same_load=True)

    def note_scan(self) -> None:
        """Something was scanned: a load that stands on the scale now was there before."""
        self.was_empty = self._is_empty()

    def _forget(self) -> None:
        self.live = self.steady = self.trouble = None
        self.is_connected = self.was_empty = False

    def _is_empty(self) -> bool:
        live = self.live
        return live is not None and live.mg <= EMPTY_DIVISIONS * live.division_mg

    # ---- from the scale's thread to the window's

    def _hear(self, number: int, news: ScaleNews) -> None:
        """On the scale's thread: queue the news and nudge."""
        self._news.append((number, news))
        if shiboken6.isValid(self):
            self._nudged.emit()

    def _read_news(self) -> None:
        if not self._news:
            return
        is_steady = False
        while self._news:
            number, news = self._news.popleft()
            if number == self._number:
                is_steady = self._take_in(news) or is_steady
        self.changed.emit()
        if is_steady and self.steady is not None:
            self.steadied.emit()

    def _take_in(self, news: ScaleNews) -> bool:
        """Keep what was told; True for a steady reading."""
        if isinstance(news, Taken):
            self.steady = news.reading
            return True
        if isinstance(news, Live):
            self.live, self.trouble = news.reading, None
            self.was_empty = self.was_empty or self._is_empty()
            self._let_go_of_another_load()
        elif isinstance(news, Connected):
            self.is_connected, self.trouble = True, None
        else:
            self._take_in_trouble(news)
        return False

    def _take_in_trouble(self, news: Lost | NoWeight) -> None:
        was_unused = self.steady is not None
        self.trouble, self.live, self.steady = news.problem, None, None
        if isinstance(news, Lost):
            self.is_connected = False
        elif news.problem.code == "scale_under_zero":
            self.was_empty = True
        if was_unused and self._scale is not None:
            self._scale.start_over(same_load=True)

    def _let_go_of_another_load(self) -> None:
        """A steady reading that nobody used is void once the scale shows another weight."""
        steady, live = self.steady, self.live
        if steady is None or live is None or self._scale is None:
            return
        if abs(steady.mg - live.mg) > EMPTY_DIVISIONS * steady.division_mg:
            self.steady = None
            self._scale.start_over(same_load=True)


def reading_text(reading: Reading, *, decimal_comma: bool = False) -> str:
    """A reading as a person would type it: the scale's unit and its digits, no more."""
    amount = amount_in(reading.mg, reading.unit)
    digits = _decimals_of(amount_in(reading.division_mg, reading.unit))
    text = f"{_rounded(amount, digits):.{digits}f}"
    return f"{text.replace('.', ',') if decimal_comma else text} {reading.unit}"


def _decimals_of(step: Fraction) -> int:
    for digits in range(_MOST_DECIMALS):
        if step * 10**digits > Fraction(99, 100):
            return digits
    return _MOST_DECIMALS


def _rounded(amount: Fraction, digits: int) -> float:
    return float(round(amount, digits))
