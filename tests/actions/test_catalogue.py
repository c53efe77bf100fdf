"""Beginning a farm, and keeping, retiring and deleting what it knows."""

from __future__ import annotations

import csv
from collections import Counter
from decimal import Decimal

import pytest
from begun_farm import BegunFarm, begin

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm, delete, retire, save, save_recipe
from farmdesk.domain.cards import ACTS
from farmdesk.domain.catalogue import (
    Crate,
    Customer,
    Farm,
    Ingredient,
    LabelStock,
    PriceList,
    Product,
    Reason,
    Recipe,
    RecipePart,
    Room,
    Species,
    StorageLife,
    Strain,
)
from farmdesk.domain.stations import Card
from farmdesk.errors import FarmdeskError, NotUnderstood, Refused
from farmdesk.labels.stocks import shipped_stocks
from farmdesk.settings.places import resource_path
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.sentences import SENTENCES, say_error

HOSTILE = [
    "Shelf \"A\" and 'B'; DROP TABLE room;--",
    "=HYPERLINK(1)",
    "🍄 room 🍄",
    "غرفة الفطر",
    "Kühlraum №2 {name} %s",
]


def rows(file: str) -> list[dict[str, str]]:
    with resource_path("seed", file).open(encoding="utf-8", newline="") as text:
        return list(csv.DictReader(text))


def refusal(caught: pytest.ExceptionInfo[FarmdeskError]) -> list[str]:
    """The codes refused with; each has its sentence, with every fact filled in."""
    assert all(one.code in SENTENCES for one in caught.value.problems)
    assert "{" not in say_error(caught.value)
    return [one.code for one in caught.value.problems]


def test_seeds_load_whole(farm: BegunFarm) -> None:
    for cls, file in [
        (Species, "species.csv"),
        (StorageLife, "storage_life.csv"),
        (Ingredient, "ingredients.csv"),
        (Recipe, "recipes.csv"),
        (RecipePart, "recipe_parts.csv"),
        (Room, "rooms.csv"),
    ]:
        assert len(farm.all(cls)) == len(rows(file)) > 0, file
    reasons = rows("defects.csv") + rows("removal_reasons.csv")
    assert Counter(one.use for one in farm.all(Reason)) == Counter(one["use"] for one in reasons)
    assert len(farm.all(LabelStock)) == len(shipped_stocks())
    assert len(farm.all(PriceList)) == 1
    assert {one.code for one in farm.all(Strain)} == {"01"}
    assert len(farm.all(Strain)) == len(farm.all(Species))


def test_seed_figures_arrive_as_they_stand_in_the_files(farm: BegunFarm) -> None:
    by_code = {one["code"]: one for one in rows("species.csv")}
    for one in farm.all(Species):
        row = by_code[one.code]
        assert str(one.spawn_percent) == row["spawn_percent"]
        assert one.flush_shares == row["flush_shares"]
        assert (one.source, one.status) == (row["source"], row["status"])
    blocks = {one["name"]: int(one["block_g"]) * 1000 for one in rows("recipes.csv")}
    assert {one.name: one.block_mg for one in farm.all(Recipe)} == blocks


def test_every_act_has_its_card_and_every_target_one(farm: BegunFarm) -> None:
    cards = farm.all(Card)
    counts = Counter(one.act for one in cards)
    discards = [one for one in farm.all(Reason) if one.use == "discard"]
    assert counts["move"] == len(farm.all(Room))
    assert counts["discard"] == len(discards)
    assert all(counts[act] == 1 for act in ACTS if act not in ("move", "discard"))
    assert {one.title for one in cards if one.act == "move"} >= {"Move to Fruiting room"}


def test_seed_is_sound(farm: BegunFarm) -> None:
    """Every shipped thing passes the checks that a typed one must pass."""
    for cls in (Species, StorageLife, Ingredient, Recipe, RecipePart, Room, Reason, LabelStock):
        for one in farm.all(cls):
            assert farm.do(lambda act, one=one: save(act, one)) == one
    assert farm.differences() == []


def test_beginning_is_one_act_that_can_be_taken_back(farm: BegunFarm) -> None:
    farm.undo()
    for cls in (Farm, Species, Card, LabelStock, RecipePart):
        assert farm.all(cls) == []


