"""Packs marked for trade: symbols decoded from the printed label, and what cannot be."""

from __future__ import annotations

from dataclasses import replace

import pytest
import zxingcpp
from harvest_farm import KG
from pypdfium2 import PdfDocument

from farmdesk.actions.label_texts import label_items
from farmdesk.actions.packs import make_packs
from farmdesk.actions.trade_settings import save_trade_setting
from farmdesk.domain.catalogue import Product
from farmdesk.domain.codes import code_of
from farmdesk.domain.trade import TradeSetting
from farmdesk.labels.layout import lay_out
from farmdesk.labels.layout_files import shipped_layouts
from farmdesk.labels.stocks import shipped_stocks
from farmdesk.paper.page_pdf import write_pages
from farmdesk.paper.pages import Page

# The example GTIN and prefix of the GS1 General Specifications (952 is set aside for examples).
GTIN, PREFIX = "9521234000013", "9521234"


def marked(harvest, symbol: str):
    """A lot of punnets with the example GTIN, marked so."""
    wish = TradeSetting(0, company_prefix=PREFIX, symbol=symbol, handling="Keep cold")
    harvest.do(lambda act: save_trade_setting(act, wish))
    punnet = harvest.get(Product, harvest.products["oyster punnet"])
    harvest.do(lambda act: act.change("product_changed", punnet, gtin=GTIN))
    pick = harvest.pick("OY", KG)
    return harvest.do(
        lambda act: make_packs(act, product=punnet.id, count=4, from_picks={pick.id: KG})
    )


def decode(harvest, pack, stock: str, folder):
    """Everything that a scanner reads on the pack's label."""
    with harvest.store.reading() as reading:
        (item,) = label_items(reading, [pack.id])
    sheet = shipped_stocks()[stock]
    marks = lay_out(item, sheet, shipped_layouts()["pack"])
    wide, tall = sheet.label_width_um / 1000, sheet.label_height_um / 1000
    path = folder / "label.pdf"
    write_pages([Page(wide, tall, tuple(marks))], path, title="label")
    document = PdfDocument(str(path))
    image = document[0].render(scale=300 / 72).to_pil()
    document.close()
    return item, {one.text: one for one in zxingcpp.read_barcodes(image)}


@pytest.mark.parametrize(
    ("symbol", "stock", "identifier"),
    [
        # Symbology identifiers of ISO/IEC 15424: ]d2 is GS1 DataMatrix, ]Q1 a plain QR code.
        ("datamatrix", "roll-4x6in-300dpi", "]d2"),
        ("datamatrix", "roll-100x50-300dpi", "]d2"),
        ("gs1_128", "roll-100x50-300dpi", "]d2"),
        ("link", "roll-4x6in-300dpi", "]Q1"),
    ],
)
def test_the_trade_symbol_is_read_beside_the_farms_own(
    harvest, tmp_path, symbol, stock, identifier
):
    pack = marked(harvest, symbol)
    item, found = decode(harvest, pack, stock, tmp_path)
    assert code_of(pack.id) in found
    (trade,) = [one for text, one in found.items() if text != code_of(pack.id)]
    assert trade.symbology_identifier == identifier
    assert "0" + GTIN in trade.text
    assert pack.name in trade.text
    assert item.fields["trade_text"].startswith(f"(01)0{GTIN}(13)260302(16)")
    assert len(item.fields["voice"]) == 4


def test_without_a_prefix_packs_carry_plain_bars_and_the_program_says_why(harvest, tmp_path):
    wish = TradeSetting(0, symbol="gs1_128")
    assert harvest.refusal(lambda act: save_trade_setting(act, wish)) == ["no_company_prefix"]
    pick = harvest.pick("OY", KG)
    punnet = harvest.products["oyster punnet"]
    pack = harvest.do(
        lambda act: make_packs(act, product=punnet, count=4, from_picks={pick.id: KG})
    )
    item, found = decode(harvest, pack, "roll-100x50-300dpi", tmp_path)
    assert item.trade is None
    assert list(found) == [code_of(pack.id)]


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ({"company_prefix": "12"}, "company_prefix"),
        ({"symbol": "aztec"}, "symbol_unknown"),
        ({"link_domain": "farm.example"}, "link_domain_wrong"),
        ({"net_rule": "ours"}, "net_rule_unknown"),
        ({"handling": "Boosts immunity"}, "health_claim"),
    ],
)
def test_a_marking_that_cannot_be_is_refused(harvest, facts, code):
    wish = replace(TradeSetting(0), **facts)
    assert code in harvest.refusal(lambda act: save_trade_setting(act, wish))


def test_a_number_of_somebody_else_is_refused(harvest):
    pack = marked(harvest, "datamatrix")
    wish = TradeSetting(0, company_prefix="9529999", symbol="datamatrix")
    harvest.do(lambda act: save_trade_setting(act, wish))

    def print_it(act):
        label_items(act.tx, [pack.id])

    assert harvest.refusal(print_it) == ["gtin_not_ours"]


def test_only_whole_words_claim_something_for_health(harvest):
    wish = TradeSetting(0, handling="Keep secure and cold, obscure from light")
    assert harvest.do(lambda act: save_trade_setting(act, wish)).handling == wish.handling
