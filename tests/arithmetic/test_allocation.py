import itertools

from hypothesis import given, settings
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


SMALL_LOTS = st.lists(
    st.builds(LotOffer, st.integers(1, 99), KINDS, DAYS, st.integers(0, 4)),
    max_size=3,
    unique_by=lambda lot: lot.id,
)
SMALL_WANTED = st.lists(
    st.builds(
        Wanted, st.integers(1, 99), KINDS, st.integers(0, 4), DAYS, st.integers(0, 3),
        st.sampled_from([(), ("oyster A",), ("oyster B",)]),
    ),
    max_size=3,
)  # fmt: skip


def most_by_trying_everything(lots, wanted) -> int:
    """The most that can be filled in all: every way of giving every line every amount."""

    def fill(place: int, free: tuple[int, ...]) -> int:
        if place == len(wanted):
            return 0
        line = wanted[place]
        choices = [
            range(min(left, line.amount) + 1) if line.may_have(lot) else range(1)
            for lot, left in zip(lots, free, strict=True)
        ]
        return max(
            sum(taken) + fill(place + 1, tuple(a - b for a, b in zip(free, taken, strict=True)))
            for taken in itertools.product(*choices)
            if sum(taken) <= line.amount
        )

    return fill(0, tuple(lot.free for lot in lots))


@settings(max_examples=60)
@given(lots=SMALL_LOTS, wanted=SMALL_WANTED)
def test_as_much_is_filled_as_by_trying_everything(lots, wanted):
    filled = sum(take.amount for line in propose_lots(lots, wanted) for take in line.takes)
    assert filled == most_by_trying_everything(lots, wanted)


@given(lots=LOTS, wanted=WANTED)
def test_old_stock_is_left_only_where_no_line_could_have_used_it(lots, wanted):
    proposed = propose_lots(lots, wanted)
    taken: dict[int, int] = {}
    for line in proposed:
        for take in line.takes:
            taken[take.lot] = taken.get(take.lot, 0) + take.amount
    for older in lots:
        if taken.get(older.id, 0) == older.free:
            continue
        for asked, line in zip(wanted, proposed, strict=True):
            if asked.may_have(older):
                later = [
                    one
                    for one in lots
                    if (one.shelf_on, "", one.id) > (older.shelf_on, "", older.id)
                    and one.kind == older.kind
                ]
                assert line.short == 0
                assert not {take.lot for take in line.takes} & {one.id for one in later}


def test_a_line_due_earlier_comes_first_where_there_is_too_little():
    lots = [LotOffer(1, "A", "2026-03-10", 5)]
    later = Wanted(1, "A", 5, "2026-03-04")
    sooner = Wanted(2, "A", 4, "2026-03-02")
    first, second = propose_lots(lots, [later, sooner])
    assert (first.short, second.short) == (4, 0)


def test_an_agreed_substitute_fills_what_is_short_and_only_that():
    lots = [LotOffer(1, "A", "2026-03-10", 3), LotOffer(2, "B", "2026-03-03", 9)]
    (line,) = propose_lots(lots, [Wanted(7, "A", 5, "2026-03-02", 0, ("B",))])
    assert {take.lot: take.amount for take in line.takes} == {1: 3, 2: 2}
    assert line.short == 0


def test_a_lot_of_unknown_life_goes_last_and_never_to_who_asks_for_life():
    lots = [LotOffer(1, "A", None, 5), LotOffer(2, "A", "2026-03-09", 5)]
    anyone, careful = propose_lots(
        lots, [Wanted(1, "A", 5, "2026-03-02"), Wanted(2, "A", 5, "2026-03-02", 3)]
    )
    assert anyone.takes == (LotTake(1, 5),)
    assert careful.takes == (LotTake(2, 5),)


def test_tonnes_in_milligrams_add_up_to_the_last_one():
    lots = [LotOffer(n, "A", f"2026-03-{n:02d}", 123_456_789_123 + n) for n in range(10, 28)]
    wanted = [Wanted(n, "A", 98_765_432_101 + n, "2026-03-02", n) for n in range(20)]
    proposed = propose_lots(lots, wanted)
    assert sum(line.short for line in proposed) == max(
        0, sum(line.amount for line in wanted) - sum(lot.free for lot in lots)
    )
