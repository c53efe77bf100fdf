"""What the scan strip shows after a scan, as words."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class AnswerView:
    """One answer to a scan, in words; `outcome` is done, already, ask, refused or unknown."""

    outcome: str
    sentence: str
    subject: str = ""
    stage: str = ""
    room: str = ""
    count_text: str = ""
    asks: bool = False
