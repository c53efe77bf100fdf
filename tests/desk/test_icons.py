"""Every drawing can be drawn, in the colour asked; every outcome has a shape of its own."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor

from farmdesk.desk.icons import find_icon
from farmdesk.desk.theme import SCHEMES
from farmdesk.settings.places import resource_path

NAMES = sorted(path.stem for path in resource_path("icons").glob("*.svg"))


def test_there_are_drawings() -> None:
    assert {"add", "print", "undo", "scan", "label"} <= set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_a_drawing_is_seen_and_in_its_colour(qapp, name) -> None:
    image = find_icon(name, QColor("#7a3b12")).pixmap(64, 64).toImage()
    points = [image.pixelColor(x, y) for x in range(64) for y in range(64)]
    solid = [point for point in points if point.alpha() == 255]
    assert len(solid) > 60
    far = [p.name() for p in solid if abs(p.red() - 0x7A) + abs(p.blue() - 0x12) > 4]
    assert far == []


def test_a_drawing_that_is_not_there_is_no_drawing(qapp) -> None:
    assert find_icon("no_such", QColor("black")).isNull()


@pytest.mark.parametrize("scheme", list(SCHEMES))
@pytest.mark.parametrize("mark", ["down", "tick"])
def test_every_scheme_has_its_marks(scheme, mark) -> None:
    text = resource_path("icons", "arrows", f"{mark}_{scheme}.svg").read_text()
    assert SCHEMES[scheme].text in text
