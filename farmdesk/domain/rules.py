"""What may become of a bag: for each act of a card and each stage, done, already, ask or refuse.

Growers skip steps, so a bag that incubates may be opened or picked at once; what was not seen
stays unknown. Refused is only what cannot be: whatever has ended does nothing any more.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from farmdesk.domain import cards
from farmdesk.domain.bags import Bag
from farmdesk.domain.stages import (
    ALIVE,
    COLONISED,
    DISCARDED,
    ENDED,
    FRUITING,
    INCUBATING,
    LOST,
    RESTING,
    SPENT,
)
from farmdesk.quantities.times import age_days

Outcome = Literal["done", "already", "ask", "refuse"]
DONE: Outcome = "done"
ALREADY: Outcome = "already"
ASK: Outcome = "ask"
REFUSE: Outcome = "refuse"

EARLY_SHARE = 3
"""Opened within a third of the shortest incubation: more likely a slip. Common practice, no
source."""


@dataclass(frozen=True)
class Verdict:
    """What becomes of an act on a bag, and the code of the sentence that says so."""

    outcome: Outcome
    code: str


BAG_ACTS = (
    cards.MOVE,
    cards.COLONISED,
    cards.PINS,
    cards.OPENED,
    cards.PICK,
    cards.REST,
    cards.SPENT,
    cards.DISCARD,
    cards.LOOK,
    cards.SLOW,
    cards.SHOW,
)
"""The acts of cards that concern a bag; undo, yes and no concern what was done before."""

_DONE_CODES: Mapping[str, str] = {
    cards.MOVE: "bag_moved",
    cards.COLONISED: "bag_colonised",
    cards.PINS: "bag_pinned",
    cards.OPENED: "bag_opened",
    cards.PICK: "bag_picked",
    cards.REST: "bag_rested",
    cards.SPENT: "bag_spent",
    cards.DISCARD: "bag_discarded",
    cards.LOOK: "bag_looked_at",
    cards.SLOW: "bag_slow",
    cards.SHOW: "bag_shown",
}
_EXCEPTIONS: Mapping[tuple[str, str], Verdict] = {
    (cards.COLONISED, COLONISED): Verdict(ALREADY, "bag_colonised_already"),
    (cards.COLONISED, FRUITING): Verdict(ALREADY, "bag_past_colonised"),
    (cards.COLONISED, RESTING): Verdict(ALREADY, "bag_past_colonised"),
    (cards.OPENED, FRUITING): Verdict(ALREADY, "bag_opened_already"),
    (cards.REST, RESTING): Verdict(ALREADY, "bag_rested_already"),
    (cards.REST, INCUBATING): Verdict(ASK, "rest_unopened"),
    (cards.REST, COLONISED): Verdict(ASK, "rest_unopened"),
    (cards.SPENT, INCUBATING): Verdict(ASK, "spent_unopened"),
    (cards.SPENT, COLONISED): Verdict(ASK, "spent_unopened"),
    (cards.SPENT, SPENT): Verdict(ALREADY, "bag_spent_already"),
    (cards.DISCARD, DISCARDED): Verdict(ALREADY, "bag_discarded_already"),
}


def _verdict_for(act: str, stage: str) -> Verdict:
    if (act, stage) in _EXCEPTIONS:
        return _EXCEPTIONS[act, stage]
    if stage in ALIVE or act == cards.SHOW:
        return Verdict(DONE, _DONE_CODES[act])
    if stage == LOST:
        return Verdict(ASK, "bag_lost_found")
    return Verdict(REFUSE, f"bag_is_{stage}")


TABLE: Mapping[tuple[str, str], Verdict] = {
    (act, stage): _verdict_for(act, stage) for act in BAG_ACTS for stage in ALIVE + ENDED
}
"""Every act on a bag in every stage."""


def judge(
    act: str, bag: Bag, *, day: str = "", room: int | None = None, shelf: str = ""
) -> Verdict:
    """What becomes of a card's act on this bag on a day; `room`, `shelf` are where a move goes."""
    verdict = TABLE[act, bag.stage]
    if verdict.outcome is not DONE:
        return verdict
    if act == cards.MOVE and (bag.room, bag.shelf) == (room, shelf):
        return Verdict(ALREADY, "bag_there_already")
    if act == cards.LOOK and bag.looked_on is not None and bag.looked_on >= day:
        return Verdict(ALREADY, "bag_looked_at_already")
    if act == cards.PINS and bag.pinned_on is not None:
        return Verdict(ALREADY, "bag_pinned_already")
    if act == cards.SLOW and bag.slow:
        return Verdict(ALREADY, "bag_slow_already")
    return verdict


def done_code(act: str) -> str:
    """The code of the sentence that an act is done."""
    return _DONE_CODES[act]


def is_early(inoculated_on: str, day: str, shortest_days: int) -> bool:
    """Whether opening on a day is so soon after inoculation that it must be asked."""
    return EARLY_SHARE * age_days(inoculated_on, day) < shortest_days


def stage_when_found(bag: Bag) -> str:
    """The stage of a lost bag that is found again: the last one that its days tell of."""
    if bag.opened_on is not None or bag.picked_on is not None:
        return FRUITING
    return INCUBATING if bag.colonised_on is None else COLONISED


def ending_of(reason_code: str) -> str:
    """The stage that a discard with this reason ends in; what is lost may be found again."""
    return LOST if reason_code == LOST else DISCARDED
