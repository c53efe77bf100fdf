"""A table as a value: columns that know what they hold, and rows that may come lazily."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import islice
from typing import Literal

from farmdesk.paper.charts import Chart
from farmdesk.quantities.mass import amount_in
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

Kind = Literal[
    "text",
    "code",
    "integer",
    "number",
    "percent",
    "mass",
    "money",
    "day",
    "instant",
    "flag",
]
"""What a column holds: `code` is text made of signs that are never counted with; `percent` is
62.5 for 62.5 %; `mass` is integer milligrams; `money` is Decimal in the farm's currency; `day`
is 'YYYY-MM-DD'; `instant` is UTC ISO text; `flag` is a bool."""

FIGURE_KINDS = frozenset({"integer", "number", "percent", "mass", "money"})
"""Kinds that stand to the right of their column."""

EMPTY = "–"
"""What a person sees where nothing is known."""

_MASS_DECIMALS = {"kg": 2, "g": 0, "lb": 2, "oz": 1}
_CHUNK = 500
_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")


@dataclass(frozen=True)
class Column:
    """One column; `width` is in characters, `digits` are decimals, `unit` follows the title."""

    key: str
    title: str
    kind: Kind = "text"
    unit: str = ""
    width: float | None = None
    digits: int | None = None

    @property
    def is_figure(self) -> bool:
        """Whether its values are compared by size, so that they stand to the right."""
        return self.kind in FIGURE_KINDS

    @property
    def decimals(self) -> int:
        """How many decimals are shown where the kind does not settle it."""
        if self.digits is not None:
            return self.digits
        return {"number": 2, "percent": 1, "money": 2}.get(self.kind, 0)

    def mass_decimals(self, unit: str) -> int:
        """How many decimals of kg, g, lb or oz are shown: a column of masses keeps to one."""
        return self.digits if self.digits is not None else _MASS_DECIMALS[unit]


@dataclass(frozen=True)
class Table:
    """A table to be shown or written in any form; `rows` are gone through once for each form.

    Every row and `totals` have a value or None for each column; texts stand in any kind of
    column as they are. `charts` draw the same figures, wherever the table is shown or written.
    """

    name: str
    title: str
    columns: Sequence[Column]
    rows: Iterable[Sequence[object]]
    notes: Sequence[str] = ()
    totals: Sequence[object] | None = None
    charts: Sequence[Chart] = ()

    def __post_init__(self) -> None:
        keys = [column.key for column in self.columns]
        if not keys or len(set(keys)) != len(keys):
            raise ValueError(f"table {self.name}: columns {keys} are none or not all different")
        if self.totals is not None and len(self.totals) != len(keys):
            raise ValueError(f"table {self.name}: totals do not fit the columns")


def clean_text(text: str) -> str:
    """Text with one kind of line end and every sign that no file can carry shown as '\ufffd'."""
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    return _UNPRINTABLE.sub("\ufffd", text)


def show_value(value: object, column: Column, formats: Formats) -> str:
    """A value as the person reads it; '–' where there is none."""
    if value is None or value == "":
        return EMPTY if value is None else ""
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    if isinstance(value, int | float | Decimal | Fraction):
        return _show_figure(value, column, formats)
    text = str(value)
    if column.kind == "day" and _is_day(text):
        return formats.day(text)
    if column.kind == "instant" and _is_instant(text):
        return formats.instant(text)
    return clean_text(text)


def show_heading(column: Column, formats: Formats) -> str:
    """A column's title with its unit; pounds and ounces are said in each cell instead."""
    unit = column.unit
    if column.kind == "mass" and formats.mass_unit != "lb_oz":
        unit = formats.mass_unit
    return f"{column.title} ({unit})" if unit else column.title


def split_in_columns(table: Table, size: int = _CHUNK) -> Iterator[tuple[tuple[object, ...], ...]]:
    """The rows in chunks, each turned on its side: a tuple of values for every column.

    Columns are handled whole, which is several times faster than cell by cell. Raises ValueError
    for a row that does not fit the columns.
    """
    rows = iter(table.rows)
    while chunk := list(islice(rows, size)):
        columns = tuple(zip(*chunk, strict=True))
        if len(columns) != len(table.columns):
            raise ValueError(f"table {table.name}: {len(columns)} values in a row")
        yield columns


def _show_figure(value: int | float | Decimal | Fraction, column: Column, formats: Formats) -> str:
    if isinstance(value, float | Decimal) and not _is_finite(value):
        return EMPTY
    if column.kind == "mass":
        return _show_mass(round(value), column, formats)
    if column.kind == "money":
        return formats.money(value if isinstance(value, Decimal) else Decimal(str(value)))
    if column.kind == "percent":
        return formats.percent(value, column.decimals)
    if column.kind in ("integer", "number"):
        return formats.number(value, column.decimals)
    return str(value)


def _show_mass(mg: int, column: Column, formats: Formats) -> str:
    unit = formats.mass_unit
    if unit == "lb_oz":
        return formats.mass(mg)
    return formats.number(amount_in(mg, unit), column.mass_decimals(unit))


def _is_finite(value: float | Decimal) -> bool:
    return math.isfinite(value)


def _is_day(text: str) -> bool:
    return re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII) is not None


def _is_instant(text: str) -> bool:
    return re.fullmatch(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z", text, re.ASCII) is not None
