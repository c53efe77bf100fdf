"""What may become of a bag, in every stage and under every card."""

from __future__ import annotations

import pytest

from farmdesk.domain import cards, rules
from farmdesk.domain.bags import Bag
from farmdesk.domain.rules import BAG_ACTS, TABLE, Verdict, judge
from farmdesk.domain.stages import ALIVE, ENDED, STAGES
from farmdesk.wording.sentences import SENTENCES
from farmdesk.wording.states import STATES

D, A, Q, X = "done", "already", "ask", "refuse"
EXPECTED = {
    #                 incubating colonised fruiting resting spent discarded lost sold void
    cards.MOVE:      (D, D, D, D, X, X, Q, X, X),
    cards.COLONISED: (D, A, A, A, X, X, Q, X, X),
    cards.PINS:      (D, D, D, D, X, X, Q, X, X),
    cards.OPENED:    (D, D, A, D, X, X, Q, X, X),
    cards.PICK:      (D, D, D, D, X, X, Q, X, X),
    cards.REST:      (Q, Q, D, A, X, X, Q, X, X),
    cards.SPENT:     (Q, Q, D, D, A, X, Q, X, X),
    cards.DISCARD:   (D, D, D, D, X, A, Q, X, X),
    cards.LOOK:      (D, D, D, D, X, X, Q, X, X),
    cards.SLOW:      (D, D, D, D, X, X, Q, X, X),
    cards.SHOW:      (D, D, D, D, D, D, D, D, D),
}  # fmt: skip
"""Growers skip steps: common practice, no source."""


def bag(stage: str, **fields: object) -> Bag:
    return Bag(1, 1, 1, stage, "2026-03-01T08:00:00Z", **fields)  # type: ignore[arg-type]


@pytest.mark.parametrize("act", BAG_ACTS)
def test_every_act_in_every_stage_is_as_the_table_says(act: str) -> None:
    found = tuple(judge(act, bag(stage), day="2026-03-02", room=2).outcome for stage in STAGES)
    assert found == EXPECTED[act]


def test_the_table_is_whole_and_every_verdict_has_a_sentence() -> None:
    assert set(TABLE) == {(act, stage) for act in BAG_ACTS for stage in STAGES}
    assert {verdict.code for verdict in TABLE.values()} <= set(SENTENCES)
    assert set(STATES) >= set(STAGES), "every stage has its word"
    assert set(cards.ACTS) == set(BAG_ACTS) | {
        cards.UNDO,
        cards.YES,
        cards.NO,
        cards.LABEL,
    }


def test_what_has_ended_is_named_by_its_ending() -> None:
    for stage in ENDED:
        if stage != "lost":
            assert judge(cards.MOVE, bag(stage), room=2) == Verdict("refuse", f"bag_is_{stage}")


@pytest.mark.parametrize("stage", ALIVE)
def test_a_bag_in_its_room_is_there_already(stage: str) -> None:
    assert judge(cards.MOVE, bag(stage, room=2), room=2).outcome == A
    assert judge(cards.MOVE, bag(stage, room=2), room=3).outcome == D


def test_looking_counts_once_a_day_and_slow_once() -> None:
    seen = bag("incubating", looked_on="2026-03-02", slow=1)
    assert judge(cards.LOOK, seen, day="2026-03-02").outcome == A
    assert judge(cards.LOOK, seen, day="2026-03-01").outcome == A
    assert judge(cards.LOOK, seen, day="2026-03-03").outcome == D
    assert judge(cards.SLOW, seen).outcome == A


@pytest.mark.parametrize(
    ("day", "early"), [("2026-03-01", True), ("2026-03-04", True), ("2026-03-05", False)]
)
def test_opening_within_a_third_of_incubation_is_early(day: str, early: bool) -> None:
    assert rules.is_early("2026-03-01", day, 12) is early


def test_a_found_bag_goes_back_to_the_stage_its_days_tell_of() -> None:
    assert rules.stage_when_found(bag("lost")) == "incubating"
    assert rules.stage_when_found(bag("lost", colonised_on="2026-03-01")) == "colonised"
    assert rules.stage_when_found(bag("lost", opened_on="2026-03-01")) == "fruiting"
    assert rules.stage_when_found(bag("lost", picked_on="2026-03-01")) == "fruiting"


def test_only_the_reason_lost_lets_a_bag_be_found_again() -> None:
    assert rules.ending_of("lost") == "lost"
    assert rules.ending_of("green_mould") == "discarded"
