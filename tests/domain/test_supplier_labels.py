"""A supplier's GS1 label as it is scanned at receiving."""

from __future__ import annotations

import pytest

from farmdesk.domain.supplier_labels import SupplierLabel, read_supplier_label
from farmdesk.errors import NotUnderstood

# Application identifiers of the GS1 General Specifications, section 3; the GTIN is of the
# prefix 952, which is set aside for examples. AI 310n: net weight in kg, n decimals.
LABEL = "010952123400001317270131310300125010LOT42\x1d3712"
WANTED = SupplierLabel("09521234000013", "LOT42", "2027-01-31", 1_250_000, 12)


@pytest.mark.parametrize(
    "line",
    [
        LABEL,
        f"]C1{LABEL}",
        f"]d2{LABEL}\r",
        "(01)09521234000013(17)270131(3103)001250(10)LOT42(37)12",
    ],
)
def test_a_label_fills_what_it_says(line: str) -> None:
    assert read_supplier_label(line) == WANTED


def test_pounds_and_a_best_before_day() -> None:
    # AI 320n: net weight in pounds; 100.00 lb of 0.45359237 kg (NIST Handbook 44).
    found = read_supplier_label("3202010000152704301" + "0A-7")
    assert (found.net_mg, found.use_by, found.lot) == (45_359_237, "2027-04-30", "A-7")


@pytest.mark.parametrize("line", ["", "6000012345", "sawdust, 20 kg", "]C1", "(99)x(", "00"])
def test_anything_else_is_told(line: str) -> None:
    with pytest.raises(NotUnderstood) as told:
        read_supplier_label(line)
    assert told.value.problems[0].code == "label_not_gs1"
