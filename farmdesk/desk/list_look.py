"""A list's look: which columns it shows, in which order and widths, how it is sorted and grouped.

It is remembered on this computer, by the place the list stands in; the farm knows nothing of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QDialog, QHeaderView, QTableView, QWidget

if TYPE_CHECKING:
    from farmdesk.desk.tables import LongTable
    from farmdesk.settings.list_memory import ListMemory

_ASCENDING, _DESCENDING = Qt.SortOrder.AscendingOrder, Qt.SortOrder.DescendingOrder
LEAST_CHARACTERS, MOST_CHARACTERS = 3.0, 120.0


class ListLook(QObject):
    """Reads, changes and remembers how one list looks."""

    def __init__(self, view: QTableView, table: LongTable) -> None:
        super().__init__(view)
        self._view, self._table = view, table
        self._memory: ListMemory | None = None
        self._key = ""
        self._is_recalled = False
        self._first: dict[str, Any] = {}

    # ---- columns, by their keys

    def order(self) -> list[str]:
        """The keys of all columns from left to right, hidden ones too."""
        header = self._view.horizontalHeader()
        keys = [one.key for one in self._table.columns]
        return [keys[header.logicalIndex(at)] for at in range(len(keys))]

    def hidden(self) -> list[str]:
        """The keys of the columns that are not shown."""
        columns = enumerate(self._table.columns)
        return [one.key for at, one in columns if self._view.isColumnHidden(at)]

    def set_hidden(self, keys: list[str]) -> None:
        """Hide these columns and show all others; one at least stays."""
        known = [one.key for one in self._table.columns]
        if all(key in keys for key in known):
            return
        for at, key in enumerate(known):
            self._view.setColumnHidden(at, key in keys)
        self.keep()

    def set_order(self, keys: list[str]) -> None:
        """Put columns in this order; those not named follow."""
        header = self._view.horizontalHeader()
        known = [one.key for one in self._table.columns]
        for place, key in enumerate([key for key in keys if key in known]):
            header.moveSection(header.visualIndex(known.index(key)), place)

    def width(self, key: str) -> float:
        """A column's width in characters."""
        return round(self._view.columnWidth(self._place(key)) / self._letter(), 1)

    def set_width(self, key: str, characters: float) -> None:
        """Make a column so many characters wide."""
        wanted = min(MOST_CHARACTERS, max(LEAST_CHARACTERS, characters))
        self._view.setColumnWidth(self._place(key), round(wanted * self._letter()))

    def usual_width(self, key: str) -> float:
        """The width in characters that a column begins with."""
        column = self._table.columns[self._place(key)]
        return max(column.width, len(column.title) + 4) + 16 / self._letter()

    def has_width_of_its_own(self, key: str) -> bool:
        """Whether the person made this column wider or narrower, now or earlier."""
        widths = self._remembered().get("widths")
        return isinstance(widths, Mapping) and key in widths

    def reset(self) -> None:
        """Back to the columns, order, widths and groups that the list began with, not sorted."""
        self._view.horizontalHeader().setSortIndicator(-1, _ASCENDING)
        self._table.group_by(self._first.get("group", ""))
        self.set_hidden(self._first.get("hidden", []))
        self.set_order([one.key for one in self._table.columns])
        for one in self._table.columns:
            self.set_width(one.key, self.usual_width(one.key))
        self.keep()

    # ---- memory

    def recall(self) -> None:
        """Take on what is remembered; once, when the list is first shown where it belongs."""
        if self._is_recalled:
            return
        self._is_recalled = True
        self._first = self._now()
        self._memory = _memory_of(self._view)
        self._key = _key_of(self._view, self._table)
        self._take_on(self._remembered())
        header: QHeaderView = self._view.horizontalHeader()
        header.sectionMoved.connect(self.keep)
        header.sectionResized.connect(self.keep)
        header.sortIndicatorChanged.connect(self.keep)

    def keep(self, *_: object) -> None:
        """Remember how the list looks now, where that is not how it began."""
        if self._memory is not None and self._is_recalled:
            now = self._now()
            look = {name: value for name, value in now.items() if value != self._first[name]}
            self._memory.keep(self._key, look)

    def _remembered(self) -> Mapping[str, object]:
        memory = self._memory or _memory_of(self._view)
        key = self._key or _key_of(self._view, self._table)
        return memory.look(key) if memory is not None else {}

    def _now(self) -> dict[str, Any]:
        order, shown = self._table.order(), [k for k in self.order() if k not in self.hidden()]
        # The last one shown is stretched to the edge: its width is nobody's choice.
        widths = {key: self.width(key) for key in shown[:-1]}
        usual = {key: round(self.usual_width(key), 1) for key in widths}
        return {
            "order": self.order(),
            "hidden": self.hidden(),
            "widths": {key: one for key, one in widths.items() if abs(one - usual[key]) > 0.5},
            "sort": [order.column, order.descending],
            "group": self._table.group,
        }

    def _take_on(self, look: Mapping[str, object]) -> None:
        known = [one.key for one in self._table.columns]
        self.set_order(_texts(look.get("order")))
        if "hidden" in look:
            self.set_hidden(_texts(look["hidden"]))
        widths = look.get("widths")
        for key, wide in widths.items() if isinstance(widths, Mapping) else ():
            if key in known and isinstance(wide, int | float):
                self.set_width(key, wide)
        sort, group = look.get("sort"), look.get("group")
        if isinstance(sort, list) and len(sort) == 2 and sort[0] in known:
            self._view.sortByColumn(
                known.index(sort[0]), _DESCENDING if sort[1] is True else _ASCENDING
            )
        if isinstance(group, str) and (not group or group in known):
            self._table.group_by(group)

    def _place(self, key: str) -> int:
        return [one.key for one in self._table.columns].index(key)

    def _letter(self) -> int:
        return max(1, self._view.fontMetrics().averageCharWidth())


def _texts(value: object) -> list[str]:
    return [one for one in value if isinstance(one, str)] if isinstance(value, list) else []


def _memory_of(widget: QWidget) -> ListMemory | None:
    """The memory that the window around a widget has."""
    above: QWidget | None = widget
    while above is not None:
        memory: ListMemory | None = getattr(above, "list_memory", None)
        if memory is not None:
            return memory
        above = above.parentWidget()
    return None


def _key_of(view: QWidget, table: LongTable) -> str:
    """The place and the columns: the same in every language and session."""
    above = view.parentWidget()
    while above is not None and not (hasattr(above, "context") or isinstance(above, QDialog)):
        above = above.parentWidget()
    place = type(above).__name__ if above is not None else ""
    return f"{place}: {' '.join(one.key for one in table.columns)}"
