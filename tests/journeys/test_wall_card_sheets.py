"""The sheets of wall cards as they are printed: every card of a farm is read back, keys too."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdfium2 import PdfDocument
from zxingcpp import read_barcodes

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.actions.labelling import print_cards
from farmdesk.domain.cards import KEYS
from farmdesk.domain.codes import code_of
from farmdesk.domain.stations import Card
from farmdesk.store.farm_store import open_farm


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_card_of_a_new_farm_decodes_from_its_sheet(tmp_path: Path, paper: str) -> None:
    store = open_farm(tmp_path / "farm.sqlite", make=True)
    perform(store, lambda act: begin_farm(act, name="Nine Alders", zone="UTC"))
    print_cards(store, out=tmp_path / "cards.pdf", paper=paper)
    with store.reading() as reading:
        cards = [one for one in reading.all(Card) if not one.retired]
    store.close()
    document = PdfDocument(str(tmp_path / "cards.pdf"))
    pages = [
        [one.text for one in read_barcodes(page.render(scale=300 / 72).to_pil())]
        for page in document
    ]
    assert sorted(code for page in pages for code in page) == sorted(code_of(c.id) for c in cards)
    keys = {code_of(one.id) for one in cards if one.key}
    assert len(keys) == len(KEYS)
    assert set(pages[-1]) == keys
