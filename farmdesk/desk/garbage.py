"""Cycles of objects are collected in the window's thread only.

Python collects in whichever thread allocates next. When that is a lane thread, it may destroy Qt
objects while the window's thread is using them, and the program ends with a memory fault.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

EVERY_MS = 2_000


class GarbageCollector(QObject):
    """Turns automatic collection off and collects by the same thresholds from a timer."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._was_on = gc.isenabled()
        gc.disable()
        self._timer = QTimer(self)
        self._timer.setInterval(EVERY_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    def look(self) -> int | None:
        """Collect the oldest generation that is due; which one, or None when none is."""
        counts, limits = gc.get_count(), gc.get_threshold()
        for generation in (2, 1, 0):
            if counts[generation] > limits[generation]:
                gc.collect(generation)
                return generation
        return None

    def close(self) -> None:
        """Give the collection back as it was."""
        self._timer.stop()
        if self._was_on:
            gc.enable()
