from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.allocation import LineProposal, LotOffer, LotTake, Wanted, propose_lots

DAYS = st.integers(1, 9).map(lambda day: f"2026-03-0{day}")
KINDS = st.sampled_from(["oyster A", "oyster B"])
LOTS = st.lists(
    st.builds(LotOffer, st.integers(1, 99), KINDS, DAYS, st.integers(0, 50)),
    max_size=8,
    unique_by=lambda lot: lot.id,
)
WANTED = st.lists(
    st.builds(Wanted, st.integers(1, 99), KINDS, st.integers(0, 60), DAYS, st.integers(0, 3)),
    max_size=6,
)


@given(lots=LOTS, wanted=WANTED)
def test_nothing_is_promised_twice_and_every_line_adds_up(lots, wanted):
    proposed = propose_lots(lots, wanted)
    by_lot = {lot.id: lot for lot in lots}
    taken = dict.fromkeys(by_lot, 0)
    assert [line.line for line in proposed] == [line.id for line in wanted]
    for asked, line in zip(wanted, proposed, strict=True):
        assert sum(take.amount for take in line.takes) + line.short == asked.amount
        assert line.short >= 0
        for take in line.takes:
            assert take.amount > 0
            assert by_lot[take.lot].kind == asked.kind
            assert by_lot[take.lot].shelf_on >= asked.lasts_until
            taken[take.lot] += take.amount
    assert all(taken[lot.id] <= lot.free for lot in lots)


@given(lots=LOTS, wanted=WANTED)
def test_a_line_takes_earlier_lots_first(lots, wanted):
    shelf = {lot.id: lot.shelf_on for lot in lots}
    for line in propose_lots(lots, wanted):
        days = [shelf[take.lot] for take in line.takes]
        assert days == sorted(days)


def test_the_lenient_line_leaves_late_lots_to_the_strict_one():
    lots = [LotOffer(1, "A", "2026-03-10", 5), LotOffer(2, "A", "2026-03-05", 5)]
    strict = Wanted(1, "A", 5, "2026-03-02", 6)
    lenient = Wanted(2, "A", 5, "2026-03-02", 0)
    for wanted in ([strict, lenient], [lenient, strict]):
        lines = {line.line: line for line in propose_lots(lots, wanted)}
        assert lines[1] == LineProposal(1, (LotTake(1, 5),), 0)
        assert lines[2] == LineProposal(2, (LotTake(2, 5),), 0)


def test_a_line_may_be_filled_from_several_lots_and_its_shortfall_is_said():
    lots = [LotOffer(1, "A", "2026-03-06", 4), LotOffer(2, "A", "2026-03-05", 3)]
    (line,) = propose_lots(lots, [Wanted(9, "A", 10, "2026-03-02")])
    assert line == LineProposal(9, (LotTake(2, 3), LotTake(1, 4)), 3)


def test_equal_shelf_dates_go_by_pick_time_then_number():
    lots = [
        LotOffer(3, "A", "2026-03-06", 1, picked_at="2026-03-01T10:00:00Z"),
        LotOffer(2, "A", "2026-03-06", 1, picked_at="2026-03-01T08:00:00Z"),
        LotOffer(1, "A", "2026-03-06", 1, picked_at="2026-03-01T10:00:00Z"),
    ]
    (line,) = propose_lots(lots, [Wanted(9, "A", 3, "2026-03-02")])
    assert [take.lot for take in line.takes] == [2, 1, 3]


def test_held_lots_and_lots_past_the_minimum_life_stay_where_they_are():
    lots = [
        LotOffer(1, "A", "2026-03-09", 5, is_held=True),
        LotOffer(2, "A", "2026-03-04", 5),
        LotOffer(3, "A", "2026-03-05", 5),
    ]
    (line,) = propose_lots(lots, [Wanted(9, "A", 10, "2026-03-02", 3)])
    assert line == LineProposal(9, (LotTake(3, 5),), 5)
