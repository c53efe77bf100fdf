"""Rows of a list under headings: one for each value of a column, with counts and subtotals."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.columns import Column


@dataclass(frozen=True)
class Heading:
    """One heading between rows: the text of its group, how many rows, and their sums by column."""

    key: Hashable
    text: str
    rows: int
    sums: Mapping[str, Any]
    is_open: bool

    @property
    def title(self) -> str:
        """What the heading reads, and is spoken as."""
        return tr("{group} ({count})").format(group=self.text, count=self.rows)


@dataclass(frozen=True)
class Group:
    """A heading and all its rows, shown or not."""

    heading: Heading
    rows: Sequence[Any]


def group_rows(
    rows: Iterable[Any],
    column: Column,
    columns: Sequence[Column],
    *,
    closed: Set[Hashable] = frozenset(),
    descending: bool = False,
) -> list[Group]:
    """Rows by what they show in a column; groups in the order of its values, rows as they come."""
    by_text: dict[str, list[Any]] = {}
    for row in rows:
        by_text.setdefault(column.text_of(row), []).append(row)
    order = sorted(by_text, key=lambda text: sort_key(column, by_text[text][0]), reverse=descending)
    return [_group(text, by_text[text], columns, closed) for text in order]


def sum_rows(rows: Sequence[Any], columns: Sequence[Column]) -> dict[str, Any]:
    """The sum of each column that may be summed; None where no row has a value."""
    return {one.key: _sum(one, rows) for one in columns if one.can_sum}


def lay_out(groups: Iterable[Group]) -> list[Any]:
    """Headings and rows in the order shown; rows of closed groups are left out."""
    shown: list[Any] = []
    for group in groups:
        shown.append(group.heading)
        if group.heading.is_open:
            shown += group.rows
    return shown


def sort_key(column: Column, row: Any) -> tuple[bool, Any]:
    """Rows without a value come first; text sorts without regard to letter case."""
    value = column.value_of(row)
    if value is None:
        return (False, 0)
    return (True, value.casefold() if isinstance(value, str) else value)


def _group(text: str, rows: list[Any], columns: Sequence[Column], closed: Set[Hashable]) -> Group:
    shown = text or tr("(nothing)")
    sums = sum_rows(rows, columns)
    return Group(Heading(text, shown, len(rows), sums, text not in closed), tuple(rows))


def _sum(column: Column, rows: Sequence[Any]) -> Any:
    values = [value for row in rows if (value := column.value_of(row)) is not None]
    figures = [one for one in values if isinstance(one, int | float | Decimal | Fraction)]
    return sum(figures[1:], start=figures[0]) if figures else None
