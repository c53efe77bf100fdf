"""Check digits against ISO/IEC 7064 MOD 97-10 as another library computes them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_97_10

from farmdesk.domain.codes import DIGITS, code_of, make_id, read_code
from farmdesk.errors import NotUnderstood

THINGS = st.builds(make_id, st.sampled_from(sorted(DIGITS)), st.integers(0, 9_999_999))


@given(THINGS)
def test_check_digits_agree_with_the_reference(thing: int) -> None:
    """Reference: python-stdnum, module stdnum.iso7064.mod_97_10 (ISO/IEC 7064:2003)."""
    body = f"{thing:08d}"
    assert code_of(thing) == body + mod_97_10.calc_check_digits(body)


@given(st.from_regex(r"[1-9][0-9]{9}", fullmatch=True))
def test_a_code_is_valid_exactly_when_the_reference_says_so(digits: str) -> None:
    valid = mod_97_10.is_valid(digits) and digits[-2:] not in ("00", "01", "99")
    try:
        read_code(digits)
    except NotUnderstood:
        assert not valid
    else:
        assert valid


def test_the_worked_example_of_the_standard() -> None:
    """ISO/IEC 7064 MOD 97-10: the string 794 has the check characters 44; from memory."""
    assert mod_97_10.calc_check_digits("794") == "44"
    assert (98 - 794 * 100 % 97) % 97 == 44


@pytest.mark.parametrize("wrong", ["00", "01", "99"])
def test_check_digits_outside_two_to_ninety_eight_are_never_given(wrong: str) -> None:
    for serial in range(2_000):
        assert code_of(make_id("bag", serial))[-2:] != wrong
