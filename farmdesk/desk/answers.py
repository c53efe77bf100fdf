"""What the scan strip and the bench view show, as words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from farmdesk.wording.language import tr

ACTS = 5
"""So many of a station's last acts stand on the bench view."""
OUTCOME_WORDS: Mapping[str, str] = {
    "done": tr("Done"),
    "already": tr("Already done"),
    "ask": tr("Please answer"),
    "refused": tr("Refused"),
    "unknown": tr("Not known"),
}


class AnswerView(NamedTuple):
    """One answer to a scan, in words; `outcome` is done, already, ask, refused or unknown."""

    outcome: str
    sentence: str
    subject: str = ""
    stage: str = ""
    room: str = ""
    count_text: str = ""
    asks: bool = False


class ActLine(NamedTuple):
    """One act done at this station: its id, its time and what it was, in words."""

    act: str
    time: str
    text: str
    can_undo: bool
