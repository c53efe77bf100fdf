"""Label layouts as data: for each kind of label, where its texts and its symbol stand.

A layout has variants from the largest to the smallest; each divides the label into a grid of its
own and names places on it, so one file serves every stock.
"""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from farmdesk.errors import Refused, problem
from farmdesk.labels.fields import FIELDS, field_of
from farmdesk.settings.places import resource_path

FIELD = "field"
TEXT = "text"
SYMBOL = "symbol"
CODE = "code"
RUNGS = "rungs"
RULE = "rule"
TICKS = "ticks"
TRADE = "trade"

_PUT = (SYMBOL, CODE, RUNGS, RULE, TICKS, TRADE)
_ALIGN = ("left", "center", "right")
_CAPTION = ("none", "inline", "above")


@dataclass(frozen=True, eq=False)
class Place:
    """A part of a label and what stands in it; `at` is left, top, width, height of the whole 1."""

    what: str
    name: str
    at: tuple[float, float, float, float]
    size_pt: float = 8.0
    min_pt: float = 6.0
    wrap_pt: float | None = None
    lines: int = 1
    bold: bool = False
    align: str = "left"
    caption: str = "none"
    module_mm: float = 0.5
    count: int = 3


@dataclass(frozen=True, eq=False)
class Variant:
    """The places for labels with at least this much room, in mm."""

    name: str
    least_width_mm: float
    least_height_mm: float
    places: tuple[Place, ...]


@dataclass(frozen=True, eq=False)
class Layout:
    """Every variant for one kind of label, the one for the largest labels first."""

    kind: str
    variants: tuple[Variant, ...]


def load_layouts(*folders: Path) -> dict[str, Layout]:
    """The layouts in the TOML files of these folders, by kind; a later folder takes over.

    Raises Refused (`layout_unreadable`, `layout_wrong`) for a file that cannot be used.
    """
    layouts: dict[str, Layout] = {}
    for folder in folders:
        for path in sorted(folder.glob("*.toml")):
            layout = _read_layout(path)
            layouts[layout.kind] = layout
    return layouts


@functools.cache
def shipped_layouts() -> Mapping[str, Layout]:
    """The layouts that come with the program."""
    return load_layouts(resource_path("layouts"))


class _Wrong(Exception):
    """Something in a layout file is not right: where, and why."""

    def __init__(self, where: str, reason: str) -> None:
        super().__init__(where, reason)
        self.where = where
        self.reason = reason


def _read_layout(path: Path) -> Layout:
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as trouble:
        raise Refused(problem("layout_unreadable", path=path.name, reason=trouble)) from trouble
    try:
        return _layout_from(data)
    except _Wrong as wrong:
        found = problem("layout_wrong", path=path.name, where=wrong.where, reason=wrong.reason)
        raise Refused(found) from wrong


def _layout_from(data: Mapping[str, object]) -> Layout:
    kind = data.get("kind")
    if not isinstance(kind, str) or kind not in FIELDS:
        raise _Wrong("kind", f"it should be one of {', '.join(FIELDS)}")
    variants = data.get("variant")
    if not isinstance(variants, list) or not variants:
        raise _Wrong("variant", "at least one [[variant]] is needed")
    return Layout(kind, tuple(_variant_from(kind, one) for one in variants))


def _variant_from(kind: str, data: Mapping[str, object]) -> Variant:
    name = str(data.get("name", ""))
    width, height = _numbers(data.get("least"), 2, f"{name} least")
    grid = _numbers(data.get("grid"), 2, f"{name} grid")
    places = data.get("places")
    if not isinstance(places, list):
        raise _Wrong(name, "it has no places")
    made = tuple(_place_from(kind, one, grid, name) for one in places)
    if sum(one.what == SYMBOL for one in made) != 1:
        raise _Wrong(name, "it needs one place for the symbol")
    if all(one.what != CODE for one in made):
        raise _Wrong(name, "it needs a place for the code's digits")
    return Variant(name, width, height, made)


def _place_from(
    kind: str, data: Mapping[str, object], grid: Sequence[float], variant: str
) -> Place:
    what, name = _what_from(kind, data, variant)
    where = f"{variant} {name or what}"
    left, top, width, height = _numbers(data.get("at"), 4, where)
    if left < 0 or top < 0 or left + width > grid[0] + 1e-6 or top + height > grid[1] + 1e-6:
        raise _Wrong(where, "it lies outside the grid")
    wrap = data.get("wrap")
    options = {
        key: value for key, value in data.items() if key not in (FIELD, TEXT, "put", "at", "wrap")
    }
    place = Place(
        what,
        name,
        (left / grid[0], top / grid[1], width / grid[0], height / grid[1]),
        size_pt=_number(options.pop("size", 8.0), where),
        min_pt=_number(options.pop("min", 6.0), where),
        wrap_pt=None if wrap is None else _number(wrap, where),
        lines=int(_number(options.pop("lines", 1), where)),
        bold=bool(options.pop("bold", False)),
        align=_one_of(options.pop("align", "left"), _ALIGN, where),
        caption=_one_of(options.pop("caption", "none"), _CAPTION, where),
        module_mm=_number(options.pop("module", 0.5), where),
        count=int(_number(options.pop("count", 3), where)),
    )
    if options:
        raise _Wrong(where, f"{', '.join(options)} means nothing here")
    return place


def _what_from(kind: str, data: Mapping[str, object], variant: str) -> tuple[str, str]:
    """What stands at a place, and the field's name or the fixed text."""
    put = data.get("put")
    if put is not None:
        what = _one_of(put, _PUT, variant)
        name = str(data.get(FIELD, ""))
    elif TEXT in data:
        return TEXT, str(data[TEXT])
    else:
        what, name = FIELD, str(data.get(FIELD, ""))
    if what in (FIELD, RUNGS) and field_of(kind, name) is None:
        known = ", ".join(one.name for one in FIELDS[kind])
        raise _Wrong(variant, f"there is no field {name!r}; there are {known}")
    return what, name


def _numbers(value: object, count: int, where: str) -> tuple[float, ...]:
    if not isinstance(value, list) or len(value) != count:
        raise _Wrong(where, f"{count} numbers in brackets are needed")
    return tuple(_number(one, where) for one in value)


def _number(value: object, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1000:
        raise _Wrong(where, f"{value!r} is not a number from 0 to 1000")
    return float(value)


def _one_of(value: object, known: Sequence[str], where: str) -> str:
    if value not in known:
        raise _Wrong(where, f"{value!r} should be one of {', '.join(known)}")
    return str(value)
