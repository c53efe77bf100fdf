import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.flushes import FlushProposal, PickedBefore, propose_flush
from farmdesk.errors import NotUnderstood
from farmdesk.quantities.times import day_plus

LAST = PickedBefore("2026-03-02", 2)


def test_the_first_pick_is_the_first_flush():
    first = propose_flush(None, picked_on="2026-03-02", rest_days_low=7)
    assert first == FlushProposal(1, "first_pick", True)


@pytest.mark.parametrize(
    ("days", "resting", "flush", "reason", "sure"),
    [
        (0, False, 2, "same_picking", True),
        (0, True, 2, "same_picking", True),
        (1, False, 2, "same_picking", True),
        (3, False, 2, "same_picking", True),
        (4, False, 2, "between", False),
        (6, False, 2, "between", False),
        (7, False, 3, "rested", True),
        (30, False, 3, "rested", True),
        (2, True, 3, "was_resting", True),
        (-1, False, 2, "earlier_than_last", False),
        (-1, True, 2, "earlier_than_last", False),
    ],
)
def test_the_flush_follows_from_the_days_since_the_last_pick(days, resting, flush, reason, sure):
    proposal = propose_flush(
        LAST,
        picked_on=day_plus(LAST.day, days),
        rest_days_low=7,
        is_resting=resting,
    )
    assert proposal == FlushProposal(flush, reason, sure)


@given(days=st.integers(0, 90), rest=st.integers(0, 40), resting=st.booleans())
def test_a_flush_is_never_skipped(days, rest, resting):
    proposal = propose_flush(
        LAST, picked_on=day_plus(LAST.day, days), rest_days_low=rest, is_resting=resting
    )
    assert proposal.flush in (2, 3)


def test_a_day_that_is_none_is_not_understood():
    with pytest.raises(NotUnderstood):
        propose_flush(LAST, picked_on="2026-02-30", rest_days_low=7)