def test_a_farm_begins_once(farm: BegunFarm) -> None:
    with pytest.raises(Refused) as caught:
        begin(farm.store)
    assert refusal(caught) == ["farm_begun_already"]


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"name": "  "}, "field_empty"),
        ({"name": "x" * 200}, "text_too_long"),
        ({"name": "a\x00b"}, "text_not_printable"),
        ({"currency": "XQZ"}, "currency_not_known"),
        ({"locale": "nowhere"}, "locale_not_known"),
        ({"mass_unit": "stone"}, "not_one_of"),
        ({"temperature_unit": "K"}, "not_one_of"),
        ({"first_serial": 9_000_000}, "serial_out_of_range"),
    ],
)
def test_a_farm_that_cannot_be_is_refused(
    store: FarmStore, fields: dict[str, object], code: str
) -> None:
    with pytest.raises(Refused) as caught:
        begin(store, **fields)
    assert refusal(caught) == [code]
    with store.reading() as reading:
        assert reading.all(Farm) == []
        assert reading.last_number() == 0


def test_an_unknown_time_zone_is_refused(store: FarmStore) -> None:
    with pytest.raises(NotUnderstood) as caught:
        begin(store, zone="Atlantis/Harbour")
    assert refusal(caught) == ["zone_not_known"]


def test_serials_start_where_two_farms_rarely_meet(store: FarmStore) -> None:
    done = perform(store, lambda act: begin_farm(act, name="Nine Alders", seed=False))
    assert done.result is not None
    assert 1_000 <= done.result.first_serial < 8_000_000
    assert [entry.thing for entry in done.entries] == ["farm"]


@pytest.mark.parametrize("name", HOSTILE)
def test_any_writing_is_kept_as_it_is(farm: BegunFarm, name: str) -> None:
    room = farm.do(lambda act: save(act, Room(0, name, "fruiting", 10)))
    assert farm.get(Room, room.id).name == name
    card = farm.all(Card, room=room.id)[0]
    assert card.title == f"Move to {name}"
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: save(act, Room(0, name.upper(), "fruiting", 10)))
    assert [one.code for one in caught.value.problems] == ["name_taken"]


def test_card_follows_its_room(farm: BegunFarm) -> None:
    room = farm.do(lambda act: save(act, Room(0, "Shelf 1", "fruiting", 10)))
    farm.do(lambda act: save(act, Room(room.id, " Shelf one ", "fruiting", 12)))
    card = farm.all(Card, room=room.id)[0]
    assert (card.title, card.retired) == ("Move to Shelf one", 0)
    farm.do(lambda act: retire(act, "room", room.id))
    assert farm.get(Card, card.id).retired == 1
    perform(farm.store, lambda act: delete(act, "room", room.id))
    assert farm.all(Room, id=room.id) == []
    assert farm.all(Card, room=room.id) == []


def test_only_discard_reasons_have_cards(farm: BegunFarm) -> None:
    gift = farm.do(lambda act: save(act, Reason(0, "fair", "Village fair", "gift", 0)))
    mould = farm.do(lambda act: save(act, Reason(0, "blue", "Blue mould", "discard", 1)))
    assert farm.all(Card, reason=gift.id) == []
    assert farm.all(Card, reason=mould.id)[0].title == "Discard: Blue mould"


BAD_THINGS = [
    (Room(0, "", "fruiting", 10), "field_empty"),
    (Room(0, "fruiting ROOM", "fruiting", 10), "name_taken"),
    (Room(0, "Shed", "garden", 10), "not_one_of"),
    (Room(0, "Shed", "fruiting", 0), "figure_out_of_range"),
    (Room(0, "Shed", "fruiting", 9, Decimal(20), Decimal(10)), "low_above_high"),
    (Room(0, "Shed", "fruiting", 9, Decimal("NaN")), "figure_out_of_range"),
    (Room(0, "Shed\nB", "fruiting", 9), "text_not_printable"),
    (Crate(0, "Crate", -1), "figure_out_of_range"),
    (Ingredient(0, "Water", Decimal(100)), "figure_out_of_range"),
    (Ingredient(0, "Dust", Decimal(-1)), "figure_out_of_range"),
    (Strain(0, 999_999, "02", "x"), "choice_not_there"),
    (Strain(0, 0, "02", "x"), "field_empty"),
    (Strain(0, 1, "A1", "x"), "form_wrong"),
    (Product(0, "Punnet", None, "pack"), "pack_without_mass"),
    (Product(0, "Punnet", None, "stone"), "not_one_of"),
    (Customer(0, "x" * 121), "text_too_long"),
    (LabelStock(0, "Odd", 100_000, 50_000, 2, 1, 60_000, 40_000, 0, 0, 10, 10, 203, "sheet"),
     "stock_overlap"),
]  # fmt: skip


@pytest.mark.parametrize(("thing", "code"), BAD_THINGS)
def test_what_cannot_be_is_refused_with_its_field(
    farm: BegunFarm, thing: object, code: str
) -> None:
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: save(act, thing))  # type: ignore[type-var]
    assert code in refusal(caught)


