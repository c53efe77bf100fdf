"""Code 128 against published check symbols and a second encoder.

Sources: the symbol table and check rule of ISO/IEC 15417; published worked examples, named row by
row in data/code128_checks.csv; the independent encoder of zxing-cpp.
"""

import numpy
import pytest
import zxingcpp
from oracle_tables import read_table

from farmdesk.domain.codes import DIGITS, code_of, make_id
from farmdesk.paper.symbols import modules

PATTERNS = {row["modules"][:11]: int(row["value"]) for row in read_table("code128_values")}
CHECKS = read_table("code128_checks")
STOP = 106
OUR_PATH = {
    "345678 (set C)": "345678",
    "abcdef (set B)": "abcdef",
    "LOT-240131-07 (B, C, B)": "LOT-240131-07",
}
"""The published examples whose code sets are also the ones that we choose."""


def values_of(pattern):
    """Symbol values, start to stop, of a row of modules."""
    assert pattern.endswith("11")
    body = pattern[:-2]
    assert len(body) % 11 == 0
    return [PATTERNS[body[at : at + 11]] for at in range(0, len(body), 11)]


def check_of(values):
    """Start value plus each value times its place, modulo 103 (ISO/IEC 15417)."""
    return (values[0] + sum(place * value for place, value in enumerate(values[1:], 1))) % 103


@pytest.mark.parametrize("row", CHECKS, ids=lambda row: row["text"])
def test_published_check_symbols_follow_the_rule(row):
    values = [int(value) for value in row["values_before_check"].split()]
    assert check_of(values) == int(row["check_value"])
    assert len(values) + 2 == int(row["symbol_characters_total"])


@pytest.mark.parametrize("row", [row for row in CHECKS if row["text"] in OUR_PATH])
def test_our_symbols_are_the_published_ones(row):
    before = [int(value) for value in row["values_before_check"].split()]
    pattern = modules(OUR_PATH[row["text"]])
    assert values_of(pattern) == [*before, int(row["check_value"]), STOP]
    assert len(pattern) == int(row["modules_without_quiet_zone"])


def test_every_published_path_was_found():
    assert {row["text"] for row in CHECKS} >= set(OUR_PATH)


@pytest.mark.parametrize(
    "text", ["PJJ123C", "HI345678", "ABCDEF", "OY02-0147-017", "x", "1", "123"]
)
def test_check_symbol_of_other_texts(text):
    values = values_of(modules(text))
    assert values[-1] == STOP
    assert check_of(values[:-2]) == values[-2]


def test_ten_digits_are_as_zxing_encodes_them():
    for kind in DIGITS:
        for serial in (0, 1, 1234567, 9999999):
            code = code_of(make_id(kind, serial))
            other = zxingcpp.create_barcode(code, zxingcpp.BarcodeFormat.Code128)
            image = numpy.array(other.to_image(scale=1, add_quiet_zones=False))
            row = "".join("1" if dark == 0 else "0" for dark in image[image.shape[0] // 2])
            assert modules(code) == row
            assert len(row) == 90
