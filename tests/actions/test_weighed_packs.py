"""Packs sold by their own weight: orders, waste, stocktakes and markets go by what each holds.

That whole packs come as near as half a pack is common practice, no source.
"""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import pytest
import zxingcpp
from harvest_farm import KG, TODAY
from pypdfium2 import PdfDocument

from farmdesk.actions.cold_store import remove_stock
from farmdesk.actions.deliveries import deliver
from farmdesk.actions.labelling import prepare_labels
from farmdesk.actions.markets import LoadLine, load_market, open_market
from farmdesk.actions.orders import take_order
from farmdesk.actions.packs import make_packs
from farmdesk.actions.proposals import propose_orders
from farmdesk.actions.stocktakes import begin_stocktake, count_lot, finish_stocktake
from farmdesk.actions.trade_settings import save_trade_setting
from farmdesk.actions.undo import undo_last
from farmdesk.domain.catalogue import Product
from farmdesk.domain.harvest import Pack, PackWeight, Removal
from farmdesk.domain.trade import DeliveryLine, Order, TradeSetting
from farmdesk.paper.page_pdf import write_pages
from farmdesk.paper.pages import TextRun
from farmdesk.store.lists import lots_on_hand

G = 1_000
NETS = [480 * G, 520 * G, 450 * G, 530 * G]
"""Net, so that two make 1,000 g, three 1,450 g and all 1,980 g."""


@pytest.fixture
def known(harvest) -> Product:
    return harvest.do(
        lambda act: act.make(
            "product_made",
            Product(
                act.next_id("product"), "Oyster, weighed", species=harvest.species["OY"],
                unit="kg", fill="catch", tare_mg=20 * G, wrap="wrapped",
            ),
        )
    )  # fmt: skip


@pytest.fixture
def weighed(harvest, known) -> Pack:
    pick = harvest.pick("OY", 2 * KG)
    return harvest.do(
        lambda act: make_packs(
            act, product=known.id, from_picks={pick.id: 2 * KG},
            weights=[one + 20 * G for one in NETS],
        )
    )  # fmt: skip


def ordered(harvest, known: Product, *kilograms: str) -> list[Order]:
    return [
        harvest.do(
            lambda act, one=one: take_order(
                act, customer=harvest.customers["inn"], due_on=TODAY,
                lines=[(known.id, Decimal(one), "kg", Decimal("20.00"))],
            )
        )
        for one in kilograms
    ]  # fmt: skip


def left(harvest, pack: Pack) -> list[int]:
    with harvest.store.reading() as reading:
        return [one.number for one in reading.all(PackWeight, pack=pack.id) if one.is_there]


def on_hand(harvest, pack: Pack) -> int:
    with harvest.store.reading() as reading:
        return next(one.left_mg for one in lots_on_hand(reading) if one.id == pack.id)


@pytest.mark.parametrize(
    ("wanted", "packs"), [("1", 2), ("1.2", 2), ("1.3", 3), ("0.2", 0), ("0.3", 1), ("5", 4)]
)
def test_as_many_whole_packs_are_proposed_as_come_nearest(harvest, known, weighed, wanted, packs):
    orders = ordered(harvest, known, wanted)
    with harvest.store.reading() as reading:
        (found,) = propose_orders(reading, orders, on=TODAY)
    assert [one.count for one in found.lines] == ([packs] if packs else [])
    short = sum(one.amount_mg for one in found.short)
    assert short == max(0, round(Decimal(wanted) * KG) - sum(NETS))


def test_two_orders_never_get_the_same_pack_and_half_a_pack_fills_one(harvest, known, weighed):
    orders = ordered(harvest, known, "1.1", "0.9")
    with harvest.store.reading() as reading:
        found = propose_orders(reading, orders, on=TODAY)
    assert [[one.count for one in each.lines] for each in found] == [[2], [2]]
    for order, each in zip(orders, found, strict=True):
        harvest.do(lambda act, order=order, each=each: deliver(act, order, each.lines))
    assert left(harvest, weighed) == []
    with harvest.store.reading() as reading:
        sent = [(one.quantity, one.total) for one in reading.all(DeliveryLine)]
    # 480 g and 520 g, then 450 g and 530 g, at 20.00 for 1 kg.
    assert sent == [(Decimal("1.000"), Decimal("20.00")), (Decimal("0.980"), Decimal("19.60"))]
    assert [harvest.get(Order, one.id).status for one in orders] == ["delivered", "delivered"]
    harvest.clean()


def test_more_than_was_asked_is_asked_about_by_weight(harvest, known, weighed):
    (order,) = ordered(harvest, known, "0.5")
    with harvest.store.reading() as reading:
        (found,) = propose_orders(reading, [order], on=TODAY)
    (line,) = found.lines
    assert line.count == 1
    asked = harvest.question(
        lambda act: deliver(act, order, [type(line)(**{**vars(line), "count": 3})])
    )
    assert asked == ["more_than_ordered"]


