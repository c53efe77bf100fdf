"""What labels say, what words name them, and the record of their printing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pypdfium2
import pytest
import zxingcpp
from begun_farm import BegunFarm, begin
from stdnum.iso7064 import mod_97_10

from farmdesk.actions.base import Who, perform
from farmdesk.actions.catalogue import retire, save
from farmdesk.actions.heat_runs import record_run
from farmdesk.actions.inoculation import SpawnUse, inoculate
from farmdesk.actions.lab import register_culture
from farmdesk.actions.label_texts import _WRITERS
from farmdesk.actions.labelling import (
    PrintedLabels,
    label_items,
    print_cards,
    print_labels,
    resolve,
    stocks_of,
)
from farmdesk.domain.bags import Bag, Batch, Link
from farmdesk.domain.catalogue import Crate, Customer, LabelStock, Product, Recipe, Room
from farmdesk.domain.codes import DIGITS, code_of, group_code
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.stations import Card, Printing
from farmdesk.domain.things import THINGS
from farmdesk.domain.trade import Delivery
from farmdesk.errors import NotFound, NotUnderstood, NotWritten, Refused
from farmdesk.labels.fields import FIELDS
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.cards import MEANINGS
from farmdesk.wording.sentences import SENTENCES, say_error

STOCK = "letter-3x10"


def batch_of(farm: BegunFarm, bags: int = 3, printed: int | None = None, **fields: Any) -> Batch:
    spawn = farm.spawn(bags=1)
    strain = farm.strain().id
    uses = [SpawnUse(one.id, 1_000_000) for one in spawn]
    return farm.do(
        lambda act: inoculate(
            act, strain=strain, spawn=uses, bags=bags, printed=printed, block_mg=2_500_000, **fields
        )
    )


def find(farm: BegunFarm, *words: str, expand: bool = True) -> list[int]:
    with farm.store.reading() as reading:
        return resolve(reading, words, expand=expand)


def texts(farm: BegunFarm, *ids: int) -> list[dict[str, str]]:
    with farm.store.reading() as reading:
        items = label_items(reading, ids)
    for item, one in zip(items, ids, strict=True):
        assert item.code == code_of(one)
        assert mod_97_10.is_valid(item.code)
        assert set(item.fields) <= {field.name for field in FIELDS[item.kind]}
    return [dict(item.fields) for item in items]


def decoded(path: Path) -> list[str]:
    """Every Code 128 symbol of a PDF, read from its pages as a 300 dpi printer draws them."""
    with pypdfium2.PdfDocument(path) as document:
        images = [page.render(scale=300 / 72, grayscale=True).to_pil() for page in document]
    found = [
        one.text
        for image in images
        for one in zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.Code128)
    ]
    return sorted(found)


def test_words_name_bags_in_many_ways(farm: BegunFarm) -> None:
    batch = batch_of(farm, 5, printed=6)
    ids = [bag.id for bag in farm.all(Bag, batch=batch.id)]
    grouped = group_code(code_of(ids[1]))
    assert find(farm, code_of(ids[1])) == [ids[1]]
    assert find(farm, grouped) == find(farm, *grouped.split()) == [ids[1]]
    assert find(farm, "oy01-0001-002") == find(farm, "OY01-0001-2") == [ids[1]]
    assert find(farm, "OY01-0001-002..004") == ids[1:4]
    assert find(farm, "OY01-0001-004..999") == ids[3:5]
    assert find(farm, "OY01-0001") == find(farm, code_of(batch.id)) == ids[:5]
    assert find(farm, "OY01-0001", expand=False) == [batch.id]
    assert find(farm, "OY01-0001-003", "OY01-0001", "", " ") == [ids[2], *ids[:2], *ids[3:5]]


def test_words_name_everything_else(farm: BegunFarm) -> None:
    spawn = farm.spawn()[0]
    strain = farm.strain().id
    culture = farm.do(lambda act: register_culture(act, strain=strain, form="plate"))
    recipe = farm.all(Recipe)[0].id
    run = farm.do(lambda act: record_run(act, recipe=recipe, blocks=4))
    crate = farm.do(lambda act: save(act, Crate(0, "Blue 1", 540_000)))
    assert find(farm, "S-OY01-0001", "C-OY01-0001", "r-0001", "blue 1") == [
        spawn.id,
        culture.id,
        run.id,
        crate.id,
    ]


@pytest.mark.parametrize(
    "word",
    ["OY01-0099", "OY01-0001-099", "S-OY01-0099", "hello", "OY01-0099-001..003", "=1+1", "R-1",
     "O-0001", "6999999957"],
)  # fmt: skip
def test_an_unknown_word_is_said(farm: BegunFarm, word: str) -> None:
    batch_of(farm)
    with pytest.raises(NotFound) as caught:
        find(farm, "OY01-0001", word)
    assert all(one.code in SENTENCES for one in caught.value.problems)
    assert word in say_error(caught.value)


def test_an_empty_range_and_a_damaged_code_are_said(farm: BegunFarm) -> None:
    batch = batch_of(farm)
    with pytest.raises(NotFound) as caught:
        find(farm, "OY01-0001-007..009")
    assert "OY01-0001-007..009" in say_error(caught.value)
    code = code_of(batch.id)
    damaged = code[:-1] + str((int(code[-1]) + 1) % 10)
    with pytest.raises(NotUnderstood):
        find(farm, damaged)


def test_a_bag_says_where_it_comes_from(farm: BegunFarm) -> None:
    recipe = farm.all(Recipe)[0].id
    run = farm.do(lambda act: record_run(act, recipe=recipe, blocks=4))
    batch = batch_of(farm, run=run.id)
    first = farm.all(Bag, batch=batch.id)[0]
    found = texts(farm, first.id)[0]
    assert found == {
        "farm": "Nine Alders",
        "species": "Oyster",
        "strain": "Oyster 01",
        "batch": "OY01-0001",
        "number": "001",
        "inoculated": "Mar 2, 2026",
        "spawn": "S-OY01-0001",
        "heat_run": "R-0001",
        "ready_window": "Mar 14\u2009–\u200923",
        "note": "",
    }


def test_days_follow_the_farms_locale(store: FarmStore) -> None:
    begin(store, locale="de_DE")
    farm = BegunFarm(store)
    batch = batch_of(farm)
    first = farm.all(Bag, batch=batch.id)[0]
    assert texts(farm, first.id)[0]["inoculated"] == "2. März 2026"


def test_lab_things_say_their_age(farm: BegunFarm) -> None:
    strain = farm.strain().id
    culture = farm.do(lambda act: register_culture(act, strain=strain, form="plate", transfers=2))
    spawn = farm.spawn(use_by="2026-04-01")[0]
    found = texts(farm, culture.id, spawn.id)
    assert found[0]["transfers"] == "2"
    assert culture.name in found[0]["strain"]
    assert (found[1]["generation"], found[1]["use_by"]) == ("G1", "Apr 1, 2026")


def test_a_pick_says_what_is_in_the_crate(farm: BegunFarm) -> None:
    batch = batch_of(farm)
    bag = farm.all(Bag, batch=batch.id)[0]
    species = farm.strain().species

    def pick(act: Any) -> Pick:
        made = act.make(
            "pick_weighed",
            Pick(
                act.next_id("pick"), "P-OY-0001", species, picked_at=act.now, gross_mg=4_800_000,
                tare_mg=540_000, net_mg=4_260_000, sell_by="2026-03-08",
            ),
        )  # fmt: skip
        act.make("bag_picked", Link(made.id, bag.id, 4_260_000, "measured", 1))
        return made  # type: ignore[no-any-return]

    found = texts(farm, farm.do(pick).id)[0]
    assert found["batches"] == "OY01-0001"
    assert (found["net"], found["gross_tare"]) == ("4.26 kg", "4.80 kg / 0.54 kg")
    assert found["shelf_date"] == "Mar 8, 2026"


@pytest.mark.parametrize(("unit", "net"), [("kg", "227 g"), ("lb", "8 oz (227 g)")])
def test_a_pack_says_its_net_weight(store: FarmStore, tmp_path: Path, unit: str, net: str) -> None:
    """8 oz are 226.796185 g (NIST Handbook 44, appendix C), printed as 227 g."""
    begin(store, mass_unit=unit)
    farm = BegunFarm(store)
    species = farm.strain("SH").species
    product = farm.do(lambda act: save(act, Product(0, "Shiitake 8 oz", species, "pack", 226_796)))
    pack = farm.do(
        lambda act: act.make(
            "packs_made",
            Pack(act.next_id("pack"), "K-0001", product.id, "2026-03-02", 4, 907_184, 4),
        )
    )
    found = texts(farm, pack.id)[0]
    assert found["net"] == net
    assert "rash" in found["caution"]
    printed = print_labels(store, ["K-0001"], stock=STOCK, out=tmp_path / "packs.pdf")
    assert printed.count == 4


def test_cards_say_what_the_scans_after_them_mean(farm: BegunFarm) -> None:
    cards = farm.all(Card)
    found = texts(farm, *[card.id for card in cards])
    assert {card.act for card in cards} == set(MEANINGS)
    for card, text in zip(cards, found, strict=True):
        assert text["title"] == card.title
        assert text["meaning"]
        assert "{" not in text["meaning"]


def test_a_delivery_has_no_label(farm: BegunFarm) -> None:
    def deliver(act: Any) -> Delivery:
        customer = save(act, Customer(0, "Ferry Inn"))
        made = Delivery(act.next_id("delivery"), "D-0001", customer.id, delivered_on=act.day)
        return act.make("delivered", made)  # type: ignore[no-any-return]

    delivery = farm.do(deliver)
    assert find(farm, "D-0001") == [delivery.id]
    with pytest.raises(Refused) as caught, farm.store.reading() as reading:
        label_items(reading, [delivery.id])
    assert "delivery" in say_error(caught.value)


def test_printed_labels_decode_to_the_bags(farm: BegunFarm, tmp_path: Path) -> None:
    batch = batch_of(farm, 5)
    out = tmp_path / "labels.pdf"
    printed = print_labels(
        farm.store, [batch.name], stock=STOCK, out=out, start=29, who=Who("bench")
    )
    assert printed == PrintedLabels(5, 2, 0, out)
    assert decoded(out) == sorted(code_of(bag.id) for bag in farm.all(Bag, batch=batch.id))


def test_printing_is_recorded_and_a_reprint_noted(farm: BegunFarm, tmp_path: Path) -> None:
    batch = batch_of(farm, 2)
    out = tmp_path / "labels.pdf"
    print_labels(farm.store, [f"{batch.name}-001"], stock=STOCK, out=out)
    again = print_labels(farm.store, [batch.name], stock=STOCK, out=out)
    assert again.reprinted == 1
    rows = farm.all(Printing)
    assert [(row.copies, row.reprint, row.stock) for row in rows] == [
        (1, 0, STOCK),
        (1, 1, STOCK),
        (1, 0, STOCK),
    ]
    assert rows[0].subject == rows[1].subject
    assert farm.differences() == []
    farm.undo(now="2027-03-02T08:00:00Z")
    assert len(farm.all(Printing)) == 1


def test_nothing_is_recorded_when_the_file_cannot_be(farm: BegunFarm, tmp_path: Path) -> None:
    batch = batch_of(farm, 2)
    with pytest.raises(NotWritten):
        print_labels(farm.store, [batch.name], stock=STOCK, out=tmp_path / "none" / "x.pdf")
    with pytest.raises(Refused):
        print_labels(farm.store, [batch.name], stock="papyrus", out=tmp_path / "x.pdf")
    with pytest.raises(Refused):
        print_labels(farm.store, [batch.name], stock=STOCK, out=tmp_path / "x.pdf", start=31)
    with pytest.raises(Refused):
        print_labels(farm.store, [], stock=STOCK, out=tmp_path / "x.pdf")
    with pytest.raises(Refused) as caught:
        print_labels(farm.store, [batch.name], stock=STOCK, out=tmp_path / "x.pdf", copies=9_999)
    assert "19,998" in say_error(caught.value)
    assert farm.all(Printing) == []
    assert list(tmp_path.glob("*.pdf")) == []


def test_retired_stocks_are_not_offered(farm: BegunFarm) -> None:
    first = farm.all(LabelStock)[0]
    farm.do(lambda act: retire(act, "label_stock", first.id))
    with farm.store.reading() as reading:
        assert first.name not in [one.name for one in stocks_of(reading)]


def test_all_wall_cards_in_use_are_printed(farm: BegunFarm, tmp_path: Path) -> None:
    cards = farm.all(Card)
    perform(farm.store, lambda act: act.change("card_retired", cards[0], retired=1))
    out = tmp_path / "cards.pdf"
    printed = print_cards(farm.store, out=out)
    assert printed.count == len(cards) - 1
    assert decoded(out) == sorted(code_of(card.id) for card in cards[1:])


def test_hostile_names_are_printed_not_obeyed(farm: BegunFarm, tmp_path: Path) -> None:
    for name in ("=1+1", "🍄", "غرفة", '"<b>&'):
        farm.do(lambda act, name=name: save(act, Room(0, name, "fruiting", 5)))
    assert print_cards(farm.store, out=tmp_path / "cards.pdf").pages > 0


def test_every_kind_with_a_code_is_known_to_labels() -> None:
    assert set(_WRITERS) == set(DIGITS) - {"batch"}
    assert set(DIGITS) <= set(THINGS)
