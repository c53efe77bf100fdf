"""Finds what is clipped, overlapping or nameless in a window, by walking its widgets."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QCalendarWidget,
    QComboBox,
    QHeaderView,
    QLabel,
    QLayout,
    QLineEdit,
    QMenuBar,
    QScrollArea,
    QScrollBar,
    QSplitter,
    QStackedLayout,
    QStackedWidget,
    QStatusBar,
    QStyle,
    QStyleOptionFrame,
    QTabBar,
    QTabWidget,
    QWidget,
)

SLACK_PX = 1
_LINE_MARGIN_PX = 2
"""What QLineEdit leaves free at both ends of its text."""
_OF_QT = (QComboBox, QHeaderView, QMenuBar, QScrollBar, QStatusBar, QTabBar, QCalendarWidget)
"""What is inside these is laid out by Qt itself."""


def faults_of(root: QWidget) -> list[str]:
    """A line for each visible widget that is clipped, too small for its text, or overlaps."""
    faults: list[str] = []
    for widget in own_widgets(root):
        faults += _outside(widget) if widget is not root else []
        faults += _too_small(widget)
        faults += _cut_placeholder(widget)
        faults += _scrolls_sideways(widget)
        faults += _overlaps(widget)
    return faults


def own_widgets(root: QWidget) -> Iterator[QWidget]:
    """The visible widgets under a root that the program made, the root first."""
    if not root.isVisible() and root.window() is not root:
        return
    yield root
    if isinstance(root, _OF_QT):
        return
    for child in root.children():
        inside = isinstance(child, QWidget) and child.isVisible() and not child.isWindow()
        inside = inside and not child.size().isEmpty()
        if inside and not (child.objectName().startswith("qt_scrollarea") and _is_bar(child)):
            yield from own_widgets(child)


def name_of(widget: QWidget) -> str:
    """How a fault names a widget: class, text or name, and the way to it."""
    words = _text_of(widget) or widget.accessibleName() or widget.objectName()
    way = []
    above = widget.parentWidget()
    while above is not None and len(way) < 4:
        way.append(type(above).__name__)
        above = above.parentWidget()
    return f"{type(widget).__name__} {words[:40]!r} in {' < '.join(way)}"


def _is_bar(widget: QWidget) -> bool:
    return bool(widget.findChildren(QScrollBar)) or isinstance(widget, QScrollBar)


def _text_of(widget: QWidget) -> str:
    text = getattr(widget, "text", None)
    return str(text()) if callable(text) else ""


def _outside(widget: QWidget) -> list[str]:
    parent = widget.parentWidget()
    if parent is None or _scrolls(parent) or isinstance(parent, QStackedWidget | QSplitter):
        return []
    room = parent.rect().adjusted(-SLACK_PX, -SLACK_PX, SLACK_PX, SLACK_PX)
    if room.contains(widget.geometry()):
        return []
    return [f"clipped: {name_of(widget)} at {_words(widget.geometry())}, room {_words(room)}"]


def _scrolls(widget: QWidget) -> bool:
    above = widget.parentWidget()
    return isinstance(above, QAbstractScrollArea) and above.viewport() is widget


def _too_small(widget: QWidget) -> list[str]:
    if widget.property("elides") or not isinstance(widget, QLabel | QAbstractButton | QComboBox):
        return []
    if isinstance(widget.parentWidget(), _OF_QT) or type(widget).__name__.startswith("QLineEdit"):
        return []
    hint = widget.minimumSizeHint() if isinstance(widget, QComboBox) else widget.sizeHint()
    if isinstance(widget, QLabel):
        if not widget.text():
            return []
        if widget.wordWrap():
            tall = widget.heightForWidth(widget.width())
            is_small = widget.height() + SLACK_PX < tall
            return [f"cut off: {name_of(widget)}: {widget.height()} < {tall}"] if is_small else []
    short = widget.width() + SLACK_PX < hint.width() or widget.height() + SLACK_PX < hint.height()
    if not short:
        return []
    size = f"{widget.width()} x {widget.height()}"
    return [f"too small: {name_of(widget)}: {size} < {hint.width()} x {hint.height()}"]


def _cut_placeholder(widget: QWidget) -> list[str]:
    if not isinstance(widget, QLineEdit) or not widget.placeholderText() or widget.text():
        return []
    option = QStyleOptionFrame()
    widget.initStyleOption(option)
    part = QStyle.SubElement.SE_LineEditContents
    inside = widget.style().subElementRect(part, option, widget)
    room = inside.width() - 2 * _LINE_MARGIN_PX
    wanted = widget.fontMetrics().horizontalAdvance(widget.placeholderText())
    if wanted <= room:
        return []
    return [f"cut off: {name_of(widget)}: {widget.placeholderText()!r} needs {wanted} > {room}"]


def _scrolls_sideways(widget: QWidget) -> list[str]:
    """Lists may scroll sideways; a page or form may not (WCAG 2.2, 1.4.10)."""
    if not isinstance(widget, QScrollArea) or not widget.horizontalScrollBar().maximum():
        return []
    by = widget.horizontalScrollBar().maximum()
    return [f"scrolls sideways: {name_of(widget)}: by {by}, room {widget.viewport().width()}"]


def _overlaps(widget: QWidget) -> list[str]:
    if isinstance(widget, QStackedWidget | QTabWidget | QAbstractScrollArea | QSplitter):
        return []
    layout = widget.layout()
    stacked = set(_stacked(layout)) if layout is not None else set()
    parts = [
        one
        for one in widget.children()
        if isinstance(one, QWidget)
        and one.isVisible()
        and not one.isWindow()
        and not one.property("floats")
        and id(one) not in stacked
    ]
    if type(widget).__module__.startswith("PySide6") and layout is None:
        return []
    return [
        f"overlap: {name_of(one)} {_words(one.geometry())} and {name_of(other)} "
        f"{_words(other.geometry())}"
        for one, other in combinations(parts, 2)
        if _cover(one.geometry(), other.geometry())
    ]


def _stacked(layout: QLayout) -> Iterator[int]:
    for at in range(layout.count()):
        item = layout.itemAt(at)
        inner = item.layout() if item is not None else None
        if inner is not None:
            yield from _stacked(inner)
        elif isinstance(layout, QStackedLayout) and item is not None and item.widget() is not None:
            yield id(item.widget())


def _cover(one: QRect, other: QRect) -> bool:
    both = one.intersected(other)
    return both.width() > SLACK_PX and both.height() > SLACK_PX


def _words(rect: QRect) -> str:
    return f"{rect.width()}x{rect.height()}+{rect.x()}+{rect.y()}"


# ---- names and focus


def controls_of(root: QWidget) -> list[QWidget]:
    """The visible, enabled widgets that Tab reaches."""
    wanted = Qt.FocusPolicy.TabFocus
    return [
        one
        for one in root.findChildren(QWidget)
        if one.isVisible()
        and one.isEnabled()
        and (one.focusPolicy() & wanted) == wanted
        and one.focusProxy() is None
        and not one.objectName().startswith("qt_")
    ]


def nameless(root: QWidget) -> list[str]:
    """The controls of which a screen reader could say nothing."""
    return [name_of(one) for one in controls_of(root) if not spoken_name(one).strip()]


def spoken_name(widget: QWidget) -> str:
    """What a screen reader calls a control: its name, its text, or the label that is its buddy."""
    if widget.accessibleName():
        return widget.accessibleName()
    if isinstance(widget, QAbstractButton) and widget.text():
        return widget.text()
    parent = widget.parentWidget()
    if isinstance(parent, QComboBox) or (parent is not None and isinstance(widget, QTabBar)):
        return parent.accessibleName()
    labels = widget.window().findChildren(QLabel)
    return next((one.text() for one in labels if one.buddy() is widget), "")


def is_in_sight(widget: QWidget) -> bool:
    """Whether some of a widget can be seen inside all that hold it."""
    region = widget.visibleRegion().boundingRect()
    return not region.isEmpty() and widget.mapTo(widget.window(), QPoint(0, 0)) is not None
