"""Percents as typed."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.errors import NotUnderstood
from farmdesk.quantities.percent import read_percent


@pytest.mark.parametrize(
    ("text", "percent"),
    [
        ("62 %", "62"),
        ("62%", "62"),
        ("62.5", "62.5"),
        ("62,5 %", "62.5"),
        ("0", "0"),
        ("100", "100"),
    ],
)
def test_percents_are_read(text: str, percent: str) -> None:
    reading = read_percent(text)
    assert (reading.percent, reading.doubts) == (Decimal(percent), ())


def test_a_share_is_doubted() -> None:
    reading = read_percent("0.62")
    assert reading.percent == Decimal("0.62")
    (doubt,) = reading.doubts
    assert (doubt.code, doubt.facts["other"]) == ("percent_as_share", "62 %")
    assert read_percent("0.5 %").doubts == ()


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "percent_not_understood"),
        ("%", "percent_not_understood"),
        ("most", "percent_not_understood"),
        ("nan", "percent_not_understood"),
        ("6" * 10_000, "percent_not_understood"),
        ("-5", "percent_negative"),
        ("101", "percent_too_high"),
    ],
)
def test_other_text_is_refused(text: str, code: str) -> None:
    with pytest.raises(NotUnderstood) as refused:
        read_percent(text)
    assert [one.code for one in refused.value.problems] == [code]


def test_biological_efficiency_may_pass_a_hundred() -> None:
    assert read_percent("106.9", highest=300).percent == Decimal("106.9")


@given(st.decimals(min_value=1, max_value=100, places=2))
def test_percents_come_back(percent: Decimal) -> None:
    assert read_percent(f"{percent} %").percent == percent
