"""Pictures of codes, for the dialog that reads them."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QPainter

from farmdesk.paper.symbols import modules


def draw_codes(path: Path, codes: list[str]) -> Path:
    """A picture of Code 128 symbols under each other, five pixels to a module."""
    image = QImage(900, 60 + 240 * len(codes), QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    for row, code in enumerate(codes):
        for at, one in enumerate(modules(code)):
            if one == "1":
                painter.fillRect(80 + at * 5, 60 + row * 240, 5, 120, Qt.GlobalColor.black)
    painter.end()
    assert image.save(str(path))
    return path
