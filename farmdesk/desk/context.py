"""What a page gets handed: the farm, the lanes, the strip and the ways to other places."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol, TypeVar

from farmdesk.settings.preferences import Preferences
from farmdesk.settings.print_offsets import PrintOffsets

if TYPE_CHECKING:
    from PySide6.QtWidgets import QDialog, QWidget

    from farmdesk.actions.base import Act
    from farmdesk.desk.refresh import Refresher
    from farmdesk.desk.scale_link import ScaleLink
    from farmdesk.desk.strip import ScanStrip
    from farmdesk.desk.workplace import Workplace
    from farmdesk.domain.catalogue import Person
    from farmdesk.errors import FarmdeskError
    from farmdesk.store.farm_store import FarmStore
    from farmdesk.wording.formats import Formats

ResultT = TypeVar("ResultT")


class ActOnFarm(Protocol):
    """Does one act on the writing lane, asks back where it must, and tells the pages."""

    def __call__(
        self,
        action: Callable[[Act], ResultT],
        *,
        then: Callable[[ResultT], object] | None = None,
        failed: Callable[[FarmdeskError], object] | None = None,
        no: Callable[[], object] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        """`then` gets the action's result; `no` is called when a question was answered No."""


@dataclass(frozen=True)
class DeskContext:
    """Everything a page may use. `farm` is the opened farm, passed on to reports."""

    workplace: Workplace
    refresher: Refresher
    strip: ScanStrip
    farm: FarmStore
    formats: Formats
    station: str
    person: Person | None
    go_to: Callable[[str, str], object]
    """`go_to(place, subject)` shows a place; the subject is a code or name, or ''."""
    open_dialog: Callable[[QDialog], None]
    """Shows a dialog over the window, without waiting for it."""
    say: Callable[[str], None]
    """Puts a sentence on the status line."""
    show_error: Callable[[FarmdeskError], None]
    """Says an error in plain words over the window."""
    act: ActOnFarm
    """`act(action, then=, failed=, no=, parent=)`; `action(act)` runs in one transaction."""
    preferences: Preferences = field(default_factory=Preferences)
    """What this computer prefers, such as `label_stock`; the context is made again with others."""
    print_offsets: PrintOffsets = field(default_factory=PrintOffsets)
    """How far each printer of this computer misses, kept beside the preferences."""
    scale: ScaleLink | None = None
    """The scale of this station, whose steady readings a `WeighField` takes."""
