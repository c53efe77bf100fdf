"""Anything is found by its code, its name, or words: in any letter case, on both databases."""

from __future__ import annotations

from decimal import Decimal
from functools import partial

import pytest

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm, save
from farmdesk.actions.inoculation import SpawnUse, inoculate
from farmdesk.actions.lab import discard_lab, register_spawn
from farmdesk.actions.orders import take_order
from farmdesk.domain.catalogue import Customer, Product, Room, Species, Strain
from farmdesk.domain.codes import code_of
from farmdesk.reports.search import fold, search_farm


@pytest.fixture
def found(store):
    """A farm with a batch, a spawn lot, an order and notes; gives a search."""
    perform(store, lambda act: begin_farm(act, name="Heron Lane", first_serial=5000))
    perform(store, _fill)
    return lambda text: [(one.kind, one.name, one.place) for one in search_farm(store, text)]


def _fill(act) -> None:
    oyster = act.tx.first(Species, code="OY")
    strain = save(act, Strain(0, oyster.id, "07", "Río blanco"))
    spawn = register_spawn(act, strain=strain.id, bags=1, each_mg=3_000_000, note="Über-dense")
    inoculate(
        act,
        strain=strain.id,
        spawn=[SpawnUse(spawn[0].id, 900_000)],
        bags=12,
        block_mg=2_000_000,
        dry_mg=800_000,
        room=act.tx.all(Room)[0].id,
        note="smells of 100% apple",
    )
    customer = save(act, Customer(0, "Café Dömchen", address="4 Quay Street"))
    product = save(act, Product(0, "Oyster, loose"))
    lines = [(product.id, Decimal(2), "kg", Decimal(9))]
    take_order(act, customer=customer.id, due_on="2099-12-01", lines=lines)


def test_a_batch_is_found_by_the_beginning_and_the_middle_of_its_name(found) -> None:
    assert ("batch", "OY07-0001", "incubation") in found("oy07")
    assert ("batch", "OY07-0001", "incubation") in found("07-00")
    assert found("OY99") == []


def test_bags_are_found_by_name_and_number(found) -> None:
    assert ("bag", "OY07-0001-003", "incubation") in found("oy07-0001-003")
    assert [name for kind, name, _ in found("OY07-0001-01") if kind == "bag"] == [
        "OY07-0001-010",
        "OY07-0001-011",
        "OY07-0001-012",
    ]


def test_a_printed_code_finds_its_thing(found, store) -> None:
    bag = next(one for one in search_farm(store, "OY07-0001-002") if one.kind == "bag")
    assert found(code_of(bag.id)) == [("bag", "OY07-0001-002", "incubation")]


@pytest.mark.parametrize("text", ["cafe domchen", "DÖMCHEN", "quay street", "Café"])
def test_customers_are_found_without_case_and_marks(found, text) -> None:
    assert ("customer", "Café Dömchen", "catalogue") in found(text)


def test_orders_are_found_by_number_and_by_customer(found) -> None:
    assert ("order", "O-0001", "sales") in found("o-0001")
    assert ("order", "O-0001", "sales") in found("dömchen")


def test_strains_and_species_are_found(found) -> None:
    assert ("strain", "Río blanco", "catalogue") in found("rio BLANCO")
    assert ("species", "Oyster", "catalogue") in found("oyst")


def test_notes_are_found_with_what_they_are_about(found, store) -> None:
    assert ("note", "OY07-0001", "incubation") in found("apple smells")
    assert ("note", "S-OY07-0001", "lab") in found("ÜBER")
    details = [one.detail for one in search_farm(store, "apple") if one.kind == "note"]
    assert details == ["smells of 100% apple"]


@pytest.mark.parametrize("text", ["", "   ", "%", "_", "\\", "'; drop table bag", "x" * 5_000])
def test_signs_that_mean_something_to_a_database_find_only_themselves(found, text) -> None:
    # The seed catalogue holds some of these signs as such.
    assert {kind for kind, _, _ in found(text)} <= {"note", "recipe", "reason"}


def test_a_search_that_is_given_up_finds_nothing(found, store) -> None:
    assert search_farm(store, "oyster", lambda: True) == []


def test_folding_drops_case_and_marks() -> None:
    assert fold("Ñandú Straße") == "nandu strasse"


def test_a_lot_on_no_list_any_more_is_shown_by_its_life(found, store) -> None:
    spawn = next(one for one in search_farm(store, "S-OY07") if one.kind == "spawn")
    assert spawn.place == "lab"
    perform(store, partial(discard_lab, thing_id=spawn.id, note="dry"))
    gone = next(one for one in search_farm(store, "S-OY07") if one.kind == "spawn")
    assert (gone.place, gone.id) == ("", spawn.id)
