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
PINS = "pins"
LABEL = "label"
KEY = "key"

ENTER, CLEAR, POINT = "enter", "clear", "point"
UNITS = ("kg", "g", "lb", "oz")
KEYS: Mapping[str, str] = {
    **{digit: digit for digit in "1234567890"},
    POINT: ".",
    **{unit: unit for unit in UNITS},
    ENTER: "Enter",
    CLEAR: "Clear",
}
"""Cards that type a weight, key by key, with the title each carries."""

ACTS: Mapping[str, str] = {
    MOVE: "Move here",
    COLONISED: "Colonised",
    PINS: "Pins seen",
    OPENED: "Opened for fruiting",
    PICK: "Pick into crate",
    REST: "Resting between flushes",
    SPENT: "Spent",
    DISCARD: "Discard",
    LOOK: "Looked at, fine",
    SLOW: "Slow",
    SHOW: "Just show me",
    UNDO: "Take back the last",
    LABEL: "Label of the last pick",
    YES: "Yes, it is meant",
    NO: "No, leave it",
}
"""Each act with the title its card carries."""
