"""From process start to the first paint, and to the first page filled, against a bare window."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from timing import Figure, median

_BARE = """
import sys, time, os
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import (QApplication, QLabel, QLineEdit, QMainWindow, QTableWidget,
    QVBoxLayout, QWidget)
app = QApplication([])
class Window(QMainWindow):
    done = False
    def paintEvent(self, event):
        super().paintEvent(event)
        if not self.done:
            self.done = True
            QTimer.singleShot(0, finish)
def finish():
    print(time.time() - float(sys.argv[1]), flush=True)
    os._exit(0)
window = Window()
holder = QWidget()
window.setCentralWidget(holder)
column = QVBoxLayout(holder)
column.addWidget(QLineEdit())
column.addWidget(QLabel("Bags"))
column.addWidget(QTableWidget(20, 8))
window.menuBar().addMenu("File")
window.resize(1200, 800)
window.show()
app.exec()
"""
_OURS = """
import os, sys, time
from pathlib import Path
from PySide6.QtCore import QTimer
from farmdesk.settings.preferences import load_preferences, usual_preferences
from farmdesk.settings.places import settings_file
from farmdesk.desk import application
from farmdesk.desk.garbage import GarbageCollector
from PySide6.QtWidgets import QApplication
loaded = load_preferences(settings_file(), usual=usual_preferences())
app = QApplication([])
desk = application.Desk(app, sys.argv[2], loaded.preferences, settings_file())
def finish():
    print(time.time() - float(sys.argv[1]), flush=True)
    os._exit(0)
def is_ready():
    page = desk.window.page("today")
    if page is not None and desk.session.bench is not None and desk.workplace.is_idle():
        finish()
    else:
        QTimer.singleShot(1, is_ready)
desk.window.painted.connect(finish if sys.argv[3] == "paint" else is_ready)
desk.window.show()
collector = GarbageCollector()
app.exec()
"""


def _run(script: Path, *words: str) -> float:
    """Seconds from process start on, as a person has them: Python compiles a file only once."""
    surroundings = os.environ | {
        "QT_QPA_PLATFORM": os.environ.get("QT_QPA_PLATFORM", "offscreen"),
        "PYTHONPYCACHEPREFIX": str(script.parent / "compiled"),
    }
    surroundings.pop("PYTHONDONTWRITEBYTECODE", None)
    began = time.time()
    done = subprocess.run(
        [sys.executable, str(script), repr(began), *words],
        capture_output=True, text=True, check=False, timeout=60,
        env=surroundings,
    )  # fmt: skip
    if done.returncode or not done.stdout:
        raise RuntimeError(done.stderr)
    return float(done.stdout.split()[-1])


def measure_start(farm_path: Path, *, repeats: int) -> list[Figure]:
    """Keys `start` and `ready`, in turn with the bare window."""
    with tempfile.TemporaryDirectory() as folder:
        bare, ours = Path(folder) / "bare.py", Path(folder) / "ours.py"
        bare.write_text(_BARE, encoding="utf-8")
        ours.write_text(_OURS, encoding="utf-8")
        times: dict[str, list[float]] = {"bare": [], "paint": [], "ready": []}
        for turn in range(repeats + 1):  # the first one compiles and is not counted
            found = {
                "bare": _run(bare),
                "paint": _run(ours, str(farm_path), "paint"),
                "ready": _run(ours, str(farm_path), "ready"),
            }
            if turn:
                for name, value in found.items():
                    times[name].append(value)
    floor = median(times["bare"]) * 1e3
    start, ready = median(times["paint"]) * 1e3, median(times["ready"]) * 1e3
    what = "process start to first paint / bare window with a table"
    filled = "process start to first page filled and scans accepted / the same"
    return [
        Figure("start", what, start, floor, "ms", repeats, 1.8, 1.2),
        Figure("ready", filled, ready, floor, "ms", repeats, 6.0, 3.5),
    ]
