"""Lines from scanners and keyboards, and what each of them is."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.domain.codes import bag_name, code_of, group_code, make_id
from farmdesk.domain.scans import (
    LONGEST_LINE,
    CodeScan,
    NameScan,
    ReplyScan,
    WeightScan,
    WordsScan,
    read_scan,
)
from farmdesk.errors import NotUnderstood
from farmdesk.wording.sentences import SENTENCES, say_error

BAG = make_id("bag", 123)
CODE = code_of(BAG)


@pytest.mark.parametrize(
    "line",
    [
        CODE,
        f"{CODE}\r\n",
        f"  {CODE}\t",
        f"\x02{CODE}\x03",
        f"\x1d{CODE}",
        f"\ufeff{CODE}",
        f"]C0{CODE}",
        f"]C1{CODE}",
        f"]Q1{CODE}",
        f" ]C0 {CODE} ",
        group_code(CODE),
        group_code(CODE).replace(" ", "-"),
        f"{CODE[:4]}  {CODE[4:8]} {CODE[8:]}",
    ],
)
def test_a_code_is_read_however_the_scanner_frames_it(line: str) -> None:
    """AIM identifiers: ISO/IEC 15424, `]C` for Code 128, `]Q` for QR Code."""
    assert read_scan(line) == CodeScan(BAG)


@pytest.mark.parametrize(
    ("line", "name", "number"),
    [
        ("OY02-0147", "OY02-0147", None),
        ("oy02-0147", "OY02-0147", None),
        ("OY02-0147-017", "OY02-0147", 17),
        ("oy02-0147-17\n", "OY02-0147", 17),
        ("s-oy02-0033", "S-OY02-0033", None),
        ("C-OY02-0007", "C-OY02-0007", None),
        ("p-oy-0312", "P-OY-0312", None),
        ("r-0045", "R-0045", None),
        ("K-0123", "K-0123", None),
        ("o-0001", "O-0001", None),
    ],
)
def test_names_are_read_in_any_case(line: str, name: str, number: int | None) -> None:
    assert read_scan(line) == NameScan(name, number)


@pytest.mark.parametrize(
    "line", ["540 g", "2 lb 5.5 oz", "9 lb 18 oz", "4,26 kg", "-3 kg", "4.26", "12", "1/2 lb"]
)
def test_what_a_scale_may_send_is_a_weight(line: str) -> None:
    assert read_scan(line) == WeightScan(line)


@pytest.mark.parametrize(
    ("line", "is_yes"), [("yes", True), ("Y", True), ("NO", False), ("n\n", False)]
)
def test_yes_and_no_are_replies(line: str, is_yes: bool) -> None:
    assert read_scan(line) == ReplyScan(is_yes)


@pytest.mark.parametrize("line", ["Crate 7", "Move to Fruiting 1", "тележка", "ארגז", "=1+1", "🍄"])
def test_other_words_are_kept_as_words(line: str) -> None:
    assert read_scan(line) == WordsScan(line)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("", "scan_empty"),
        (" \r\n\t", "scan_empty"),
        ("]C0", "scan_empty"),
        ("x" * 201, "scan_too_long"),
        ("7" * 10_240, "scan_too_long"),
        ("60\x000123", "scan_binary"),
        ("\x7fELF\x01\x02\x03x", "scan_binary"),
        ("ab\N{REPLACEMENT CHARACTER}c", "scan_binary"),
        ("6000123", "code_unreadable"),
        ("60000123456789", "code_unreadable"),
        ("6000 0123 4", "code_unreadable"),
        ("0000000001", "code_damaged"),
    ],
)
def test_what_is_no_scan_is_told_in_a_sentence(line: str, code: str) -> None:
    with pytest.raises(NotUnderstood) as caught:
        read_scan(line)
    assert [one.code for one in caught.value.problems] == [code]
    assert code in SENTENCES
    assert say_error(caught.value).endswith(".")


def test_blanks_round_a_code_do_not_make_it_too_long() -> None:
    assert read_scan(" " * 300 + CODE + "\x00" * 300) == CodeScan(BAG)


@given(st.text(max_size=LONGEST_LINE + 50))
def test_any_text_is_read_or_not_understood(line: str) -> None:
    try:
        found = read_scan(line)
    except NotUnderstood as error:
        found = WordsScan(say_error(error))
    assert isinstance(found, CodeScan | NameScan | WeightScan | ReplyScan | WordsScan)
    assert found != WordsScan("")


@given(st.integers(0, 9_999_999), st.integers(1, 9_999))
def test_every_code_and_bag_name_comes_back(serial: int, number: int) -> None:
    thing = make_id("bag", serial)
    assert read_scan(code_of(thing)) == CodeScan(thing)
    assert read_scan(group_code(code_of(thing))) == CodeScan(thing)
    assert read_scan(bag_name("OY02-0147", number)) == NameScan("OY02-0147", number)
