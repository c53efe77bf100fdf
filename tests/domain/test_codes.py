"""Ten-digit codes: a slip of the hand never names another thing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.domain.codes import (
    DIGITS,
    code_of,
    group_code,
    kind_of,
    make_id,
    name_for,
    read_code,
    read_name,
    shown,
)
from farmdesk.errors import NotUnderstood

THINGS = st.builds(make_id, st.sampled_from(sorted(DIGITS)), st.integers(0, 9_999_999))
SOME = [make_id(kind, serial) for kind in DIGITS for serial in (0, 1, 96, 97, 4_711, 9_999_999)]


def one_digit_wrong(code: str) -> set[str]:
    return {
        code[:at] + digit + code[at + 1 :]
        for at in range(len(code))
        for digit in "0123456789"
        if digit != code[at]
    }


def two_swapped(code: str) -> set[str]:
    swapped = {code[:at] + code[at + 1] + code[at] + code[at + 2 :] for at in range(len(code) - 1)}
    return swapped - {code}


def assert_all_caught(code: str) -> None:
    for wrong in one_digit_wrong(code) | two_swapped(code):
        with pytest.raises(NotUnderstood):
            read_code(wrong)


@pytest.mark.parametrize("thing", SOME)
def test_every_single_slip_in_a_code_is_caught(thing: int) -> None:
    """All single substitutions and adjacent transpositions, as ISO/IEC 7064 claims."""
    assert_all_caught(code_of(thing))


@given(THINGS)
def test_slips_in_any_code_are_caught(thing: int) -> None:
    assert_all_caught(code_of(thing))


@given(THINGS)
def test_a_code_leads_back_to_its_thing(thing: int) -> None:
    code = code_of(thing)
    assert len(code) == 10
    assert read_code(code) == read_code(group_code(code)) == thing
    assert code[0] == str(DIGITS[kind_of(thing)])


@pytest.mark.parametrize("text", ["", "123", "abcdefghij", "٦٠٠٠١٢٣٤٥٦", "6000 0123 4x", "1" * 11])
def test_what_is_not_ten_digits_is_not_read(text: str) -> None:
    with pytest.raises(NotUnderstood):
        read_code(text)


def test_kind_digit_nought_is_no_code() -> None:
    body = 1_234_567
    check = 98 - body * 100 % 97
    with pytest.raises(NotUnderstood):
        read_code(f"{body * 100 + check:010d}")


@pytest.mark.parametrize(
    ("kind", "name"),
    [
        ("batch", "OY02-0147"),
        ("spawn", "S-OY02-0147"),
        ("culture", "C-OY02-0147"),
        ("pick", "P-OY02-0147"),
    ],
)
def test_names_are_made_and_read_alike(kind: str, name: str) -> None:
    assert name_for(kind, 147, "OY", "02") == name
    assert read_name(name.lower()) == (name, None)


def test_foreign_text_is_shortened_and_made_printable() -> None:
    assert shown("a\x00b") == "a\N{REPLACEMENT CHARACTER}b"
    assert shown("x" * 100) == "x" * 40 + "…"
