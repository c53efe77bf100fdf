"""Every dialog of the desk, opened on the demo farm: add a line here with each new dialog.

A line gives a name and a function that opens the dialog and returns it; the layout, the names for
screen readers and the way of the keyboard are then tested, and its picture is taken.
"""

from __future__ import annotations

from collections.abc import Callable

from farm_window import FarmWindow
from PySide6.QtWidgets import QApplication, QDialog

DIALOGS: dict[str, Callable[[FarmWindow], QDialog]] = {}


def close_dialog(dialog: QDialog, shown: FarmWindow) -> None:
    """Close a dialog and let it be dropped."""
    dialog.done(0)
    shown.settle()
    QApplication.processEvents()