def test_waste_and_what_is_on_hand_go_by_the_weights(harvest, weighed):
    reason = harvest.reasons["waste"]
    harvest.do(lambda act: remove_stock(act, weighed.id, reason=reason, count=1))
    with harvest.store.reading() as reading:
        (gone,) = reading.all(Removal)
    assert gone.amount_mg == NETS[0]
    assert left(harvest, weighed) == [2, 3, 4]
    assert on_hand(harvest, weighed) == sum(NETS[1:])
    harvest.clean()
    harvest.do(undo_last)
    assert on_hand(harvest, weighed) == sum(NETS)


@pytest.mark.parametrize(("seen", "mass"), [(3, NETS[0]), (4, 0)])
def test_a_stocktake_writes_off_the_next_and_brings_the_last_back(harvest, weighed, seen, mass):
    for packs, expected in ((seen, mass), (4, -mass)):
        count = harvest.do(begin_stocktake)
        harvest.do(lambda act, count=count, packs=packs: count_lot(
            act, count.id, weighed.id, packs=packs))  # fmt: skip
        harvest.do(lambda act, count=count: finish_stocktake(act, count.id))
        with harvest.store.reading() as reading:
            masses = [one.amount_mg for one in reading.all(Removal) if one.lot == weighed.id]
        assert masses[-1:] == ([expected] if mass else [])
    assert left(harvest, weighed) == [1, 2, 3, 4]
    assert on_hand(harvest, weighed) == sum(NETS)
    harvest.clean()


def test_a_market_counts_packs_and_says_what_to_do_instead(harvest, known, weighed):
    day = harvest.do(lambda act: open_market(act, customer=harvest.customers["market"]))
    load = LoadLine(known.id, weighed.id, Decimal(2), Decimal("20.00"))
    assert harvest.refusal(lambda act: load_market(act, day, [load])) == ["market_weighed_packs"]
    assert left(harvest, weighed) == [1, 2, 3, 4]


# The example GTIN and prefix of the GS1 General Specifications (952 is set aside for examples).
GTIN, PREFIX = "9521234000013", "9521234"


def labels(harvest, pack: Pack) -> list[list[str]]:
    """The texts on each label of a sheet, in the order of the sheet."""
    job = prepare_labels(harvest.store, [pack.name], stock="a4-3x8")
    texts = [mark.text for mark in job.pages[0].marks if isinstance(mark, TextRun)]
    starts = [at for at, text in enumerate(texts) if text == "Oyster, weighed"]
    return [texts[a:b] for a, b in pairwise([*starts, None])]


@pytest.mark.parametrize(
    ("second", "nets"),
    [
        ("", ["480 g", "520 g", "450 g", "530 g"]),
        # 1 oz is 28.349523125 g exactly (NIST Handbook 44, appendix C).
        ("oz", ["480 g (16.93 oz)", "520 g (18.34 oz)", "450 g (15.87 oz)", "530 g (18.7 oz)"]),
    ],
)
def test_each_pack_has_a_label_with_its_own_weight(harvest, weighed, second, nets):
    wish = TradeSetting(0, second_unit=second)
    harvest.do(lambda act: save_trade_setting(act, wish))
    found = labels(harvest, weighed)
    assert len(found) == len(NETS)
    for number, (texts, net) in enumerate(zip(found, nets, strict=True), start=1):
        assert net in " ".join(texts), texts
        assert any(f"{weighed.name} · {number}" in text for text in texts), texts


def test_the_symbol_of_each_pack_holds_its_own_weight(harvest, known, weighed, tmp_path: Path):
    wish = TradeSetting(0, company_prefix=PREFIX, symbol="datamatrix")
    harvest.do(lambda act: save_trade_setting(act, wish))
    harvest.do(lambda act: act.change("product_changed", known, gtin=GTIN))
    job = prepare_labels(harvest.store, [weighed.name], stock="roll-100x50-300dpi")
    read = []
    for page in job.pages:
        path = tmp_path / "label.pdf"
        write_pages([page], path, title="label")
        document = PdfDocument(str(path))
        image = document[0].render(scale=300 / 72).to_pil()
        document.close()
        found = [one for one in zxingcpp.read_barcodes(image) if one.content_type.name == "GS1"]
        read += [one.text for one in found]
    # AI 310n of the GS1 General Specifications: net weight in kg with n decimals, six digits.
    assert ["(3103)000480" in read[0], "(3103)000530" in read[3]] == [True, True], read


def test_units_of_the_net_weight_are_one_of_the_list(harvest):
    wish = TradeSetting(0, second_unit="stone")
    assert harvest.refusal(lambda act: save_trade_setting(act, wish)) == ["net_units_unknown"]
