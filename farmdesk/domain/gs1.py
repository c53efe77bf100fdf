"""Trade item labels by the GS1 General Specifications: GTIN, application identifiers, voice pick.

Only for farms with a GS1 company prefix: element strings begin with a GTIN, and a GTIN belongs to
whoever holds its prefix. Application identifiers and the character set of lots are those of the
GS1 Barcode Syntax Dictionary.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import quote

from farmdesk.errors import Refused, problem

GS = "\x1d"
"""What stands for FNC1 between elements in data."""

_LOT = re.compile(r"""[!"%&'()*+,\-./0-9:;<=>?A-Z_a-z]{1,20}""")
"""GS1 AI encodable character set 82, up to 20: no spaces, no accents, no # $ @ [ ] ^."""

_DATES = {"production": "11", "packed": "13", "best_before": "15", "sell_by": "16", "expiry": "17"}
_UNITS = {"kg": ("310", 1_000_000), "lb": ("320", 453_592.37)}
_LARGEST_WEIGHT = 999_999
GTIN_LENGTHS = (8, 12, 13, 14)
DIGITAL_LINK = "https://id.gs1.org"


@dataclass(frozen=True)
class Element:
    """An application identifier with its value."""

    ai: str
    value: str

    @property
    def is_variable(self) -> bool:
        """Whether a separator must follow when another element does."""
        return self.ai in ("10", "21", "30")


def read_gtin(text: str) -> str:
    """A GTIN-8, -12, -13 or -14 as 14 digits; spaces and hyphens are taken out.

    Raises Refused: 'gtin_length', or 'gtin_check' with the check digit that it should have.
    """
    digits = re.sub(r"[\s-]", "", text)
    if not (digits.isascii() and digits.isdigit()) or len(digits) not in GTIN_LENGTHS:
        raise Refused(problem("gtin_length", text=text.strip()[:40], field="gtin"))
    from stdnum import ean  # noqa: PLC0415 - loads pydoc and more for one sum

    right = ean.calc_check_digit(digits[:-1])
    if digits[-1] != right:
        raise Refused(problem("gtin_check", text=digits, digit=right, field="gtin"))
    return digits.zfill(14)


def read_company_prefix(text: str) -> str:
    """A GS1 company prefix of 4 to 12 digits; raises Refused ('company_prefix')."""
    digits = re.sub(r"[\s-]", "", text)
    if not re.fullmatch(r"[0-9]{4,12}", digits):
        raise Refused(problem("company_prefix", text=text.strip()[:40], field="company_prefix"))
    return digits


def check_prefix(gtin: str, prefix: str) -> None:
    """Refuse ('gtin_not_ours') a GTIN of 14 digits that does not hold the farm's prefix."""
    # A GTIN-13 or -14 has the prefix after its first digit; a UPC prefix loses its leading zero.
    if not gtin[1:].startswith(prefix):
        raise Refused(problem("gtin_not_ours", gtin=gtin, prefix=prefix, field="gtin"))


def check_lot(text: str) -> str:
    """The lot, if it can stand in AI (10); raises Refused ('lot_characters', 'lot_length')."""
    if not 1 <= len(text) <= 20:
        raise Refused(problem("lot_length", text=text[:40], length=len(text), field="lot"))
    wrong = [sign for sign in text if not _LOT.fullmatch(sign)]
    if wrong:
        raise Refused(problem("lot_characters", text=text, signs=" ".join(wrong), field="lot"))
    return text


def item_elements(
    gtin: str,
    *,
    lot: str,
    dates: Sequence[tuple[str, str]] = (),
    net_mg: int | None = None,
    unit: str = "kg",
) -> tuple[Element, ...]:
    """The elements of a trade item's label, fixed lengths first, the lot last.

    `dates`: pairs of 'production', 'packed', 'best_before', 'sell_by' or 'expiry' and a day such
    as '2026-03-18'. `net_mg` stands with it in `unit` ('kg' or 'lb') for items of varying weight.
    """
    found = [Element("01", read_gtin(gtin))]
    found += [Element(_DATES[kind], day[2:].replace("-", "")) for kind, day in dates]
    if net_mg is not None:
        found.append(weight_element(net_mg, unit))
    return (*found, Element("10", check_lot(lot)))


def weight_element(net_mg: int, unit: str) -> Element:
    """AI 310n or 320n with as many decimals, at most 3, as six digits can hold.

    Rounded down: the label never says more than there is. Raises Refused ('weight_too_large').
    """
    start, mg = _UNITS[unit]
    for decimals in (3, 2, 1, 0):
        value = int(net_mg * 10**decimals / mg)
        if value <= _LARGEST_WEIGHT:
            return Element(f"{start}{decimals}", f"{value:06d}")
    raise Refused(problem("weight_too_large", unit=unit, field="net"))


def element_text(elements: Sequence[Element]) -> str:
    """As it is read by people, each AI in brackets."""
    return "".join(f"({one.ai}){one.value}" for one in elements)


def element_data(elements: Sequence[Element]) -> str:
    """As a scanner sends it, GS after each variable length that is not last."""
    last = len(elements) - 1
    return "".join(
        f"{one.ai}{one.value}{GS if one.is_variable and at < last else ''}"
        for at, one in enumerate(elements)
    )


def digital_link(elements: Sequence[Element], domain: str = DIGITAL_LINK) -> str:
    """A GS1 Digital Link URI: the GTIN and lot in its path, the rest as its query."""
    values = {one.ai: one.value for one in elements}
    path = "".join(f"/{ai}/{quote(values[ai], safe='')}" for ai in ("01", "10") if ai in values)
    rest = "&".join(f"{one.ai}={one.value}" for one in elements if one.ai not in ("01", "10"))
    return f"{domain.rstrip('/')}{path}{'?' + rest if rest else ''}"


def voice_pick_code(gtin: str, lot: str, day: str = "") -> str:
    """The four digits of the Produce Traceability Initiative's voice pick code.

    CRC-16/ARC of GTIN, lot and the label's date as YYMMDD, modulo 10,000; the last two are
    printed large. The lot's case matters.
    """
    text = f"{gtin}{lot}{day[2:].replace('-', '')}"
    crc = 0
    for byte in text.encode("ascii"):
        crc ^= byte
        for _ in range(8):
            crc = crc >> 1 ^ (0xA001 if crc & 1 else 0)
    return f"{crc % 10_000:04d}"
