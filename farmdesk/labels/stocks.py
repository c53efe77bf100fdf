"""Label stocks: what a sheet or roll measures, read from data files and checked."""

from __future__ import annotations

import dataclasses
import functools
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from farmdesk.domain.catalogue import LabelStock
from farmdesk.errors import Problem, Refused, problem
from farmdesk.settings.places import resource_path

SHEET = "sheet"
ROLL = "roll"
FEEDS = (SHEET, ROLL)

_TOLERANCE_UM = 50
_MOST_UM = 2_000_000


@dataclass(frozen=True)
class Stock:
    """A label sheet or roll; lengths in micrometres, a roll's page is one label."""

    name: str
    page_width_um: int
    page_height_um: int
    columns: int
    rows: int
    label_width_um: int
    label_height_um: int
    left_um: int
    top_um: int
    column_step_um: int
    row_step_um: int
    dpi: int
    feed: str

    @property
    def labels(self) -> int:
        """How many labels a page has."""
        return self.columns * self.rows


_FIELDS = tuple(field.name for field in dataclasses.fields(Stock))
_WHOLE = frozenset(_FIELDS) - {"name", "feed"}
_MAY_BE_ZERO = frozenset({"left_um", "top_um"})


def stock_of(row: LabelStock) -> Stock:
    """The stock that a row of the farm's catalogue describes."""
    return Stock(**{name: getattr(row, name) for name in _FIELDS})


def load_stocks(*folders: Path) -> dict[str, Stock]:
    """Every stock in the TOML files of these folders, by name.

    Raises Refused with every problem found (`stock_...`).
    """
    stocks: dict[str, Stock] = {}
    problems: list[Problem] = []
    for path in (path for folder in folders for path in sorted(folder.glob("*.toml"))):
        try:
            stock = _read_stock(path)
        except Refused as refused:
            problems.extend(refused.problems)
            continue
        if stock.name in stocks:
            problems.append(problem("stock_twice", name=stock.name))
        stocks[stock.name] = stock
    if problems:
        raise Refused(*problems)
    return stocks


@functools.cache
def shipped_stocks() -> Mapping[str, Stock]:
    """The stocks that come with the program."""
    return load_stocks(resource_path("stocks"))


def find_stock(stocks: Mapping[str, Stock], name: str) -> Stock:
    """The stock of this name; Refused (`stock_unknown`) lists the ones there are."""
    if name not in stocks:
        raise Refused(problem("stock_unknown", name=name, known=", ".join(sorted(stocks))))
    return stocks[name]


def check_stock(stock: Stock) -> list[Problem]:
    """What is wrong with a stock's measures; nothing when it can be printed on."""
    problems = [*_check_values(stock.name, dataclasses.asdict(stock))]
    if problems:
        return problems
    return [*_check_steps(stock), *_check_page(stock)]


def _read_stock(path: Path) -> Stock:
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as trouble:
        raise Refused(problem("stock_unreadable", path=path.name, reason=str(trouble))) from trouble
    name = str(data.setdefault("name", path.stem))
    problems = [
        problem("stock_field_missing", name=name, field=field)
        for field in _FIELDS
        if field not in data
    ]
    problems += [
        problem("stock_field_unknown", name=name, field=field)
        for field in data
        if field not in _FIELDS
    ]
    problems += _check_values(name, data)
    if problems:
        raise Refused(*problems)
    stock = Stock(**data)
    problems = check_stock(stock)
    if problems:
        raise Refused(*problems)
    return stock


def _check_values(name: str, data: Mapping[str, object]) -> Iterator[Problem]:
    for field, value in data.items():
        wanted = _wanted(field, value)
        if wanted:
            yield problem(
                "stock_field_wrong", name=name, field=field, value=repr(value), wanted=wanted
            )


def _wanted(field: str, value: object) -> str:
    """What a field's value should have been; empty when it is right."""
    if field in _WHOLE:
        least = 0 if field in _MAY_BE_ZERO else 1
        if field == "dpi":
            least, most = 100, 2400
        else:
            most = _MOST_UM if field.endswith("_um") else 100
        if type(value) is not int or not least <= value <= most:
            return f"a whole number from {least} to {most}"
    elif field == "feed" and value not in FEEDS:
        return " or ".join(FEEDS)
    elif field == "name" and not (isinstance(value, str) and value.strip()):
        return "a name"
    return ""


def _check_steps(stock: Stock) -> Iterator[Problem]:
    if stock.columns > 1 and stock.column_step_um < stock.label_width_um:
        yield problem("stock_overlap", name=stock.name, field="column step")
    if stock.rows > 1 and stock.row_step_um < stock.label_height_um:
        yield problem("stock_overlap", name=stock.name, field="row step")


def _check_page(stock: Stock) -> Iterator[Problem]:
    right = stock.left_um + (stock.columns - 1) * stock.column_step_um + stock.label_width_um
    bottom = stock.top_um + (stock.rows - 1) * stock.row_step_um + stock.label_height_um
    for side, over in (
        ("right", right - stock.page_width_um),
        ("bottom", bottom - stock.page_height_um),
    ):
        if over > _TOLERANCE_UM:
            yield problem("stock_outside_page", name=stock.name, side=side, over=f"{over / 1000:g}")
