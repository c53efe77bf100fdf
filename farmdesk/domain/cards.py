"""What a wall card can make the next scans mean."""

from __future__ import annotations

from collections.abc import Mapping

MOVE = "move"
COLONISED = "colonised"
OPENED = "opened"
PICK = "pick"
REST = "rest"
SPENT = "spent"
DISCARD = "discard"
LOOK = "look"
SLOW = "slow"
SHOW = "show"
UNDO = "undo"
YES = "yes"
NO = "no"

ACTS: Mapping[str, str] = {
    MOVE: "Move here",
    COLONISED: "Colonised",
    OPENED: "Opened for fruiting",
    PICK: "Pick into crate",
    REST: "Resting between flushes",
    SPENT: "Spent",
    DISCARD: "Discard",
    LOOK: "Looked at, fine",
    SLOW: "Slow",
    SHOW: "Just show me",
    UNDO: "Take back the last",
    YES: "Yes, it is meant",
    NO: "No, leave it",
}
"""Each act with the title its card carries."""
