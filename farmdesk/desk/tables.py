"""One item model for every list: short lists held whole, long ones read by identity in pages.

A long list shows its first page at once; a worker then brings the vector of ids in the asked
order, 8 bytes a row, and pages of 256 rows are read by id when they come into sight.
"""

from __future__ import annotations

from array import array
from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal

from farmdesk.desk.columns import Column, Order, RowSource, read_whole
from farmdesk.desk.grouping import Group, Heading, group_rows, lay_out, sort_key
from farmdesk.desk.workplace import Errand, Workplace

__all__ = ["PAGE_ROWS", "Column", "LongTable", "Order", "RowSource"]

GROUP_LIMIT = 5_000
"""So many rows of a long list are still read whole to be grouped."""
PAGE_ROWS = 256
PAGES_KEPT = 40
PATIENCE_S = 0.012
"""So long the view waits for a page of rows before it paints dots in their place."""
WAITING_TEXT = "…"

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole
HEADING_ROLE = Role.UserRole + 1
"""The heading that stands in a row, for the delegate that paints it."""
_ASCENDING, _DESCENDING = Qt.SortOrder.AscendingOrder, Qt.SortOrder.DescendingOrder
_RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
_LEFT = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)


class LongTable(QAbstractTableModel):
    """The rows of one list. Give it rows (`set_rows`) or a source (`set_source`)."""

    about_to_reset = Signal()
    """The view scrolls to the top first: a reset below the new end costs up to a second."""
    counted = Signal(int)
    """The number of rows that match is known."""
    group_refused = Signal(int)
    """A long list has more rows than can be grouped: so many."""

    def __init__(self, columns: Sequence[Column], parent: Any = None) -> None:
        super().__init__(parent)
        self.columns = tuple(columns)
        self._all: list[Any] = []
        self._shown: list[Any] = []
        self._source: RowSource | None = None
        self._workplace: Workplace | None = None
        self._order = Order()
        self._words = ""
        self._group = ""
        self._closed: set[Hashable] = set()
        self._groups: list[Group] = []
        self._ids: array[int] | None = None
        self._pages: OrderedDict[int, Sequence[Any]] = OrderedDict()
        self._errands: dict[int, Errand] = {}
        self._turn = 0

    # ---- filling

    def set_rows(self, rows: Sequence[Any]) -> None:
        """Show a short list, held whole."""
        self._source = None
        self._all = list(rows)
        self._arrange()

    def set_source(self, source: RowSource, workplace: Workplace) -> None:
        """Show a long list, read in pages by the reading lane."""
        self._source, self._workplace = source, workplace
        self.reload()

    def reload(self) -> None:
        """Read a long list again, in the same order, with the same filter."""
        self._turn += 1
        if self._source is None or self._workplace is None:
            self._arrange()
            return
        if self._group:
            self._workplace.read(
                read_whole,
                self._source,
                self._order,
                self._words,
                limit=GROUP_LIMIT,
                then=partial(self._take_whole, self._turn),
            )
            return
        self._workplace.read(
            self._source.first_page,
            self._order,
            self._words,
            PAGE_ROWS,
            then=partial(self._take_first, self._turn),
        )

    def filter(self, words: str) -> None:
        """Show only rows that hold all these words, in any column and letter case."""
        if words.strip().casefold() != self._words:
            self._words = words.strip().casefold()
            self.reload()

    def group_by(self, key: str) -> None:
        """Put the rows under headings, one for each value of a column; '' takes them away."""
        if key != self._group and (not key or self._column(key) is not None):
            self._group = key
            self._closed.clear()
            self.reload()

    def toggle(self, row: int) -> bool:
        """Open or close the group whose heading stands there; False when none does."""
        heading = self.heading_at(row)
        if heading is None:
            return False
        self._set_closed({heading.key} ^ self._closed)
        return True

    def open_all(self, *, opened: bool) -> None:
        """Open or close every group."""
        self._set_closed(set() if opened else {one.heading.key for one in self._groups})

    # ---- asking

    @property
    def group(self) -> str:
        """The key of the column that the rows are grouped by, or ''."""
        return self._group

    @property
    def words(self) -> str:
        """The filter's words."""
        return self._words

    @property
    def source(self) -> RowSource | None:
        """Where a long list comes from; None for a short one."""
        return self._source

    def groups(self) -> list[Group]:
        """The groups with all their rows, when the list is grouped."""
        return list(self._groups)

    def heading_at(self, row: int) -> Heading | None:
        """The heading at a place, if one stands there."""
        if not self._groups or self._ids is not None or not 0 <= row < len(self._shown):
            return None
        found = self._shown[row]
        return found if isinstance(found, Heading) else None

    def row_at(self, row: int) -> Any | None:
        """The row object at a place; None for a heading, and while a long list brings it."""
        if self._ids is None:
            if not 0 <= row < len(self._shown):
                return None
            found = self._shown[row]
            return None if isinstance(found, Heading) else found
        if not 0 <= row < len(self._ids):
            return None
        number, place = divmod(row, PAGE_ROWS)
        page = self._pages.get(number)
        if page is None:
            page = self._fetch(number)
        else:
            self._pages.move_to_end(number)
        return page[place] if page is not None and place < len(page) else None

    def order(self) -> Order:
        """The order shown now."""
        return self._order

    def shown_rows(self) -> list[Any]:
        """All rows of a short list in the order shown; of a long list, those read so far.

        Rows of groups that are closed belong to them.
        """
        if self._groups:
            return [row for group in self._groups for row in group.rows]
        if self._ids is None:
            return list(self._shown)
        return [row for page in self._pages.values() for row in page if row is not None]

    def ids_at(self, rows: Sequence[int]) -> list[int] | None:
        """The ids of rows of a long list; None for a short one."""
        return None if self._ids is None else [self._ids[row] for row in rows]

    def row_for(self, wanted: Callable[[Any], bool]) -> int | None:
        """The first row of a short list for which this holds."""
        found = (
            at for at, row in enumerate(self._shown) if not isinstance(row, Heading) and wanted(row)
        )
        return next(found, None) if self._ids is None else None

    # ---- short lists

    def _arrange(self) -> None:
        rows = self._all
        if self._words:
            rows = [row for row in rows if self._matches(row)]
        column = self._column(self._order.column)
        if column is not None:
            rows = sorted(rows, key=partial(sort_key, column), reverse=self._order.descending)
        self._show_whole(rows)

    def _show_whole(self, rows: Sequence[Any]) -> None:
        group = self._column(self._group)
        if group is None:
            self._replace(list(rows), None)
        else:
            backwards = self._order.descending and self._order.column == self._group
            groups = group_rows(
                rows, group, self.columns, closed=self._closed, descending=backwards
            )
            self._replace(lay_out(groups), None, groups)
        self.counted.emit(len(rows))

    def _set_closed(self, closed: set[Hashable]) -> None:
        self._closed = closed
        self._show_whole(self.shown_rows())

    def _matches(self, row: Any) -> bool:
        text = "\t".join(column.text_of(row) for column in self.columns).casefold()
        return all(word in text for word in self._words.split())

    def _column(self, key: str) -> Column | None:
        return next((one for one in self.columns if one.key == key), None)

    def _replace(
        self, rows: list[Any], ids: array[int] | None, groups: list[Group] | None = None
    ) -> None:
        self.about_to_reset.emit()
        self.beginResetModel()
        self._drop_pages()
        self._shown, self._ids, self._groups = rows, ids, groups or []
        self.endResetModel()

    # ---- long lists

    def _take_first(self, turn: int, rows: Sequence[Any]) -> None:
        if turn != self._turn or self._source is None or self._workplace is None:
            return
        self._replace(list(rows), None)
        if len(rows) < PAGE_ROWS:
            self.counted.emit(len(rows))
            return
        self._workplace.read(
            self._source.ids, self._order, self._words, then=partial(self._take_ids, turn)
        )

    def _take_whole(self, turn: int, found: tuple[int, Sequence[Any] | None]) -> None:
        if turn != self._turn:
            return
        count, rows = found
        if rows is not None:
            self._show_whole(rows)
            return
        self._group = ""
        self.group_refused.emit(count)
        self.reload()

    def _take_ids(self, turn: int, ids: array[int]) -> None:
        if turn != self._turn:
            return
        first = len(self._shown)
        if len(ids) <= first:
            self._replace([], ids)
        else:
            self.beginInsertRows(QModelIndex(), first, len(ids) - 1)
            if first == PAGE_ROWS:
                self._pages[0] = self._shown
            self._shown, self._ids = [], ids
            self.endInsertRows()
        self.counted.emit(len(ids))

    def _fetch(self, number: int) -> Sequence[Any] | None:
        if number in self._errands or self._ids is None:
            return None
        if self._source is None or self._workplace is None:
            return None
        start = number * PAGE_ROWS
        ids = list(self._ids[start : start + PAGE_ROWS])
        errand = self._workplace.read(
            self._source.rows, ids, then=partial(self._take_page, self._turn, number)
        )
        if errand.wait(PATIENCE_S) and (rows := errand.drop_for_result()) is not None:
            self._keep_page(number, rows)
            return self._pages[number]
        self._errands[number] = errand
        return None

    def _take_page(self, turn: int, number: int, rows: Sequence[Any]) -> None:
        if turn != self._turn or self._ids is None:
            return
        self._errands.pop(number, None)
        self._keep_page(number, rows)
        first = number * PAGE_ROWS
        last = min(first + PAGE_ROWS, len(self._ids)) - 1
        self.dataChanged.emit(self.index(first, 0), self.index(last, len(self.columns) - 1))

    def _keep_page(self, number: int, rows: Sequence[Any]) -> None:
        self._pages[number] = rows
        while len(self._pages) > PAGES_KEPT:
            self._pages.popitem(last=False)

    def _drop_pages(self) -> None:
        for errand in self._errands.values():
            errand.drop()
        self._errands.clear()
        self._pages.clear()

    # ---- Qt's own

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008, N802
        """Rows that match."""
        if parent.isValid():
            return 0
        return len(self._shown) if self._ids is None else len(self._ids)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008, N802
        """Columns, chosen or not."""
        return 0 if parent.isValid() else len(self.columns)

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:
        """Text, alignment and the spoken text of a cell."""
        if not index.isValid():
            return None
        column = self.columns[index.column()]
        heading = self.heading_at(index.row()) if self._groups else None
        if heading is not None:
            return _of_heading(heading, column, role)
        if role in (Role.DisplayRole, Role.ToolTipRole, Role.AccessibleTextRole):
            row = self.row_at(index.row())
            return WAITING_TEXT if row is None else column.text_of(row)
        if role == Role.TextAlignmentRole:
            return _RIGHT if column.right else _LEFT
        return None

    def headerData(  # noqa: N802
        self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole
    ) -> Any:
        """Titles and hints of columns; numbers of rows."""
        if orientation == Qt.Orientation.Vertical:
            return section + 1 if role == Role.DisplayRole else None
        if not 0 <= section < len(self.columns):
            return None
        column = self.columns[section]
        if role == Role.DisplayRole:
            return column.title
        if role == Role.ToolTipRole:
            return column.hint or column.title
        if role == Role.TextAlignmentRole:
            return _RIGHT if column.right else _LEFT
        return None

    def sort(self, column: int, order: Qt.SortOrder = _ASCENDING) -> None:
        """Order by a column; -1 is the list's own order."""
        wanted = Order()
        if 0 <= column < len(self.columns) and self.columns[column].sortable:
            wanted = Order(self.columns[column].key, order == _DESCENDING)
        if wanted != self._order:
            self._order = wanted
            self.reload()


def _of_heading(heading: Heading, column: Column, role: int) -> Any:
    """What a heading shows in a column: its sum there; it is spoken as a whole."""
    if role == HEADING_ROLE:
        return heading
    if role == Role.DisplayRole:
        total = heading.sums.get(column.key)
        return "" if total is None else column.show(total)
    if role in (Role.ToolTipRole, Role.AccessibleTextRole):
        return heading.title
    if role == Role.TextAlignmentRole:
        return _RIGHT if column.right else _LEFT
    return None
