"""Ten-digit codes: kind digit, seven-digit serial, two ISO 7064 MOD 97-10 check digits.

A scannable thing's id *is* its code without the check digits, so reading a code needs no
look-up. Names (`OY02-0147-017`) are for people and stand beside the code on every label.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from farmdesk.errors import NotUnderstood, problem

DIGITS: Mapping[str, int] = {
    "card": 1,
    "culture": 2,
    "spawn": 3,
    "run": 4,
    "batch": 5,
    "bag": 6,
    "pick": 7,
    "pack": 8,
    "crate": 9,
}
KINDS: Mapping[int, str] = {digit: kind for kind, digit in DIGITS.items()}
SERIALS = 10_000_000
DELIVERY_IDS = 100_000_000
"""Deliveries stand in the lineage but are not scanned: their ids follow the scannable ones."""

_PREFIX: Mapping[str, str] = {
    "culture": "C",
    "spawn": "S",
    "run": "R",
    "pick": "P",
    "pack": "K",
    "order": "O",
    "delivery": "D",
    "invoice": "I",
    "credit_note": "N",
    "goods_return": "B",
    "market_day": "M",
    "net_check": "W",
}
_BAG_NAME = re.compile(r"([A-Z]{2}[0-9]{2}-[0-9]{4,7})-([0-9]{1,4})")
_NAME = re.compile(r"(?:[CSP]-[A-Z]{2}[0-9]{0,2}-[0-9]{4,7}|[RKODINBMW]-[0-9]{4,7})")
_BATCH_NAME = re.compile(r"[A-Z]{2}[0-9]{2}-[0-9]{4,7}")


def make_id(kind: str, serial: int) -> int:
    """The id of the thing of this kind with this serial (0 to 9,999,999)."""
    return DIGITS[kind] * SERIALS + serial


def kind_of(thing_id: int) -> str:
    """The kind a scannable id (or a delivery's) belongs to."""
    if thing_id >= DELIVERY_IDS:
        return "delivery"
    return KINDS[thing_id // SERIALS]


def code_of(thing_id: int) -> str:
    """The ten digits of a thing: ISO/IEC 7064 MOD 97-10 over kind digit and serial."""
    body = thing_id * 100
    return f"{body + 98 - body % 97:010d}"


def group_code(code: str) -> str:
    """The digits in groups for typing: `6000 0123 45`."""
    return f"{code[:4]} {code[4:8]} {code[8:]}"


def read_code(text: str) -> int:
    """The id behind ten digits (blanks and hyphens between groups allowed).

    Raises NotUnderstood: `code_damaged` when the check digits do not fit.
    """
    digits = text.replace(" ", "").replace("-", "")
    if len(digits) != 10 or not (digits.isascii() and digits.isdigit()):
        raise NotUnderstood(problem("code_unreadable", text=shown(text), digits=len(digits)))
    value = int(digits)
    if value % 97 != 1 or not 2 <= value % 100 <= 98 or value // 100 // SERIALS not in KINDS:
        raise NotUnderstood(problem("code_damaged", text=group_code(digits)))
    return value // 100


def shown(text: str, most: int = 40) -> str:
    """Foreign text made fit to be shown in a sentence: printable, and not too long."""
    clean = "".join(c if c.isprintable() else "�" for c in text[: most + 1])
    return clean if len(clean) <= most else clean[:most] + "…"


def name_for(kind: str, number: int, species_code: str = "", strain_code: str = "") -> str:
    """A thing's name for people from its running number: `OY02-0147`, `P-OY-0312`, `R-0045`."""
    prefix = _PREFIX.get(kind, "")
    middle = f"{species_code}{strain_code}"
    return "-".join(part for part in (prefix, middle, f"{number:04d}") if part)


def bag_name(batch_name: str, number: int) -> str:
    """A bag's name: its batch's name and its number."""
    return f"{batch_name}-{number:03d}"


def read_name(text: str) -> tuple[str, int | None] | None:
    """A name as typed: (name, bag number or None); None when it is no name at all."""
    wanted = text.strip().upper().replace(" ", "")
    bag = _BAG_NAME.fullmatch(wanted)
    if bag:
        return bag.group(1), int(bag.group(2))
    if _BATCH_NAME.fullmatch(wanted) or _NAME.fullmatch(wanted):
        return wanted, None
    return None
