"""A picture of values on a white card: its places are walked by keys, pointed at, and opened."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import (
    QApplication,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QToolTip,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.page_painting import draw_page
from farmdesk.paper.pages import Page
from farmdesk.paper.pictures import Picture, Spot
from farmdesk.wording.language import tr

_MARGIN_MM, _LEAST_MM = 3.0, 96.0
_FOCUS = QColor("#b3460b")
"""Seen on white in every scheme, as the card is white in all of them."""
_BACK = (Qt.Key.Key_Left, Qt.Key.Key_Up)
_ON = (Qt.Key.Key_Right, Qt.Key.Key_Down)


class PictureCard(QWidget):
    """Arrow keys walk the spots, Home and End jump, Enter opens what a spot leads to."""

    opened = Signal(object)
    """The target of the spot that was opened."""
    said = Signal(str)
    """The words of the spot in sight."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.picture: Picture | None = None
        self.place = -1
        self._holder: QWidget | None = None
        self._expects = False
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def show_picture(self, picture: Picture | None) -> None:
        """Show a picture; what was walked to stays in sight, wherever it is now."""
        self.place = _place_of(self.spot, picture, self.place)
        self.picture = picture
        self.setAccessibleDescription(picture.words if picture is not None else "")
        self.setFixedSize(self.sizeHint())
        self.update()
        if picture is not None and self._expects:
            if self._holder is QApplication.focusWidget():
                self.setFocus()
            self._holder, self._expects = None, False

    def expect_keys(self, holder: QWidget | None) -> None:
        """Take the keys from `holder` when a picture comes, unless they went elsewhere by then."""
        self._holder, self._expects = holder, True

    @property
    def takes_keys(self) -> bool:
        """Whether there is something to walk, so that a place puts the cursor here."""
        return self.picture is not None

    @property
    def spot(self) -> Spot | None:
        """The spot walked to."""
        if self.picture is None or not 0 <= self.place < len(self.picture.spots):
            return None
        return self.picture.spots[self.place]

    def go_to(self, place: int) -> None:
        """Walk to a spot by its number, say it, and bring it into sight."""
        if self.picture is None or not self.picture.spots:
            return
        self.place = max(0, min(place, len(self.picture.spots) - 1))
        spot = self.picture.spots[self.place]
        self.said.emit(spot.words)
        area = self._area_of(spot).toAlignedRect()
        above = self.parentWidget()
        while above is not None and not isinstance(above, QScrollArea):
            above = above.parentWidget()
        if above is not None:
            above.ensureVisible(area.center().x(), area.center().y(), area.width(), area.height())
        self.update()

    def open_spot(self) -> None:
        """Open what the spot in sight leads to."""
        if self.spot is not None and self.spot.target is not None:
            self.opened.emit(self.spot.target)

    # ---- Qt's own

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """The picture at a size that goes with the text's."""
        if self.picture is None:
            return QSize(0, 0)
        dots = self.dots_per_mm()
        return QSize(
            round((self.picture.width_mm + 2 * _MARGIN_MM) * dots),
            round((self.picture.height_mm + 2 * _MARGIN_MM) * dots),
        )

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's own name
        """Larger text makes a larger picture."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.setFixedSize(self.sizeHint())

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's own name
        """Draw the card, and a frame around the spot that the keys stand on."""
        if self.picture is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor("white"))
        dots = self.dots_per_mm()
        page = Page(self.picture.width_mm, self.picture.height_mm, self.picture.marks)
        painter.save()
        painter.translate(_MARGIN_MM * dots, _MARGIN_MM * dots)
        draw_page(painter, page, dots_per_mm=dots)
        painter.restore()
        painter.setPen(QPen(self.palette().mid().color(), 1))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        if self.hasFocus():
            painter.setPen(QPen(_FOCUS, 2.5))
            spot = self.spot
            area = self._area_of(spot) if spot is not None else QRectF(self.rect())
            painter.drawRect(area.adjusted(1.5, 1.5, -1.5, -1.5))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Walk and open."""
        if event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            super().keyPressEvent(event)
            return
        last = len(self.picture.spots) - 1 if self.picture is not None else -1
        match event.key():
            case key if key in _BACK:
                self.go_to(self.place - 1)
            case key if key in _ON:
                self.go_to(self.place + 1)
            case Qt.Key.Key_Home:
                self.go_to(0)
            case Qt.Key.Key_End:
                self.go_to(last)
            case Qt.Key.Key_Return | Qt.Key.Key_Enter | Qt.Key.Key_Space:
                self.open_spot()
            case _:
                super().keyPressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's own name
        """Say what is pointed at."""
        at = self._spot_at(event.position())
        spot = self.picture.spots[at] if self.picture is not None and at >= 0 else None
        QToolTip.showText(event.globalPosition().toPoint(), spot.words if spot else "", self)
        leads = spot is not None and spot.target is not None
        self.setCursor(Qt.CursorShape.PointingHandCursor if leads else Qt.CursorShape.ArrowCursor)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's own name
        """Walk to what is clicked."""
        at = self._spot_at(event.position())
        if at >= 0:
            self.go_to(at)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's own name
        """Open what is clicked twice."""
        if self._spot_at(event.position()) >= 0:
            self.open_spot()

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's own name
        """Say where the keys stand."""
        super().focusInEvent(event)
        if self.spot is not None:
            self.said.emit(self.spot.words)
        self.update()

    # ---- inner workings

    def dots_per_mm(self) -> float:
        """Pixels a millimetre: nine points of the picture are as large as the desk's text."""
        return self.fontMetrics().height() / 4.6

    def _area_of(self, spot: Spot) -> QRectF:
        dots = self.dots_per_mm()
        return QRectF(
            (spot.left_mm + _MARGIN_MM) * dots, (spot.top_mm + _MARGIN_MM) * dots,
            spot.width_mm * dots, spot.height_mm * dots,
        )  # fmt: skip

    def _spot_at(self, point: QPointF) -> int:
        """The smallest spot under a point, or -1."""
        spots = self.picture.spots if self.picture is not None else ()
        under = [at for at, one in enumerate(spots) if self._area_of(one).contains(point)]
        return min(under, key=lambda at: spots[at].width_mm * spots[at].height_mm, default=-1)


