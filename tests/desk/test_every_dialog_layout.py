"""Nothing is clipped, cut off, overlapping or nameless in any dialog, at 100 and 200 % text."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from demo_window import lay_out, open_demo
from every_dialog import DIALOGS, close_dialog, dialog_classes
from farm_window import FarmWindow
from layout_faults import faults_of, nameless
from PySide6.QtWidgets import QWidget

from farmdesk.desk.theme import Theme
from farmdesk.desk.window import FIRST_SIZE


@pytest.fixture(scope="module")
def farm_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo")


@pytest.fixture(params=(1.0, 2.0), ids=("100%", "200%"))
def shown(request: pytest.FixtureRequest, qapp: object, farm_folder: Path) -> Iterator[FarmWindow]:
    with open_demo(farm_folder, Theme("light", request.param)) as opened:
        yield opened


def test_every_dialog_fits_the_screen_and_shows_all_its_text(shown: FarmWindow) -> None:
    """One window for all: to build it anew for each dialog takes longer than the dialogs."""
    faults, missing = [], dialog_classes()
    for name, open_dialog in DIALOGS.items():
        dialog = open_dialog(shown)
        lay_out(shown)
        missing.discard(type(dialog))
        faults += [f"{name}: {one}" for one in _faults(dialog)]
        close_dialog(dialog, shown)
    assert not faults, "\n".join(faults)
    assert not missing, "add a line to every_dialog.py for each of these"


def _faults(dialog: QWidget) -> Iterator[str]:
    least = dialog.minimumSizeHint().expandedTo(dialog.minimumSize())
    yield from faults_of(dialog)
    if least.width() > FIRST_SIZE.width() or least.height() > FIRST_SIZE.height():
        yield f"the dialog wants {least.width()} x {least.height()}"
    yield from (f"nameless: {one}" for one in nameless(dialog))
