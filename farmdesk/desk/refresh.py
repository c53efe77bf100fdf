"""Tells pages what changed: a page in sight refreshes, a hidden one when it is shown."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

import shiboken6
from PySide6.QtCore import QObject, Signal


class Refreshable(Protocol):
    """A page or dialog that shows things of the farm."""

    def refresh(self) -> None:
        """Read again what is shown."""

    def isVisible(self) -> bool:  # noqa: N802 - Qt's own name
        """Whether a person can see it now."""


ANY_KIND = "*"
"""Interest in every kind of thing."""


class Refresher(QObject):
    """Knows which page shows which kinds of thing, and which pages are stale."""

    broadcasted = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._interests: dict[Refreshable, frozenset[str]] = {}
        self._stale: set[Refreshable] = set()

    def register(self, page: Refreshable, kinds: Iterable[str]) -> None:
        """Note what a page shows; it is stale until it is first shown."""
        self._interests[page] = frozenset(kinds)
        self._stale.add(page)

    def forget(self, page: Refreshable) -> None:
        """Drop a page that is closed."""
        self._interests.pop(page, None)
        self._stale.discard(page)

    def broadcast(self, kinds: Iterable[str]) -> None:
        """Say which kinds of thing changed, once for each act."""
        changed = frozenset(kinds)
        for page, interest in list(self._interests.items()):
            if not shiboken6.isValid(page):
                self.forget(page)
            elif ANY_KIND in interest or ANY_KIND in changed or interest & changed:
                self._stale.add(page)
                if page.isVisible():
                    self.shown(page)
        self.broadcasted.emit(changed)

    def shown(self, page: Refreshable) -> None:
        """A page came into sight: refresh it if it is stale."""
        if page in self._stale:
            self._stale.discard(page)
            page.refresh()

    def is_stale(self, page: Refreshable) -> bool:
        """Whether the page will refresh when it is next shown."""
        return page in self._stale
