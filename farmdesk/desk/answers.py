"""What the scan strip shows after a scan, as words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

OUTCOME_WORDS: Mapping[str, str] = {
    "done": "Done",
    "already": "Already done",
    "ask": "Please answer",
    "refused": "Refused",
    "unknown": "Not known",
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
