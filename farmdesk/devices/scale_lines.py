"""One line of a scale that sends ASCII text, such as 'ST,GS,+  1.234kg', becomes a reading.

The shapes are common practice of scales with a serial port, no source: one signed number, one
unit, and words for steady, in motion, gross, net and overload before or after them. Whatever does
not fit whole is refused; nothing is guessed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from farmdesk.devices.readings import Reading, make_reading
from farmdesk.errors import DeviceTrouble, NotUnderstood, problem

LONGEST_LINE = 80
"""More characters than this are no line of a scale."""

_FRAME = "\x02\x03\x00"
_UNITS = {
    "kg": "kg", "KG": "kg", "Kg": "kg", "g": "g", "lb": "lb", "LB": "lb", "lbs": "lb",
    "LBS": "lb", "oz": "oz", "OZ": "oz",
}  # fmt: skip
_STEADY = {"ST": True, "S": True, "US": False, "U": False, "M": False, "D": False, "?": False}
_NET = {"NT": True, "NET": True, "N": True, "GS": False, "GROSS": False, "G": False}
_OVER = frozenset({"OL", "OVER", "OVERLOAD"})
_UNDER = frozenset({"UL", "UNDER", "UNDERLOAD"})
_DASHES = re.compile(r"-(?:[ .]?-)+")
_COMMA = re.compile(r"[0-9],[0-9]")
_POINT = re.compile(r"[0-9]\.[0-9]")
_LINE = re.compile(
    r"(?P<before>(?:[A-Za-z?]+[ ,:]+)*)"
    r"(?P<sign>[+-]?) {0,10}(?P<number>[0-9]{1,9}(?:\.[0-9]{1,6})?|\.[0-9]{1,6})"
    r"[ ,]*(?P<unit>[A-Za-z]+)"
    r"(?P<after>(?:[ ,]+[A-Za-z?]+|\?)*)[ ,]*"
)


@dataclass(frozen=True)
class _Marks:
    stable: bool | None
    net: bool | None


def read_scale_line(line: str, *, decimal_comma: bool = False) -> Reading:
    """Read one line of a scale; `decimal_comma` when the scale is set to write 1,234 kg.

    Raises NotUnderstood for anything but one number with one unit and known marks (also for a
    comma that may be a decimal sign), DeviceTrouble when the scale says there is no weight:
    overload, under zero or dashes.
    """
    text = line.strip(_FRAME + " \t\r\n")
    if len(text) > LONGEST_LINE or not text.isascii() or not text.isprintable():
        raise NotUnderstood(problem("scale_line_not_understood", text=_shown(text)))
    _refuse_no_weight(text)
    found = _LINE.fullmatch(_with_point(text, decimal_comma=decimal_comma))
    if found is None:
        raise _not_understood(text)
    unit = _UNITS.get(found["unit"])
    if unit is None:
        raise NotUnderstood(problem("scale_line_without_unit", text=text))
    marks = _read_marks(found["before"] + " " + found["after"], text)
    return make_reading(
        Fraction(found["number"]) * (-1 if found["sign"] == "-" else 1),
        unit,
        division=Fraction(1, 10 ** len(found["number"].partition(".")[2])),
        stable=marks.stable,
        net=marks.net,
        text=text,
    )


def _refuse_no_weight(text: str) -> None:
    words = {word.upper() for word in re.findall(r"[A-Za-z]+", text)}
    if words & _OVER:
        raise DeviceTrouble(problem("scale_overload", text=text))
    if words & _UNDER:
        raise DeviceTrouble(problem("scale_under_zero", text=text))
    if _DASHES.search(text):
        raise DeviceTrouble(problem("scale_shows_dashes", text=text))


def _with_point(text: str, *, decimal_comma: bool) -> str:
    """The line with a decimal point, when it is sure which comma or point is one."""
    if not decimal_comma:
        if _COMMA.search(text):
            raise NotUnderstood(problem("scale_comma_unclear", text=text))
        return text
    if _POINT.search(text) or len(_COMMA.findall(text)) > 1:
        raise NotUnderstood(problem("scale_comma_unclear", text=text))
    return re.sub(r"(?<=[0-9]),(?=[0-9])", ".", text)


def _read_marks(words: str, text: str) -> _Marks:
    stable: set[bool] = set()
    net: set[bool] = set()
    for word in re.findall(r"[A-Za-z]+|\?", words):
        mark = word.upper()
        if mark in _STEADY:
            stable.add(_STEADY[mark])
        elif mark in _NET:
            net.add(_NET[mark])
        else:
            raise _not_understood(text)
    if len(stable) > 1 or len(net) > 1:
        raise _not_understood(text)
    return _Marks(next(iter(stable), None), next(iter(net), None))


def _not_understood(text: str) -> NotUnderstood:
    bare = re.fullmatch(r"[+-]? *[0-9.]+", text)
    if bare:
        return NotUnderstood(problem("scale_line_without_unit", text=text))
    return NotUnderstood(problem("scale_line_not_understood", text=text))


def _shown(text: str) -> str:
    shown = "".join(sign if sign.isprintable() else "·" for sign in text[:LONGEST_LINE])
    return shown if len(text) <= LONGEST_LINE else shown + "…"
