"""How a thing becomes plain cells (int, text or nothing) and comes back, the same everywhere."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import Field, dataclass, field, fields
from decimal import Decimal
from functools import cache
from typing import Any, ClassVar, Protocol, TypeVar, cast

Cell = int | str | None
Cells = dict[str, Cell]


class Thing(Protocol):
    """Anything the farm keeps: a frozen dataclass."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]


T = TypeVar("T", bound=Thing)


def ref(kind: str, *, none: bool = False) -> Any:
    """A field that holds the id of another thing of this kind."""
    if none:
        return field(default=None, metadata={"ref": kind})
    return field(default=0, metadata={"ref": kind})


@dataclass(frozen=True)
class Column:
    """One field of a thing as the store and the CSV files see it."""

    name: str
    is_integer: bool
    is_decimal: bool
    optional: bool
    ref: str | None

    def read(self, text: str) -> Cell:
        """A cell from CSV text; raises ValueError when it is not what the column holds."""
        if text == "":
            if self.optional:
                return None
            if self.is_integer or self.is_decimal:
                raise ValueError("empty")
            return ""
        if self.is_integer:
            return int(text)
        if self.is_decimal:
            value = Decimal(text)
            if not value.is_finite():
                raise ValueError(text)
        return text


def columns_of(cls: type[Any]) -> tuple[Column, ...]:
    """The columns of a kind of thing, in the order of its fields."""
    return _columns_of(cast(Hashable, cls))


@cache
def _columns_of(cls: Any) -> tuple[Column, ...]:
    found = []
    for one in fields(cls):
        # The words of the annotation; evaluating them costs the start of the desk 20 ms.
        options = str(one.type).split(" | ")
        found.append(
            Column(
                name=one.name,
                is_integer="int" in options,
                is_decimal="Decimal" in options,
                optional="None" in options,
                ref=one.metadata.get("ref"),
            )
        )
    return tuple(found)


@cache
def _decimals_of(cls: Any) -> tuple[tuple[int, str], ...]:
    return tuple((at, c.name) for at, c in enumerate(columns_of(cls)) if c.is_decimal)


@cache
def _names_of(cls: Any) -> tuple[str, ...]:
    return tuple(column.name for column in _columns_of(cls))


def cell(value: object) -> Cell:
    """A field's value as a cell."""
    if isinstance(value, Decimal):
        return format(value, "f")
    return value  # type: ignore[return-value]


def to_cells(thing: Thing) -> Cells:
    """All fields of a thing as cells."""
    return {name: cell(getattr(thing, name)) for name in _names_of(cast(Hashable, type(thing)))}


def maker_of(cls: type[T]) -> Callable[[Any], T]:
    """A function that makes things of a kind from rows in field order."""
    decimals = _decimals_of(cast(Hashable, cls))
    if not decimals:
        return lambda row: cls(*row)

    def make(row: Any) -> T:
        values = list(row)
        for at, _ in decimals:
            if values[at] is not None:
                values[at] = Decimal(values[at])
        return cls(*values)

    return make


def from_cells(cls: type[T], cells: Mapping[str, Cell]) -> T:
    """A thing from its cells."""
    return maker_of(cls)([cells[name] for name in _names_of(cast(Hashable, cls))])