def _place_of(spot: Spot | None, picture: Picture | None, before: int) -> int:
    """Where a spot is in another picture: keys would act on another thing at the old place."""
    spots = picture.spots if picture is not None else ()
    if spot is not None and spot.target is not None:
        for at, one in enumerate(spots):
            if one.target == spot.target:
                return at
    return min(before, len(spots) - 1)


class PictureFrame(QWidget):
    """A card that scrolls, with the words of its spot in sight below it."""

    widened = Signal()
    """There is more or less room for the picture."""

    def __init__(self, name: str, empty_text: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._empty = empty_text
        self.card = PictureCard(name)
        self.setFocusProxy(self.card)
        self.area = QScrollArea()
        self.area.setWidget(self.card)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setAccessibleName(name)
        self.words = QLabel(empty_text)
        self.words.setWordWrap(True)
        self.words.setMinimumHeight(self.fontMetrics().height() + 4)
        self.words.setAccessibleName(tr("What the arrow keys stand on"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.area, 1)
        column.addWidget(self.words)
        self.card.said.connect(self.words.setText)
        self._room = 0.0

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's own name
        """Tell when there is another room to draw in."""
        super().resizeEvent(event)
        if self.room_mm() != self._room:
            self._room = self.room_mm()
            self.widened.emit()

    def room_mm(self) -> float:
        """How wide a picture may be to be seen whole, at the size of the desk's text."""
        bar = self.area.verticalScrollBar().sizeHint().width()
        pixels = self.width() - bar - 2 * self.area.frameWidth()
        return max(_LEAST_MM, pixels / self.card.dots_per_mm() - 2 * _MARGIN_MM)

    def show_picture(self, picture: Picture | None) -> None:
        """Show a picture, or say that there is none."""
        self.card.show_picture(picture)
        there = picture is not None
        self.area.setVisible(there)
        walk = tr("Arrow keys walk the picture; Enter opens what it shows.")
        self.words.setText(walk if there and picture and picture.spots else self._empty)
        if self.card.spot is not None and self.card.hasFocus():
            self.words.setText(self.card.spot.words)
