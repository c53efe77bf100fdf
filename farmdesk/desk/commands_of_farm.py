"""The commands of the menus that work on the whole farm: files, labels, finding, undo."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from farmdesk.actions.exchange import Moved, export_farm, import_farm
from farmdesk.desk.camera_desk import CameraDesk
from farmdesk.desk.dialogs import tell
from farmdesk.desk.preferences_use import PreferencesUse
from farmdesk.desk.print_labels import PrintCardsDialog, PrintLabelsDialog
from farmdesk.reports.check import Verdict, check_farm
from farmdesk.store.backup import backup_farm
from farmdesk.store.new_farm import farm_to_fill
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.session import Session

FARM_FILES = tr("Farms (*.sqlite);;All files (*)")
_NEEDS_NO_FARM = ("preferences", "open_farm", "new_farm", "import_farm", "about", "help_page")


class FarmCommands:
    """Does the commands that the window passes on, by key."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._ways: dict[str, Callable[[], object]] = {
            "open_farm": self._open,
            "new_farm": self._new,
            "backup": self._backup,
            "import_farm": self._import,
            "export_farm": self._export,
            "check": self._check,
            "undo": session.undo,
            "redo": session.redo,
            "labels": self._print_labels,
            "wall_cards": self._print_cards,
            "preferences": PreferencesUse(session).ask,
            "read_pictures": session.pictures.ask,
            "read_camera": CameraDesk(session).show,
            "about": self._about,
        }

    def do(self, key: str) -> None:
        """Do the command with this key; keys of others are left alone."""
        way = self._ways.get(key)
        if way is None:
            return
        if self._session.store is None and key not in _NEEDS_NO_FARM:
            self._session.window.say(tr("Open a farm first (Ctrl+O)."))
            return
        way()

    # ---- files

    def _open(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self._session.window, tr("Open a farm"), self._folder(), FARM_FILES
        )
        if name:
            self._session.open(name)

    def _new(self) -> None:
        name, _ = QFileDialog.getSaveFileName(
            self._session.window, tr("A new farm's file"), self._folder(), FARM_FILES
        )
        if name:
            self._session.open(name if Path(name).suffix else f"{name}.sqlite")

    def _backup(self) -> None:
        name, _ = QFileDialog.getSaveFileName(
            self._session.window, tr("Back up the farm to"), self._folder(), FARM_FILES
        )
        if name:
            self._session.window.say(tr("Backing up …"))
            self._session.desk.workplace.read(
                backup_farm, self._session.store, Path(name), then=partial(self._backed_up, name)
            )

    def _backed_up(self, name: str, size: int) -> None:
        self._session.window.say(
            tr("Backed up to {name} ({size:.1f} MB), and checked.").format(
                name=name, size=size / 1000000
            )
        )

    def _export(self) -> None:
        name = QFileDialog.getExistingDirectory(self._session.window, tr("Export to a folder"))
        if name:
            self._session.window.say(tr("Exporting …"))
            self._session.desk.workplace.read(
                export_farm, self._session.store, Path(name), then=partial(self._moved, name)
            )

    def _moved(self, name: str, moved: Moved) -> None:
        self._session.window.say(
            tr("{rows:,} rows in {files} files in {name}.").format(
                rows=moved.rows, files=moved.files, name=name
            )
        )

    def _import(self) -> None:
        window = self._session.window
        folder = QFileDialog.getExistingDirectory(window, tr("Folder to import from"))
        if not folder:
            return
        name, _ = QFileDialog.getSaveFileName(window, tr("A new file for it"), "", FARM_FILES)
        if name:
            self._session.desk.workplace.do(
                _import_into,
                Path(name),
                Path(folder),
                then=lambda _moved: self._session.open(name),
            )

    def _folder(self) -> str:
        store = self._session.store
        return str(Path(store.where).parent) if store is not None and store.is_sqlite else ""

    # ---- the farm as a whole

    def _check(self) -> None:
        self._session.window.say(tr("Checking the farm …"))
        self._session.desk.workplace.read(check_farm, self._session.store, then=self._checked)

    def _checked(self, verdict: Verdict) -> None:
        if verdict.is_clean:
            sentence = tr(
                "All well: the {entries:,} entries of the day book agree with the farm, "
                "and every lot adds up."
            ).format(entries=verdict.entries)
            tell(self._session.window, tr("The farm is checked"), sentence)
            return
        details = "\n".join(
            f"{one.thing} {one.subject}: {one.code}, {one.detail}" for one in verdict.differences
        )
        sentence = tr(
            "{count_differences:,} things differ from the day book. Back up first."
        ).format(count_differences=len(verdict.differences))
        tell(self._session.window, tr("The farm is checked"), sentence, details=details)

    def _print_labels(self) -> None:
        self._session.window.open_dialog(PrintLabelsDialog(self._session))

    def _print_cards(self) -> None:
        self._session.window.open_dialog(PrintCardsDialog(self._session))

    def _about(self) -> None:
        tell(
            self._session.window,
            tr("About Farmdesk"),
            tr(
                "Farmdesk keeps the lots of a small indoor mushroom farm. Free software "
                "under the GNU General Public License, version 3 or later. Shelf dates, "
                "yields and readiness are estimates: a person decides. Local food, "
                "pressure-vessel and workplace rules come first."
            ),
        )


def _import_into(path: Path, folder: Path) -> Moved:
    with farm_to_fill(path) as store:
        return import_farm(store, folder)
