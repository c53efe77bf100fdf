"""A supplier's GS1 label, as it is scanned when goods are received."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from farmdesk.errors import NotUnderstood, problem
from farmdesk.quantities.mass import mg_from

_KILOGRAMS, _POUNDS = "310", "320"
_USE_BY = ("17", "15", "16")
"""Expiry, best before, sell by: the first that a label has counts."""
_PIECES = ("37", "30")


@dataclass(frozen=True)
class SupplierLabel:
    """What a label says; fields that it does not have are empty, 0 or none."""

    gtin: str = ""
    lot: str = ""
    use_by: str | None = None
    net_mg: int = 0
    pieces: int = 0


def read_supplier_label(line: str) -> SupplierLabel:
    """Read the element string of a GS1-128, DataMatrix or QR symbol, as a scanner sends it.

    Brackets round the identifiers are understood too, so that a label can be typed. Raises
    NotUnderstood ('label_not_gs1') for anything else.
    """
    # biip takes a quarter of a second to load: only who receives goods waits for it.
    from biip import BiipException  # noqa: PLC0415
    from biip.gs1_messages import GS1Message  # noqa: PLC0415

    text = line.strip()
    if text[:1] == "]" and len(text) > 3:
        text = text[3:]
    try:
        message = GS1Message.parse_hri(text) if text[:1] == "(" else GS1Message.parse(text)
    except BiipException as error:
        raise NotUnderstood(problem("label_not_gs1", text=line.strip()[:60])) from error
    found = {one.ai.ai: one for one in message.element_strings}
    days = [found[ai].date for ai in _USE_BY if ai in found]
    label = SupplierLabel(
        gtin=found["01"].value if "01" in found else found["02"].value if "02" in found else "",
        lot=found["10"].value if "10" in found else "",
        use_by=next((str(day) for day in days if day is not None), None),
        net_mg=sum(_mass(ai, one.decimal) for ai, one in found.items()),
        pieces=next((int(found[ai].value) for ai in _PIECES if ai in found), 0),
    )
    if label == SupplierLabel():
        raise NotUnderstood(problem("label_not_gs1", text=line.strip()[:60]))
    return label


def _mass(ai: str, amount: Decimal | None) -> int:
    if amount is None:
        return 0
    if ai.startswith(_KILOGRAMS):
        return mg_from(Fraction(amount), "kg")
    return mg_from(Fraction(amount), "lb") if ai.startswith(_POUNDS) else 0
