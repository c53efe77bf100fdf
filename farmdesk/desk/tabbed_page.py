"""A page of several parts, one on each tab; only the part in sight is read again."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from PySide6.QtWidgets import QVBoxLayout, QWidget

from farmdesk.desk.context import DeskContext
from farmdesk.desk.page import Page
from farmdesk.desk.part_tabs import PartTabs


class Part(QWidget):
    """What one tab shows. Subclasses fill `self.body` and write `refresh`."""

    title: ClassVar[str] = ""
    help_text: ClassVar[str] = ""

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        self.page = page
        self.setAccessibleName(self.title)
        self.body = QVBoxLayout(self)
        self.body.setContentsMargins(0, 8, 0, 0)
        self.body.setSpacing(8)

    @property
    def context(self) -> DeskContext:
        """The farm and the ways to it, as they are now."""
        return self.page.context

    def refresh(self) -> None:
        """Read again what the part shows; called when it comes in sight and after changes."""

    def show_subject(self, subject: str) -> None:
        """Show one thing of the part."""

    def print_page(self) -> bool:
        """Print what the part shows; True when it did."""
        return False


class TabbedPage(Page):
    """A place whose parts are made when they are first shown."""

    parts: ClassVar[tuple[tuple[str, str, Callable[[TabbedPage], Part]], ...]] = ()
    """Key, title and maker of each part, in order."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.tabs = PartTabs()
        self.tabs.setDocumentMode(True)
        self.tabs.setUsesScrollButtons(True)
        self.tabs.setAccessibleName(self.title)
        self.body.addWidget(self.tabs, 1)
        self._made: dict[str, Part] = {}
        self._stale: set[str] = set()
        self._holders: dict[str, QVBoxLayout] = {}
        for key, title, _ in self.parts:
            holder = QWidget()
            layout = QVBoxLayout(holder)
            layout.setContentsMargins(0, 0, 0, 0)
            self._holders[key] = layout
            self.tabs.addTab(holder, title)
        self.tabs.currentChanged.connect(lambda _: self._show())

    @property
    def part_key(self) -> str:
        """The key of the part in sight."""
        return self.parts[self.tabs.currentIndex()][0]

    def part(self, key: str) -> Part:
        """The part with a key, made if it has not been yet."""
        if key not in self._made:
            maker = next(make for one, _, make in self.parts if one == key)
            self._made[key] = maker(self)
            self._holders[key].addWidget(self._made[key])
            self._stale.add(key)
        return self._made[key]

    def show_part(self, key: str, subject: str = "") -> Part:
        """Bring a part to the front, with one of its things if named."""
        self.tabs.setCurrentIndex([one for one, _, _ in self.parts].index(key))
        part = self._show()
        if subject:
            part.show_subject(subject)
        return part

    def show_subject(self, subject: str) -> None:
        """A subject is 'part' or 'part:thing'; without a known part the one in sight shows it."""
        key, _, rest = subject.partition(":")
        if key in self._holders:
            self.show_part(key, rest)
        else:
            self._show().show_subject(subject)

    def help(self) -> str:
        """What F1 says: the help of the part in sight."""
        return self.part(self.part_key).help_text or self.help_text

    def refresh(self) -> None:
        """Every part is out of date; the one in sight is read again at once."""
        self._stale = set(self._made)
        self._show()

    def print_page(self) -> bool:
        """Print the part in sight."""
        return self._show().print_page()

    def _show(self) -> Part:
        part = self.part(self.part_key)
        if self.part_key in self._stale:
            self._stale.discard(self.part_key)
            part.refresh()
        self.tabs.setFocusProxy(part)
        return part
