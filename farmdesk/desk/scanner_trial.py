"""A field to try the scanner in: what arrived, how fast, and what it will be read as."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QGuiApplication, QHideEvent, QKeyEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QVBoxLayout, QWidget

from farmdesk.desk.scanner_keys import Frame, Stroke, has_fitting_check, place_of, read_strokes
from farmdesk.desk.wedge import WedgeSettings
from farmdesk.domain.codes import group_code
from farmdesk.domain.scans import CodeScan, read_scan
from farmdesk.errors import NotUnderstood
from farmdesk.settings.preferences import LARGEST_GAP_MS
from farmdesk.wording.language import tr, tr_count

_ENTERS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_SPARE = 1.5
"""A gap that is set so much longer than the longest seen is sure not to cut a code in two."""
_PERSON_MS = 100
"""Keys that come slower than this on the average were typed by a person."""


@dataclass
class KeyRun:
    """The keys that came so far: what they wrote, and when (milliseconds)."""

    strokes: list[Stroke] = field(default_factory=list)
    times: list[int] = field(default_factory=list)
    end: str = ""
    """'enter' or 'tab' once it has come."""

    @property
    def text(self) -> str:
        """What arrived."""
        return "".join(one.text for one in self.strokes)

    @property
    def gaps(self) -> list[int]:
        """Milliseconds from each key to the next."""
        return [after - before for before, after in zip(self.times, self.times[1:], strict=False)]


def suitable_gap(run: KeyRun) -> int | None:
    """The gap in milliseconds to set for a run like this; None for one that a person typed."""
    gaps = run.gaps
    if not gaps or sum(gaps) / len(gaps) > _PERSON_MS:
        return None
    return min(LARGEST_GAP_MS, math.ceil(max(gaps) * _SPARE / 5) * 5)


def describe_run(run: KeyRun, wants: WedgeSettings) -> list[str]:
    """What arrived and whether it will be known as a scan, a sentence to a line."""
    keys = tr_count(len(run.strokes), "{n} key", "{n} keys").format(n=len(run.strokes))
    gaps = run.gaps or [0]
    mean, longest = round(sum(gaps) / len(gaps)), max(gaps)
    ends = {"enter": tr("Enter"), "tab": tr("Tab")}
    arrived = tr("Arrived: “{text}”, {keys}, {mean} ms from key to key (at most {longest} ms).")
    lines = [arrived.format(text=run.text, keys=keys, mean=mean, longest=longest)]
    if not run.end:
        lines.append(
            tr("No end yet: set the scanner to send Enter or Tab after each code (its manual has "
               "a bar code for that).")
        )  # fmt: skip
        return lines
    lines.append(tr("It ended with {end}.").format(end=ends[run.end]))
    lines.append(_verdict(run, wants, mean, longest))
    return lines


def _verdict(run: KeyRun, wants: WedgeSettings, mean: int, longest: int) -> str:
    line = read_strokes(run.strokes, Frame(wants.prefix, wants.suffix))
    if mean > _PERSON_MS:
        return tr("⚠ That was typed by a person, or by a very slow scanner.")
    if longest > wants.gap_ms:
        told = tr("⚠ Slower than the longest gap set. Set it to {better} ms.")
        return told.format(better=suitable_gap(run))
    if wants.terminator not in ("either", run.end):
        return tr("⚠ Another end is set above. Choose the one that the scanner sends.")
    if line is None:
        return tr("⚠ The prefix or the suffix that is set above was not there.")
    if not has_fitting_check(line):
        return tr("✓ Known as a scan: “{line}”. It is no code of a farm.").format(line=line)
    if line not in run.text:
        template = tr("✓ Known as code {code}, though the keyboard has another layout.")
    else:
        template = tr("✓ Known as code {code}.")
    return template.format(code=_grouped(line))


def _grouped(line: str) -> str:
    try:
        scan = read_scan(line)
    except NotUnderstood:
        return line
    digits = "".join(sign for sign in line if sign.isdigit())[-10:]
    return group_code(digits) if isinstance(scan, CodeScan) else line


class TrialLine(QLineEdit):
    """A line that looks at the keys themselves; `run_changed` tells the run after each key."""

    run_changed = Signal(object)

    def __init__(self, pause: Callable[[bool], object]) -> None:
        super().__init__()
        self._pause = pause
        self.run = KeyRun()
        self.setPlaceholderText(tr("Put the cursor here and scan"))
        self.setAccessibleName(tr("Field to try the scanner in"))

    def event(self, event: QEvent) -> bool:
        """Tab ends a run that has begun; else it goes to the next field as usual."""
        if (
            isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
            and event.key() == Qt.Key.Key_Tab
            and self.run.strokes
            and not self.run.end
        ):
            self._end("tab")
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Note the key; Enter ends the run, Ctrl+Enter is the dialog's."""
        if event.key() in _ENTERS:
            if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
                event.ignore()
            elif self.run.strokes:
                self._end("enter")
            return
        if len(event.text()) == 1 and event.text().isprintable():
            self._note(event)
        super().keyPressEvent(event)

    def _note(self, event: QKeyEvent) -> None:
        if self.run.end:
            self.run = KeyRun()
            self.clear()
        place = place_of(
            QGuiApplication.platformName(), event.nativeScanCode(), event.nativeVirtualKey()
        )
        is_shifted = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        self.run.strokes.append(Stroke(event.text(), place, is_shifted))
        self.run.times.append(event.timestamp())
        self.run_changed.emit(self.run)

    def _end(self, end: str) -> None:
        self.run.end = end
        self.run_changed.emit(self.run)
        self.selectAll()

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's own name
        """Take the keys as they come while the cursor is here."""
        self._pause(True)
        super().focusInEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's own name
        """Leave the keys to the scanner's recognition again."""
        self._pause(False)
        super().focusOutEvent(event)

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802 - Qt's own name
        """A line that is not seen takes no keys."""
        self._pause(False)
        super().hideEvent(event)


class ScannerTrial(QWidget):
    """The line, and what is said of its last run. `read` gives the settings of the moment."""

    understood = Signal(str)
    """A run that will be known as a scan of a code."""

    def __init__(self, read: Callable[[], WedgeSettings], pause: Callable[[bool], object]) -> None:
        super().__init__()
        self._read = read
        self.line = TrialLine(pause)
        self.line.run_changed.connect(self.show_run)
        self.told = QLabel(tr("Scan any code: here stands what arrived."))
        self.told.setWordWrap(True)
        self.told.setAccessibleName(tr("What arrived"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.line)
        column.addWidget(self.told)
        self.setFocusProxy(self.line)

    def show_line(self, line: str) -> None:
        """A scan that came by a serial port."""
        self.told.setText(tr("✓ From the scanner's port: “{line}”.").format(line=line))
        if has_fitting_check(line):
            self.understood.emit(line)

    def show_run(self, run: KeyRun) -> None:
        """Say what arrived by keys."""
        wants = self._read()
        self.told.setText("\n".join(describe_run(run, wants)))
        self.told.setAccessibleDescription(self.told.text())
        line = read_strokes(run.strokes, Frame(wants.prefix, wants.suffix))
        if run.end and line is not None and has_fitting_check(line):
            self.understood.emit(line)
