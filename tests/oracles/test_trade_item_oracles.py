"""GTINs, element strings, Digital Link and voice pick codes against published examples and biip.

Sources: GS1 Barcode Syntax Dictionary and its unit tests, GS1 General Specifications (AIs
310n, 320n), the Produce Traceability Initiative's note on the voice pick code; biip, python-stdnum.
"""

from __future__ import annotations

import biip
import numpy as np
import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from oracle_tables import read_table

from farmdesk.domain.gs1 import (
    Element,
    check_lot,
    check_prefix,
    digital_link,
    element_data,
    element_text,
    item_elements,
    read_company_prefix,
    read_gtin,
    voice_pick_code,
    weight_element,
)  # fmt: skip
from farmdesk.errors import Refused
from farmdesk.paper.gs1_symbols import symbol_rows

GTINS = [row for row in read_table("check_digits") if row["kind"].startswith("GTIN")]
LOTS = st.text(alphabet="ABCdef0123456789-/._", min_size=1, max_size=20)
DEMO = "09521234543213"  # prefix 952 is kept for examples


@pytest.mark.parametrize("row", GTINS, ids=lambda row: row["number"])
def test_check_digits_are_those_of_the_published_numbers(row) -> None:
    if row["verdict"] == "valid":
        assert read_gtin(row["number"]) == row["number"].zfill(14)
    else:
        with pytest.raises(Refused) as caught:
            read_gtin(row["number"])
        assert caught.value.problems[0].code == "gtin_check"
        assert caught.value.problems[0].facts["digit"] == row["expected_check"]


@pytest.mark.parametrize("text", ["", "123", "1234567890123456", "12345678901x", "١٢٣٤٥٦٧٨"])
def test_what_is_no_gtin_is_said(text) -> None:
    with pytest.raises(Refused) as caught:
        read_gtin(text)
    assert caught.value.problems[0].code == "gtin_length"


@pytest.mark.parametrize("row", read_table("voice_pick"), ids=lambda row: row["code"])
def test_voice_pick_codes_are_the_published_ones(row) -> None:
    date = row["date_yymmdd"]
    day = f"20{date[:2]}-{date[2:4]}-{date[4:]}" if date else ""
    assert voice_pick_code(row["gtin14"], row["lot"], day) == row["code"]


@pytest.mark.parametrize(
    ("mg", "unit", "ai", "value"),
    [
        (195_000, "kg", "3103", "000195"),  # published: 0.195 kg
        (703_069, "lb", "3203", "001550"),  # 1.55 lb is 703,068.17 mg; published as 3202 000155
        (999_999_000, "kg", "3103", "999999"),
        (1_000_000_000, "kg", "3102", "100000"),
        (123_456_700_000, "kg", "3100", "123456"),
        (1_999, "kg", "3103", "000001"),  # never more than there is
    ],
)
def test_weights_take_as_many_decimals_as_fit(mg, unit, ai, value) -> None:
    assert weight_element(mg, unit) == Element(ai, value)


def test_a_weight_beyond_six_digits_is_refused() -> None:
    with pytest.raises(Refused) as caught:
        weight_element(1_000_000 * 10**6, "kg")
    assert caught.value.problems[0].code == "weight_too_large"


@given(lot=LOTS, mg=st.integers(1_000, 900_000_000))
def test_biip_reads_back_what_was_written(lot, mg) -> None:
    elements = item_elements(
        DEMO, lot=lot, dates=[("packed", "2026-03-05"), ("best_before", "2026-03-18")], net_mg=mg
    )
    read = biip.parse(element_data(elements)).gs1_message
    assert read is not None
    found = {one.ai.ai: one for one in read.element_strings}
    assert found["01"].gtin.as_gtin_14() == DEMO
    assert found["10"].value == lot
    assert str(found["13"].date) == "2026-03-05"
    assert str(found["15"].date) == "2026-03-18"
    assert int(found["3103"].decimal * 1000) == mg // 1000
    assert read.as_hri() == element_text(elements)


def test_the_order_and_separators_follow_the_standard() -> None:
    # AI table: only variable lengths need a separator, and the dictionary says which they are.
    elements = [Element("10", "A1"), Element("21", "7"), Element("11", "260301")]
    assert element_data(elements) == "10A1\x1d217\x1d11260301"
    needs = {row["ai"]: row["fnc1_separator_needed"] for row in read_table("gs1_ai")}
    for ai in ("01", "10", "11", "13", "15", "16", "17", "21", "30"):
        assert Element(ai, "").is_variable == (needs[ai] != "no")


def test_a_digital_link_gives_the_published_form_and_element_string() -> None:
    rows = {row["uri"]: row for row in read_table("digital_link")}
    uri = "https://id.gs1.org/01/09520123456788"
    assert digital_link([Element("01", "09520123456788")]) == uri
    assert rows[uri]["element_string"] == "0109520123456788"
    link = digital_link(item_elements(DEMO, lot="A/7", dates=[("expiry", "2018-04-26")]))
    assert link == f"https://id.gs1.org/01/{DEMO}/10/A%2F7?17=180426"
    message = biip.parse(link).gs1_digital_link_uri
    assert message is not None
    found = {one.ai.ai: one.value for one in message.element_strings}
    assert found == {"01": DEMO, "10": "A/7", "17": "180426"}


@pytest.mark.parametrize(
    ("kind", "identifier"), [("gs1_128", "]C1"), ("gs1_datamatrix", "]d2"), ("qr", "]Q1")]
)
def test_symbols_are_read_back_with_their_symbology_identifier(kind, identifier) -> None:
    elements = item_elements(DEMO, lot="P-OY-0312", dates=[("packed", "2026-03-05")])
    text = digital_link(elements) if kind == "qr" else element_text(elements)
    rows = symbol_rows(kind, text)
    picture = np.array([[0 if one == "1" else 255 for one in row] for row in rows], np.uint8)
    tall = 40 if kind == "gs1_128" else 4
    picture = np.kron(picture, np.ones((tall, 4), np.uint8))
    picture = np.pad(picture, 48, constant_values=255)
    (found,) = zxingcpp.read_barcodes(picture)
    assert found.symbology_identifier == identifier
    expected = text.encode() if kind == "qr" else element_data(elements).encode()
    assert found.bytes == expected


@pytest.mark.parametrize("lot", ["K 7", "K#7", "Ñ7", "A$", "[1]"])
def test_lots_outside_the_character_set_are_refused_with_the_sign(lot) -> None:
    with pytest.raises(Refused) as caught:
        check_lot(lot)
    assert caught.value.problems[0].code == "lot_characters"


@pytest.mark.parametrize("lot", ["", "x" * 21])
def test_lots_have_one_to_twenty_signs(lot) -> None:
    with pytest.raises(Refused) as caught:
        check_lot(lot)
    assert caught.value.problems[0].code == "lot_length"


def test_a_gtin_must_hold_the_farms_prefix() -> None:
    prefix = read_company_prefix("952-1234")
    check_prefix(DEMO, prefix)
    check_prefix("1" + DEMO[1:], prefix)
    with pytest.raises(Refused) as caught:
        check_prefix("09501234543213", prefix)
    assert caught.value.problems[0].code == "gtin_not_ours"
    with pytest.raises(Refused):
        read_company_prefix("95 nn")
