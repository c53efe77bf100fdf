"""The shipped catalogue read into a new farm: species, reasons, recipes, rooms, cards."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, asdict, fields
from decimal import Decimal
from typing import Any, TypeVar

from farmdesk.actions.base import Act
from farmdesk.actions.wall_cards import keep_card, make_plain_cards
from farmdesk.domain.catalogue import (
    Ingredient,
    LabelStock,
    PriceList,
    Reason,
    Recipe,
    RecipePart,
    Room,
    Species,
    StorageLife,
    Strain,
)
from farmdesk.domain.cells import Cells, Thing, columns_of, from_cells
from farmdesk.domain.things import KIND_OF
from farmdesk.labels.stocks import shipped_stocks
from farmdesk.quantities.mass import MG_PER_G
from farmdesk.settings.places import resource_path

T = TypeVar("T", bound=Thing)
Row = Mapping[str, str]
FIRST_STRAIN = "01"


def seed_catalogue(act: Act) -> None:
    """Bring the whole shipped catalogue into a farm that has none yet."""
    species = _seed(act, Species, "species.csv", key="code")
    for one in act.tx.all(Species):
        first = Strain(act.next_id("strain"), one.id, FIRST_STRAIN, f"{one.name} {FIRST_STRAIN}")
        act.make("strain_made", first)
    _seed(
        act, StorageLife, "storage_life.csv", given=lambda row: {"species": species[row["species"]]}
    )
    _seed_recipes(act)
    for reason in _read_each(act, Reason, "defects.csv", "removal_reasons.csv"):
        keep_card(act, act.make("reason_made", reason))
    for room in _read_each(act, Room, "rooms.csv"):
        keep_card(act, act.make("room_made", room))
    make_plain_cards(act)
    for stock in shipped_stocks().values():
        row = LabelStock(act.next_id("label_stock"), **asdict(stock))
        act.make("label_stock_made", row)
    act.make("price_list_made", PriceList(act.next_id("price_list"), "Usual prices"))


def _seed_recipes(act: Act) -> None:
    ingredients = _seed(act, Ingredient, "ingredients.csv")
    recipes = _seed(
        act,
        Recipe,
        "recipes.csv",
        given=lambda row: {"block_mg": int(Decimal(row["block_g"]) * MG_PER_G)},
    )
    _seed(
        act,
        RecipePart,
        "recipe_parts.csv",
        key="share_percent",
        given=lambda row: {
            "recipe": recipes[row["recipe"]],
            "ingredient": ingredients[row["ingredient"]],
        },
    )


def _seed(
    act: Act,
    cls: type[T],
    file: str,
    *,
    key: str = "name",
    given: Callable[[Row], Mapping[str, int]] = lambda row: {},  # noqa: ARG005
) -> dict[str, int]:
    """Make a thing of each row; ids by the text in the key column."""
    ids: dict[str, int] = {}
    kind = KIND_OF[cls]
    things = []
    for row in _rows(file):
        thing_id = act.next_id(kind)
        ids[row.get(key, "")] = thing_id
        things.append(_read(cls, {**given(row), "id": thing_id}, row))
    act.make_many(f"{kind}_made", things)
    return ids


def _read_each(act: Act, cls: type[T], *files: str) -> Iterator[T]:
    for file in files:
        for row in _rows(file):
            yield _read(cls, {"id": act.next_id(KIND_OF[cls])}, row)


def _read(cls: type[T], given: Mapping[str, int], row: Row) -> T:
    """A thing from a row; a column that the file lacks has the field's own default."""
    defaults: Mapping[str, Any] = {
        one.name: one.default for one in fields(cls) if one.default is not MISSING
    }
    cells: Cells = {}
    for column in columns_of(cls):
        if column.name in given:
            cells[column.name] = given[column.name]
        elif column.name in row:
            cells[column.name] = column.read(row[column.name])
        else:
            cells[column.name] = defaults[column.name]
    return from_cells(cls, cells)


def _rows(file: str) -> list[Row]:
    with resource_path("seed", file).open(encoding="utf-8", newline="") as text:
        return list(csv.DictReader(text))
