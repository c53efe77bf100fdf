"""Things become plain cells and come back; the words of annotations are read right."""

from __future__ import annotations

from dataclasses import fields
from decimal import Decimal
from typing import get_type_hints

import pytest

from farmdesk.domain.bags import Bag, Link
from farmdesk.domain.catalogue import Species
from farmdesk.domain.cells import columns_of, from_cells, to_cells
from farmdesk.domain.things import THINGS


@pytest.mark.parametrize("kind", list(THINGS))
def test_columns_say_what_the_annotations_mean(kind: str) -> None:
    cls = THINGS[kind]
    hints = get_type_hints(cls)
    columns = columns_of(cls)
    assert [column.name for column in columns] == [one.name for one in fields(cls)]
    for column in columns:
        hint = hints[column.name]
        options = getattr(hint, "__args__", ()) or (hint,)
        assert set(options) <= {int, str, Decimal, type(None)}, column.name
        assert column.is_integer == (int in options)
        assert column.is_decimal == (Decimal in options)
        assert column.optional == (type(None) in options)
        assert column.ref is None or column.ref in THINGS


def test_a_thing_comes_back_from_its_cells() -> None:
    bag = Bag(60000001, 50000001, 3, "fruiting", room=None, note="=1+1")
    assert from_cells(Bag, to_cells(bag)) == bag
    assert from_cells(Link, to_cells(Link(1, 2, 3))) == Link(1, 2, 3)


def test_decimals_keep_their_digits() -> None:
    values = {column.name: 1 if column.is_integer else "0.50" for column in columns_of(Species)}
    species = from_cells(Species, values)
    assert species.spawn_percent == Decimal("0.50")
    assert to_cells(species)["spawn_percent"] == "0.50"


@pytest.mark.parametrize(("name", "text"), [("number", "x"), ("number", ""), ("number", "1.5")])
def test_what_is_no_number_is_refused(name: str, text: str) -> None:
    column = next(one for one in columns_of(Bag) if one.name == name)
    with pytest.raises(ValueError, match=r".*"):
        column.read(text)
