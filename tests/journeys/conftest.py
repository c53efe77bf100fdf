"""A farm in a real window, and its lanes, for whole stories."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from farm_window import FarmWindow, open_window
from PySide6.QtWidgets import QApplication

from farmdesk.desk.workplace import Workplace


@pytest.fixture
def workplace(qapp: QApplication) -> Iterator[Workplace]:
    place = Workplace()
    yield place
    place.settled()
    place.close()
    place.deleteLater()


@pytest.fixture
def farm_window(qapp: QApplication, workplace: Workplace, tmp_path: Path) -> Iterator[FarmWindow]:
    """A begun farm in a real window."""
    with open_window(tmp_path, workplace) as opened:
        yield opened
