"""What a thing of the catalogue must be like before it is kept."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from farmdesk.actions.base import Act
from farmdesk.domain.catalogue import LabelStock, Product, Room
from farmdesk.domain.cells import Column, Thing, columns_of
from farmdesk.domain.codes import shown
from farmdesk.domain.things import KIND_OF, THINGS
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.mass import HEAVIEST_MG

LONGEST_NAME = 120
LONGEST_TEXT = 2_000
LONGEST_SHELF, MOST_SHELVES = 8, 100
USES_OF_ROOM = ("lab", "incubation", "fruiting", "cold store")
USES_OF_REASON = ("discard", "waste", "gift", "own", "drying", "count")
PRICE_UNITS = ("kg", "lb", "pack")
_LONG = ("address", "contact", "note", "caution", "source", "status", "origin", "treatment")
_ONE_OF: Mapping[tuple[str, str], tuple[str, ...]] = {
    ("room", "use"): USES_OF_ROOM,
    ("reason", "use"): USES_OF_REASON,
    ("product", "unit"): PRICE_UNITS,
    ("price", "unit"): PRICE_UNITS,
    ("product", "fill"): ("fixed", "catch"),
    ("product", "form"): ("fresh", "dried", "preserve"),
}
_PATTERNS: Mapping[tuple[str, str], tuple[re.Pattern[str], str]] = {
    ("species", "code"): (re.compile(r"[A-Z]{2}"), "two capital letters, such as OY"),
    ("strain", "code"): (re.compile(r"[0-9]{2}"), "two digits, such as 01"),
    ("species", "flush_shares"): (
        re.compile(r"(?:[0-9]{1,3}(?:\.[0-9]+)?(?:/[0-9]{1,3}(?:\.[0-9]+)?)*)?"),
        "percentages with strokes between, such as 60/30/10",
    ),
}
_UNIQUE: Mapping[str, tuple[str, ...]] = {
    "room": ("name",),
    "crate": ("name",),
    "species": ("code",),
    "strain": ("species", "code"),
    "ingredient": ("name",),
    "recipe": ("name",),
    "recipe_part": ("recipe", "ingredient"),
    "reason": ("use", "name"),
    "label_stock": ("name",),
    "price_list": ("name",),
    "tax_rate": ("name",),
    "product": ("name",),
    "price": ("price_list", "product", "unit"),
}
_NEEDED: Mapping[str, tuple[str, ...]] = {
    "species": ("name", "code"),
    "strain": ("code",),
    "person": ("name", "initials"),
    "card": ("title",),
}


@dataclass(frozen=True)
class _Limits:
    low: Decimal
    high: Decimal
    low_allowed: bool = True
    high_allowed: bool = True


def _limits(low: int, high: int, *, low_allowed: bool = True, high_allowed: bool = True) -> _Limits:
    return _Limits(Decimal(low), Decimal(high), low_allowed, high_allowed)


_SHARE = _limits(0, 100)
_MOISTURE = _limits(0, 100, high_allowed=False)
_CLIMATE_C = _limits(-40, 130)
_MASS = _limits(0, HEAVIEST_MG, low_allowed=False)
_BOOL = _limits(0, 1)
_MONEY = _limits(0, 1_000_000)
_LIMITS: Mapping[tuple[str, str], _Limits] = {
    ("farm", "sell_by_percent"): _limits(0, 100, low_allowed=False),
    ("farm", "tax_percent"): _SHARE,
    ("farm", "cold_store_c"): _CLIMATE_C,
    ("farm", "inoculation_weekday"): _limits(1, 7),
    ("farm", "walk_days"): _limits(1, 90),
    ("tax_rate", "percent"): _SHARE,
    ("product", "tare_mg"): _limits(0, HEAVIEST_MG),
    ("species", "spawn_percent"): _limits(0, 100, low_allowed=False),
    ("species", "moisture_percent"): _MOISTURE,
    ("species", "flushes"): _limits(1, 12),
    ("storage_life", "days"): _limits(0, 3650, low_allowed=False),
    ("storage_life", "temperature_c"): _CLIMATE_C,
    ("strain", "max_transfers"): _limits(0, 1000),
    ("strain", "max_generation"): _limits(0, 100),
    ("room", "capacity"): _limits(0, 1_000_000, low_allowed=False),
    ("ingredient", "moisture_percent"): _MOISTURE,
    ("ingredient", "cost_per_kg"): _MONEY,
    ("recipe", "moisture_percent"): _MOISTURE,
    ("recipe", "block_mg"): _MASS,
    ("recipe_part", "share_percent"): _SHARE,
    ("crate", "tare_mg"): _limits(0, HEAVIEST_MG),
    ("product", "pack_mg"): _MASS,
    ("price", "price"): _MONEY,
    ("customer", "minimum_life_days"): _limits(0, 3650),
    ("customer", "payment_days"): _limits(0, 3650),
}
_BY_NAME: Mapping[str, _Limits] = {
    "retired": _BOOL,
    "contamination": _BOOL,
    "with_spawn_dry": _BOOL,
    "humidity_low": _SHARE,
    "humidity_high": _SHARE,
    "be_percent_low": _limits(0, 1000),
    "be_percent_high": _limits(0, 1000),
    "temperature_c_low": _CLIMATE_C,
    "temperature_c_high": _CLIMATE_C,
    "fruiting_c_low": _CLIMATE_C,
    "fruiting_c_high": _CLIMATE_C,
    "incubation_c": _CLIMATE_C,
    "co2_max": _limits(0, 1_000_000),
}


def check_thing(act: Act, thing: Thing) -> list[Problem]:
    """Everything that is wrong with a thing of the catalogue; empty when it may be kept."""
    kind = KIND_OF[type(thing)]
    columns = columns_of(type(thing))
    found = [one for column in columns for one in _check_column(act, kind, column, thing)]
    if found:
        return found
    found = [
        *_check_pairs(thing, columns),
        *_check_twins(act, kind, thing),
        *_check_product(thing),
        *_check_shelves(thing),
    ]
    if isinstance(thing, LabelStock):
        from farmdesk.labels.stocks import check_stock, stock_of  # noqa: PLC0415 - as below

        found += check_stock(stock_of(thing))
    return found


def _check_shelves(thing: Thing) -> Iterator[Problem]:
    """Shelves of a room have short names, each once."""
    if not isinstance(thing, Room):
        return
    names = thing.shelves.split()
    twice = [name for at, name in enumerate(names) if name in names[:at]]
    if twice:
        yield problem("shelf_twice", field="shelves", shelf=twice[0])
    if len(names) > MOST_SHELVES:
        yield problem("shelves_too_many", field="shelves", most=MOST_SHELVES)
    for name in names:
        if len(name) > LONGEST_SHELF:
            yield problem("shelf_too_long", field="shelves", shelf=shown(name), most=LONGEST_SHELF)


def check_text(field: str, text: str, *, needed: bool, long: bool = False) -> Iterator[Problem]:
    """Text may hold any writing there is, but no control characters, and not too much of it."""
    label = _label(field)
    most = LONGEST_TEXT if long else LONGEST_NAME
    if needed and not text.strip():
        yield problem("field_empty", field=field, label=label)
    elif len(text) > most:
        yield problem("text_too_long", field=field, label=label, length=len(text), longest=most)
    elif any(_is_control(one, long) for one in text):
        yield problem("text_not_printable", field=field, label=label, text=shown(text))


def _is_control(character: str, long: bool) -> bool:
    if long and character in "\n\t":
        return False
    return unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp")


def _label(field: str) -> str:
    return field.replace("_", " ").capitalize()


def _check_column(act: Act, kind: str, column: Column, thing: Thing) -> Iterator[Problem]:
    value: Any = getattr(thing, column.name)
    if column.name == "id":
        return
    if column.ref:
        yield from _check_ref(act, column, value)
    elif column.is_integer or column.is_decimal:
        yield from _check_number(kind, column, value)
    elif isinstance(value, str):
        yield from _check_words(kind, column.name, value)


def _check_ref(act: Act, column: Column, value: int | None) -> Iterator[Problem]:
    if value is None and column.optional:
        return
    label = _label(column.name)
    if not value:
        yield problem("field_empty", field=column.name, label=label)
    elif column.ref and act.tx.get(THINGS[column.ref], value) is None:
        yield problem("choice_not_there", field=column.name, label=label, id=value)


def _check_number(kind: str, column: Column, value: int | Decimal | None) -> Iterator[Problem]:
    if value is None:
        return
    number = Decimal(value)
    limits = _LIMITS.get((kind, column.name)) or _BY_NAME.get(column.name)
    if limits is None:
        limits = _limits(0, 1_000_000_000)
    low_ok = number.is_finite() and (
        number > limits.low or (limits.low_allowed and number == limits.low)
    )
    high_ok = low_ok and (number < limits.high or (limits.high_allowed and number == limits.high))
    if not (low_ok and high_ok):
        yield problem(
            "figure_out_of_range",
            field=column.name,
            label=_label(column.name),
            value=value,
            low=f"{'' if limits.low_allowed else 'more than '}{limits.low:,}",
            high=f"{'' if limits.high_allowed else 'less than '}{limits.high:,}",
        )


def _check_words(kind: str, name: str, value: str) -> Iterator[Problem]:
    choices = _ONE_OF.get((kind, name))
    if choices is not None and value not in choices:
        choice = ", ".join(choices)
        yield problem(
            "not_one_of", field=name, label=_label(name), text=shown(value), choices=choice
        )
        return
    pattern = _PATTERNS.get((kind, name))
    if pattern is not None and not pattern[0].fullmatch(value):
        yield problem(
            "form_wrong", field=name, label=_label(name), text=shown(value), form=pattern[1]
        )
        return
    needed = name in _NEEDED.get(kind, ("name",))
    yield from check_text(name, value, needed=needed, long=name in _LONG)


def _check_pairs(thing: Thing, columns: tuple[Column, ...]) -> Iterator[Problem]:
    for column in columns:
        if not column.name.endswith("_low"):
            continue
        low = getattr(thing, column.name)
        high = getattr(thing, column.name.removesuffix("_low") + "_high")
        if low is not None and high is not None and low > high:
            what = column.name.removesuffix("_low")
            yield problem(
                "low_above_high", field=column.name, label=_label(what), low=low, high=high
            )


def _check_twins(act: Act, kind: str, thing: Any) -> Iterator[Problem]:
    names = _UNIQUE.get(kind)
    if names is None:
        return
    for other in act.tx.all(type(thing)):
        if other.id != thing.id and all(
            _folded(getattr(other, name)) == _folded(getattr(thing, name)) for name in names
        ):
            text = _TWIN_TEXT.get(kind, lambda one: str(getattr(one, names[-1])))(thing)
            yield problem(
                "name_taken",
                field=names[-1],
                kind=kind,
                text=shown(text),
            )
            return


_TWIN_TEXT: Mapping[str, Callable[[Any], str]] = {
    "recipe_part": lambda part: f"number {part.ingredient}",
    "price": lambda price: f"per {price.unit}",
}


def _folded(value: object) -> object:
    if isinstance(value, str):
        return " ".join(unicodedata.normalize("NFKC", value).casefold().split())
    return value


def _check_product(thing: Thing) -> Iterator[Problem]:
    if isinstance(thing, Product) and thing.gtin:
        # A pick checks its texts here too: the bench need not wait for labels and their numbers.
        from farmdesk.domain.gs1 import read_gtin  # noqa: PLC0415

        try:
            read_gtin(thing.gtin)
        except Refused as refused:
            yield from refused.problems
    if isinstance(thing, Product) and thing.unit == "pack" and not thing.pack_mg:
        yield problem("pack_without_mass", field="pack_mg", text=shown(thing.name))
