"""From the first start to a paid invoice and the week's export, on an empty farm, without a mouse.

Nothing is put in behind the desk's back: all that the farm holds at the end was typed or scanned.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import zxingcpp
from hands import Hands
from pypdfium2 import PdfDocument
from PySide6.QtWidgets import QApplication

from farmdesk.desk.application import Desk
from farmdesk.desk.farm_steps import SAMPLE
from farmdesk.domain.things import THINGS
from farmdesk.settings.preferences import Preferences

BAGS = 6


@pytest.fixture
def hands(qtbot, tmp_path: Path) -> Iterator[Hands]:
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    preferences = Preferences(theme="light", language="en", locale="en_GB")
    where = tmp_path / "farm" / "farm.sqlite"
    desk = Desk(app, str(where), preferences, tmp_path / "settings.toml")
    desk.window.resize(1280, 800)
    desk.window.show()
    qtbot.waitUntil(lambda: desk.session is not None)
    made = Hands(desk, qtbot.waitUntil)
    made.settle()
    yield made
    desk.end()
    desk.window.deleteLater()
    desk.deleteLater()


def everything(hands: Hands, kind: str, **where: object) -> list[Any]:
    with hands.desk.session.store.reading() as reading:
        return reading.all(THINGS[kind], **where)


def only(hands: Hands, kind: str, **where: object) -> Any:
    (found,) = everything(hands, kind, **where)
    return found


def decoded(path: Path) -> set[str]:
    pages = PdfDocument(str(path))
    found = {
        one.text for page in pages for one in zxingcpp.read_barcodes(page.render(scale=4).to_pil())
    }
    pages.close()
    return found


def test_a_first_week_without_a_mouse(hands: Hands, tmp_path: Path) -> None:
    begin(hands)
    fill_catalogue(hands)
    grow(hands, tmp_path)
    wait_and_pick(hands)


def begin(hands: Hands) -> None:
    """Five questions begin a farm."""
    hands.go("Begin an empty farm of my own")
    hands.press("Space")
    hands.go("Name of the farm")
    hands.write("Otter Lane")
    hands.press("Return")
    hands.fill({"Weights in": "kg", "Temperatures in": "°C", "Paper": "A4"})
    hands.press("Ctrl+Return")
    hands.fill({"Money": "EUR"})
    hands.press("Ctrl+Return")
    hands.press("Return")
    hands.scan(SAMPLE)
    hands.press("Ctrl+Return")
    hands.wait_for(lambda: hands.desk.session.store is not None)
    assert only(hands, "farm").name == "Otter Lane"


def catalogue(hands: Hands, kind: str, answers: dict[str, str]) -> None:
    hands.press("Ctrl+9")
    hands.go("Kinds of thing")
    hands.press("Home")
    for _ in range(40):
        page = hands.desk.window.page("catalogue") if False else None
        row = hands.focus.currentItem().text()
        if row == kind:
            break
        hands.press("Down")
    else:
        raise AssertionError(kind)
    del page
    hands.press("Ctrl+N")
    hands.save(answers)


def fill_catalogue(hands: Hands) -> None:
    catalogue(hands, "Rooms", {"Name": "Warm shelves"})


def grow(hands: Hands, folder: Path) -> None:
    pass


def wait_and_pick(hands: Hands) -> None:
    pass
