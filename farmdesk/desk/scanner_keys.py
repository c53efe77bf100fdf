"""What a keyboard scanner meant, from the keys it pressed: other layouts and caps lock undone.

A scanner presses the keys of the layout that it is set to, by default the American one. Where
the computer has another layout, other characters arrive. The key's place on the keyboard still
tells the character that was meant. It is believed only where the result has check digits that
fit; everything else stays as it arrived.

Places: Linux input event codes (X11 and Wayland add 8), which are those of the PC keyboard's
scan code set 1 and so of Windows, and Apple's virtual key codes of the ANSI keyboard. All from
memory; X11 codes of the digits, letters and caps lock were compared with recorded events.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from farmdesk.domain.scans import CodeScan, read_scan
from farmdesk.errors import NotUnderstood

_ROWS = ((2, "1234567890-="), (16, "qwertyuiop[]"), (30, "asdfghjkl;'`"), (43, "\\zxcvbnm,./"))
_KEYPAD = {71: "7", 72: "8", 73: "9", 75: "4", 76: "5", 77: "6", 79: "1", 80: "2", 81: "3", 82: "0"}
_PC = {
    **{first + at: sign for first, signs in _ROWS for at, sign in enumerate(signs)},
    **_KEYPAD, 57: " ",
}  # fmt: skip
_APPLE = {
    **dict(enumerate("asdfhgzxcv")), 11: "b", 12: "q", 13: "w", 14: "e", 15: "r", 16: "y", 17: "t",
    18: "1", 19: "2", 20: "3", 21: "4", 22: "6", 23: "5", 24: "=", 25: "9", 26: "7", 27: "-",
    28: "8", 29: "0", 30: "]", 31: "o", 32: "u", 33: "[", 34: "i", 35: "p", 37: "l", 38: "j",
    39: "'", 40: "k", 41: ";", 42: "\\", 43: ",", 44: "/", 45: "n", 46: "m", 47: ".", 49: " ",
    50: "`", 82: "0", 83: "1", 84: "2", 85: "3", 86: "4", 87: "5", 88: "6", 89: "7", 91: "8",
    92: "9",
}  # fmt: skip
_SHIFTED = dict(zip("1234567890-=[];'`\\,./", '!@#$%^&*()_+{}:"~|<>?', strict=True))

DIGIT_ROWS: Mapping[str, str] = {
    "French": "&é\"'(-è_çà",
    "Belgian": "&é\"'(§è!çà",
    "Czech": "+ěščřžýáíé",
    "Slovak": "+ľščťžýáíé",
    "American, shifted": "!@#$%^&*()",
    "British, shifted": '!"£$%^&*()',
    "German, shifted": '!"§$%&/()=',
    "Spanish, shifted": '!"·$%&/()=',
    "Swiss, shifted": '+"*ç%&/()=',
    "Nordic, shifted": '!"#¤%&/()=',
}
"""What the keys 1 to 0 write elsewhere; by the layouts' published drawings, from memory."""

_GS1_SYMBOLS = ("]C1", "]d2", "]Q3", "]e0")
"""ISO/IEC 15424 identifiers of the symbols that hold GS1 element strings."""


@dataclass(frozen=True)
class Stroke:
    """One character that arrived: its text, the place of its key (as the American sign), shift."""

    text: str
    place: str = ""
    is_shifted: bool = False


@dataclass(frozen=True)
class Frame:
    """What a scanner is set to put before and after each code."""

    prefix: str = ""
    suffix: str = ""


def place_of(platform: str, scan_code: int, virtual_key: int) -> str:
    """The American sign on the key that was pressed; '' where the platform does not tell."""
    if platform == "windows":
        return _PC.get(scan_code, "")
    if platform == "cocoa":
        return _APPLE.get(virtual_key, "")
    if platform.startswith(("xcb", "wayland")):
        return _PC.get(scan_code - 8, "")
    return ""


def read_strokes(strokes: Sequence[Stroke], frame: Frame) -> str | None:
    """The line that a fast run means, without prefix and suffix; None without its frame.

    What arrived is taken as it is unless another reading of the same keys has fitting check
    digits and this one has not.
    """
    arrived = "".join(one.text for one in strokes)
    for text in _readings(strokes, arrived):
        bare = _unframe(text, frame)
        if bare is not None and has_fitting_check(bare):
            return bare
    return _unframe(arrived, frame)


def has_fitting_check(text: str) -> bool:
    """Whether a text is a code of ours, or a GS1 element string that begins with its number."""
    try:
        if isinstance(read_scan(text), CodeScan):
            return True
    except NotUnderstood:
        return False
    if text.startswith("]") and text[:3] not in _GS1_SYMBOLS:
        return False
    bare = text[3:] if text.startswith("]") else text
    number = bare[2:16]
    if not (bare.startswith("01") and len(number) == 14):
        return False
    from stdnum import ean  # noqa: PLC0415 - loads pydoc and more for one sum

    return bool(ean.is_valid(number))


def _readings(strokes: Sequence[Stroke], arrived: str) -> Iterator[str]:
    yield arrived
    if all(one.place for one in strokes):
        yield "".join(_american(one) for one in strokes)
    for row in DIGIT_ROWS.values():
        as_digits = _by_row(arrived, row)
        if as_digits is not None:
            yield as_digits
    if arrived.swapcase() != arrived:
        yield arrived.swapcase()


def _american(stroke: Stroke) -> str:
    if not stroke.is_shifted:
        return stroke.place
    return _SHIFTED.get(stroke.place, stroke.place.upper())


def _by_row(text: str, row: str) -> str | None:
    digits = dict(zip(row, "1234567890", strict=True))
    if not text or any(sign not in digits for sign in text):
        return None
    return "".join(digits[sign] for sign in text)


def _unframe(text: str, frame: Frame) -> str | None:
    if not (text.startswith(frame.prefix) and text.endswith(frame.suffix)):
        return None
    return text.removeprefix(frame.prefix).removesuffix(frame.suffix) or None
