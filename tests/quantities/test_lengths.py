"""Lengths are read in millimetres, centimetres and inches; 1 in is 25.4 mm (NIST SP 811)."""

from __future__ import annotations

import pytest

from farmdesk.errors import NotUnderstood
from farmdesk.quantities.lengths import read_length, to_mm


@pytest.mark.parametrize(
    ("typed", "um"),
    [
        ("19.5", 19_500),
        ("19.5 mm", 19_500),
        ("1.95 cm", 19_500),
        ("1 in", 25_400),
        ('13/16"', 20_638),
        ("0.77 in", 19_558),
        ("1 1/2 inches", 38_100),
    ],
)
def test_lengths_are_read(typed: str, um: int) -> None:
    assert read_length(typed) == um
    assert to_mm(um) * 1000 == um


def test_a_decimal_comma_is_read() -> None:
    assert read_length("19,5 mm", decimal_comma=True) == 19_500


@pytest.mark.parametrize("typed", ["", "wide", "19 feet", "-3 mm", "1 2 3", "9" * 200])
def test_what_is_no_length_is_refused(typed: str) -> None:
    with pytest.raises(NotUnderstood):
        read_length(typed)
