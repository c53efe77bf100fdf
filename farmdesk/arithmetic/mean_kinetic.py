"""Mean kinetic temperature: the one temperature that ages as much as a history did."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, isfinite, log

from farmdesk.arithmetic.shelf import Stay
from farmdesk.errors import Refused, problem

ZERO_CELSIUS_K = 273.15
GAS_CONSTANT_KJ = 8.3144e-3
# A convention for drug stability (USP <1160>), not a constant of mushrooms.
ACTIVATION_KJ = 83.144


def find_mean_kinetic(history: Sequence[Stay], *, activation_kj: float = ACTIVATION_KJ) -> float:
    """Mean kinetic temperature in Celsius of stays weighted by their hours (USP <1160>).

    T = (dH/R) / -ln(sum(h exp(-dH/RT)) / sum(h)); it is never below the plain mean.
    """
    hours = sum(stay.hours for stay in history)
    if not hours > 0 or any(stay.hours < 0 for stay in history):
        raise Refused(problem("history_without_hours"))
    if not activation_kj > 0 or not all(_is_temperature(stay.temperature_c) for stay in history):
        raise Refused(problem("temperature_not_a_number"))
    ratio = activation_kj / GAS_CONSTANT_KJ
    # Taken against the warmest stay, so that no exponential is too small to count.
    warmest = max(stay.temperature_c for stay in history) + ZERO_CELSIUS_K
    mean = sum(
        stay.hours * exp(ratio / warmest - ratio / (stay.temperature_c + ZERO_CELSIUS_K))
        for stay in history
    )
    return ratio / (ratio / warmest - log(mean / hours)) - ZERO_CELSIUS_K


def _is_temperature(temperature_c: float) -> bool:
    return isfinite(temperature_c) and temperature_c > -ZERO_CELSIUS_K
