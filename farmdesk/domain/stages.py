"""The stages of a bag, and which of them are still alive."""

from __future__ import annotations

INCUBATING = "incubating"
COLONISED = "colonised"
FRUITING = "fruiting"
RESTING = "resting"
SPENT = "spent"
DISCARDED = "discarded"
LOST = "lost"
SOLD = "sold"
VOID = "void"

ALIVE = (INCUBATING, COLONISED, FRUITING, RESTING)
ENDED = (SPENT, DISCARDED, LOST, SOLD, VOID)
STAGES = ALIVE + ENDED


def is_alive(stage: str) -> bool:
    """Whether a bag in this stage still stands somewhere and can do something."""
    return stage in ALIVE
