"""The desk's own drawings, coloured for the theme in use."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

from farmdesk.settings.places import resource_path

_PIXELS = 64
_INK = b"#000000"


def find_icon(name: str, colour: QColor) -> QIcon:
    """The drawing `resources/icons/<name>.svg` in one colour; an empty icon when there is none."""
    pixmap = _draw(name, colour.name())
    return QIcon(pixmap) if pixmap is not None else QIcon()


@lru_cache(maxsize=128)
def _draw(name: str, colour: str) -> QPixmap | None:
    path = resource_path("icons", f"{name}.svg")
    if not path.is_file():
        return None
    text = path.read_bytes().replace(_INK, colour.encode())
    pixmap = QPixmap(_PIXELS, _PIXELS)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    QSvgRenderer(QByteArray(text)).render(painter, QRectF(0, 0, _PIXELS, _PIXELS))
    painter.end()
    return pixmap
