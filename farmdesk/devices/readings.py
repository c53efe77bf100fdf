"""What a scale said once: a mass with its unit, and how far it may be believed."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from farmdesk.errors import DeviceTrouble, problem
from farmdesk.quantities.mass import HEAVIEST_MG, mg_from


@dataclass(frozen=True)
class Reading:
    """One reading of a scale, frozen as it came.

    `mg` and `division_mg` (the step of the last digit) are milligrams, `unit` is what the scale
    showed. `stable` and `net` are None when the scale does not say; `text` is what it sent.
    """

    mg: int
    unit: str
    division_mg: int
    stable: bool | None = None
    net: bool | None = None
    text: str = ""


def make_reading(
    amount: Fraction,
    unit: str,
    *,
    division: Fraction,
    stable: bool | None = None,
    net: bool | None = None,
    text: str = "",
) -> Reading:
    """A reading from an amount in kg, g, lb or oz.

    Raises DeviceTrouble: 'scale_under_zero' or 'scale_absurd' (above two tonnes).
    """
    if amount < 0:
        raise DeviceTrouble(problem("scale_under_zero", text=text))
    if amount > HEAVIEST_MG or mg_from(amount, unit) > HEAVIEST_MG:
        raise DeviceTrouble(problem("scale_absurd", text=text, limit="2000 kg"))
    step = max(1, mg_from(division, unit))
    return Reading(mg_from(amount, unit), unit, step, stable=stable, net=net, text=text)
