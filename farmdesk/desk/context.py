"""What a page gets handed: the farm, the lanes, the strip and the ways to other places."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import QDialog

from farmdesk.desk.refresh import Refresher
from farmdesk.desk.strip import ScanStrip
from farmdesk.desk.workplace import Workplace
from farmdesk.errors import FarmdeskError

if TYPE_CHECKING:
    from farmdesk.domain.catalogue import Person
    from farmdesk.wording.formats import Formats


@dataclass(frozen=True)
class DeskContext:
    """Everything a page may use. `farm` is the opened farm, passed on to actions and reports."""

    workplace: Workplace
    refresher: Refresher
    strip: ScanStrip
    farm: Any
    formats: Formats
    station: str
    person: Person | None
    go_to: Callable[[str, str], None]
    """`go_to(place, subject)` shows a place; the subject is a code or name, or ''."""
    open_dialog: Callable[[QDialog], None]
    """Shows a dialog over the window, without waiting for it."""
    say: Callable[[str], None]
    """Puts a sentence on the status line."""
    show_error: Callable[[FarmdeskError], None]
    """Says an error in plain words over the window."""
    act: Callable[..., None]
    """`act(function, then=None, failed=None)`: see `acting.perform`."""
