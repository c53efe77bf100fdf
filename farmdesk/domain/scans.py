"""A line from a scanner or a keyboard: a code, a name, a weight, a yes or no, or some words.

Scanners may set an AIM symbology identifier (ISO/IEC 15424, `]C0` for Code 128) before a code
and control characters round it; both are taken off.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from farmdesk.domain.codes import read_code, read_name, shown
from farmdesk.errors import NotUnderstood, problem
from farmdesk.quantities.mass import is_mass_text

LONGEST_LINE = 200
_FRAMES = "".join(chr(n) for n in range(33)) + "\x7f\ufeff\u200b\u200e\u200f\xa0"
"""What scanners and copying leave before and after a code: blanks, controls, invisible marks."""
_SYMBOLOGY = re.compile(r"\][A-Za-z][0-9A-Za-z]")
_CODE = re.compile(r"[0-9][0-9 \-]*[0-9]", re.ASCII)
_CODE_DIGITS = 10
_BARE_NUMBER = re.compile(r"[-+]? ?[0-9]{0,5}(?:[.,][0-9]{1,3})?", re.ASCII)
_REPLIES = {"yes": True, "y": True, "no": False, "n": False}


@dataclass(frozen=True)
class CodeScan:
    """A whole code; the id is the thing's."""

    thing: int


@dataclass(frozen=True)
class NameScan:
    """A name for people, in capitals; `number` is the bag's in its batch."""

    name: str
    number: int | None = None


@dataclass(frozen=True)
class WeightScan:
    """What may be a weight, as it was typed or sent by a scale."""

    text: str


@dataclass(frozen=True)
class ReplyScan:
    """An answer to the question that was asked."""

    is_yes: bool


@dataclass(frozen=True)
class WordsScan:
    """Other words: perhaps the name of a crate or the title of a wall card."""

    text: str


Scan = CodeScan | NameScan | WeightScan | ReplyScan | WordsScan


def read_scan(line: str) -> Scan:
    """What a line means by itself.

    Raises NotUnderstood: `scan_empty`, `scan_too_long`, `scan_binary`, `code_unreadable` (not ten
    digits) or `code_damaged` (check digits that do not fit).
    """
    if len(line) > LONGEST_LINE and len(line.strip(_FRAMES)) > LONGEST_LINE:
        raise NotUnderstood(problem("scan_too_long", most=LONGEST_LINE))
    text = line.strip(_FRAMES)
    text = _SYMBOLOGY.sub("", text, count=1).strip(_FRAMES) if text.startswith("]") else text
    if not text:
        raise NotUnderstood(problem("scan_empty"))
    if not text.isprintable() or "\N{REPLACEMENT CHARACTER}" in text:
        raise NotUnderstood(problem("scan_binary", text=shown(text)))
    return _read_text(text)


def _read_text(text: str) -> Scan:
    if _CODE.fullmatch(text) and (_count_digits(text) > 5 or "-" in text[1:]):
        if _count_digits(text) != _CODE_DIGITS:
            raise NotUnderstood(
                problem("code_unreadable", text=shown(text), digits=_count_digits(text))
            )
        return CodeScan(read_code(text))
    reply = _REPLIES.get(text.casefold())
    if reply is not None:
        return ReplyScan(reply)
    name = read_name(text)
    if name is not None:
        return NameScan(*name)
    if is_mass_text(text) or _BARE_NUMBER.fullmatch(text):
        return WeightScan(text)
    return WordsScan(" ".join(text.split()))


def _count_digits(text: str) -> int:
    return sum(character.isdigit() for character in text)
