"""What a wall card says below its title: what the scans after it will mean."""

from collections.abc import Mapping

MEANINGS: Mapping[str, str] = {
    "move": "Bags scanned after this card now stand in: {target}.",
    "colonised": "Bags scanned after this card are fully colonised.",
    "pins": "Bags scanned after this card show their first pins.",
    "opened": "Bags scanned after this card have been opened for fruiting.",
    "pick": "Bags scanned after this card are picked into one crate; then type its weight.",
    "rest": "Bags scanned after this card rest until the next flush.",
    "spent": "Bags scanned after this card are spent.",
    "discard": "Bags scanned after this card are discarded for: {target}. Carry them out closed.",
    "look": "Bags scanned after this card were looked at and are fine.",
    "slow": "Bags scanned after this card are slow.",
    "show": "Scans after this card only show what is known.",
    "undo": "Scan this card to take back the last thing that was done here.",
    "label": "Scan this card to print the label of the pick that was weighed last.",
    "key": "Types a weight, key by key.",
    "yes": "Scan this card to answer: yes, it is meant.",
    "no": "Scan this card to answer: no, leave it as it was.",
}
