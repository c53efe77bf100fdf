"""The columns, the order and the source of a list: what its model is made from."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    from farmdesk.paper.tables import Kind


@dataclass(frozen=True)
class Column:
    """One column: `value` gives what sorts, `text` shows it, `width` is in characters.

    Without `value` the row's attribute named `key` is taken.
    """

    key: str
    title: str
    value: Callable[[Any], Any] | None = None
    text: Callable[[Any], str] | None = None
    width: int = 14
    right: bool = False
    sortable: bool = True
    hint: str = ""
    kind: Kind | None = None
    """What its values are as figures of an exported table; None exports the text shown."""
    sums: bool = False
    """Whether a sum of its values means something, for subtotals; masses always do."""

    @property
    def can_sum(self) -> bool:
        """Whether its values are added up under headings and at the end of a print."""
        return self.sums or self.kind == "mass"

    def value_of(self, row: Any) -> Any:
        """The value of a row in this column."""
        return self.value(row) if self.value is not None else getattr(row, self.key)

    def text_of(self, row: Any) -> str:
        """What a row shows in this column; nothing for None."""
        value = self.value_of(row)
        return "" if value is None else self.show(value)

    def show(self, value: Any) -> str:
        """What a value shows in this column."""
        return self.text(value) if self.text is not None else str(value)


@dataclass(frozen=True)
class Order:
    """The order asked of a list: a column's key, or '' for the list's own order."""

    column: str = ""
    descending: bool = False


class RowSource(Protocol):
    """A long list in the store. Every method runs in a reading worker."""

    def first_page(self, order: Order, words: str, limit: int) -> Sequence[Any]:
        """The first rows in this order that match the filter words."""

    def ids(self, order: Order, words: str) -> array[int]:
        """The ids of all matching rows in this order, as array('q')."""

    def rows(self, ids: Sequence[int]) -> Sequence[Any]:
        """The rows with these ids, in this order of ids; None in place of one that is gone."""


def read_whole(
    source: RowSource, order: Order, words: str, *, limit: int
) -> tuple[int, Sequence[Any] | None]:
    """How many rows of a long list match, and all of them if they are not more than a limit."""
    ids = source.ids(order, words)
    if len(ids) > limit:
        return len(ids), None
    return len(ids), [row for row in source.rows(list(ids)) if row is not None]