def test_crates_do_not_share_a_name(farm: BegunFarm) -> None:
    farm.do(lambda act: save(act, Crate(0, "Blue 1", 540_000)))
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: save(act, Crate(0, "  BLUE 1", 540_000)))
    assert refusal(caught) == ["name_taken"]


def test_species_do_not_share_a_code(farm: BegunFarm) -> None:
    one = farm.all(Species)[0]
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: save(act, Species(**{**vars(one), "id": 0, "name": "Other"})))
    assert refusal(caught) == ["name_taken"]


def test_a_change_keeps_the_old_value_in_the_day_book(farm: BegunFarm) -> None:
    crate = farm.do(lambda act: save(act, Crate(0, "Blue 1", 540_000)))
    done = perform(farm.store, lambda act: save(act, Crate(crate.id, "Blue 1", 560_000)))
    assert [(one.before, one.after) for one in done.entries] == [
        ({"tare_mg": 540_000}, {"tare_mg": 560_000})
    ]
    farm.undo()
    assert farm.get(Crate, crate.id).tare_mg == 540_000


def test_a_note_is_changed_like_any_other_field(farm: BegunFarm) -> None:
    kept = farm.do(lambda act: save(act, Customer(0, "Ferry Inn", note="rings first")))
    farm.do(lambda act: save(act, Customer(kept.id, "Ferry Inn", note="back door")))
    assert farm.get(Customer, kept.id).note == "back door"


def parts_of(farm: BegunFarm, *shares: str) -> list[RecipePart]:
    ingredients = farm.all(Ingredient)
    return [
        RecipePart(0, 0, one.id, Decimal(share))
        for one, share in zip(ingredients, shares, strict=False)
    ]


def test_a_recipe_is_kept_with_its_shares(farm: BegunFarm) -> None:
    recipe = Recipe(0, "House mix", Decimal(60), 2_000_000, "Sterilise")
    kept = farm.do(lambda act: save_recipe(act, recipe, parts_of(farm, "80", "19", "1")))
    farm.do(lambda act: save_recipe(act, kept, parts_of(farm, "75.5", "24.5")))
    parts = farm.all(RecipePart, recipe=kept.id)
    assert [one.share_percent for one in parts] == [Decimal("75.5"), Decimal("24.5")]
    perform(farm.store, lambda act: delete(act, "recipe", kept.id))
    assert farm.all(RecipePart, recipe=kept.id) == []
    farm.undo()
    assert farm.all(RecipePart, recipe=kept.id) == parts


@pytest.mark.parametrize(
    ("shares", "code"),
    [((), "recipe_empty"), (("80", "19"), "recipe_shares_off"), (("120", "-20"), "percent_out")],
)
def test_shares_that_do_not_add_up_are_refused(
    farm: BegunFarm, shares: tuple[str, ...], code: str
) -> None:
    recipe = Recipe(0, "House mix", Decimal(60), 2_000_000, "Sterilise")
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: save_recipe(act, recipe, parts_of(farm, *shares)))
    assert refusal(caught)[0].startswith(code)
    assert "House mix" not in [one.name for one in farm.all(Recipe)]


def test_three_thirds_are_a_whole(farm: BegunFarm) -> None:
    recipe = Recipe(0, "Thirds", Decimal(60), 2_000_000, "Sterilise")
    parts = parts_of(farm, "33.33", "33.33", "33.33")
    assert farm.do(lambda act: save_recipe(act, recipe, parts)).name == "Thirds"


def test_what_is_used_is_retired_not_deleted(farm: BegunFarm) -> None:
    species = farm.all(Species)[0]
    with pytest.raises(Refused) as caught:
        perform(farm.store, lambda act: delete(act, "species", species.id))
    assert refusal(caught) == ["still_used"]
    assert caught.value.problems[0].facts["by"] == "strain"
    farm.do(lambda act: retire(act, "species", species.id))
    assert farm.get(Species, species.id).retired == 1


def test_the_farm_stays_and_keeps_its_serial(farm: BegunFarm) -> None:
    with pytest.raises(Refused) as caught:
        perform(farm.store, lambda act: delete(act, "farm", 1))
    assert refusal(caught) == ["farm_stays"]
    row = farm.all(Farm)[0]
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: save(act, Farm(**{**vars(row), "first_serial": 7})))
    assert refusal(caught) == ["serial_is_fixed"]
    changed = Farm(**{**vars(row), "tax_percent": Decimal("7.5"), "locale": "de_DE"})
    assert farm.do(lambda act: save(act, changed)) == changed
