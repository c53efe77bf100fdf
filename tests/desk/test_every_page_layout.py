"""Nothing is clipped, cut off or laid over another: every page, at 100 and 200 % text.

WCAG 2.2 success criteria 1.4.4 (text at 200 % without loss) and 1.4.10 (reflow) are what the
larger text is checked for; 1280 x 720 is the smallest screen promised.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from demo_window import each_part, open_demo
from farm_window import FarmWindow
from layout_faults import faults_of
from PySide6.QtWidgets import QApplication

from farmdesk.desk.commands import PLACES
from farmdesk.desk.theme import Theme
from farmdesk.desk.window import FIRST_SIZE

ROUNDS = 3
"""What grew with its text or its chart is laid out once more, and so is what holds it."""


@pytest.fixture(scope="module")
def farm_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo")


@pytest.fixture(params=(1.0, 2.0), ids=("100%", "200%"))
def shown(request: pytest.FixtureRequest, qapp: object, farm_folder: Path) -> Iterator[FarmWindow]:
    with open_demo(farm_folder, Theme("light", request.param)) as opened:
        yield opened


@pytest.mark.parametrize("place", [spec.key for spec in PLACES])
def test_nothing_is_clipped_or_overlaps(shown: FarmWindow, place: str) -> None:
    page = shown.show(place)
    faults: list[str] = []
    for part in each_part(page, shown):
        shown.window.resize(FIRST_SIZE)
        shown.settle()
        for _ in range(ROUNDS):
            QApplication.processEvents()
        least = shown.window.minimumSizeHint()
        if least.width() > FIRST_SIZE.width() or least.height() > FIRST_SIZE.height():
            faults.append(f"{part}: the window wants {least.width()} x {least.height()}")
        faults += [f"{part}: {one}" for one in faults_of(shown.window)]
    assert not faults, "\n".join(dict.fromkeys(faults))
