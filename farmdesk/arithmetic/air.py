"""Air of a room: dew point, humidity and vapour deficit, and how CO2 builds up and clears.

The psychrometrics are psychrolib's (ASHRAE Handbook of Fundamentals), in SI units.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, isfinite

import psychrolib

from farmdesk.errors import Refused, problem

SEA_LEVEL_PA = 101_325.0
COLDEST_C, WARMEST_C = -40.0, 80.0
CO2_LITRES_PER_GRAM = 24.06 / 44.01
"""Litres of a gram of CO2 at 20 C: molar volume (ideal gas, 101.325 kPa) over molar mass."""


@dataclass(frozen=True)
class RoomAir:
    """Air at a temperature and relative humidity."""

    dew_point_c: float
    wet_bulb_c: float
    water_g_per_kg: float
    vapour_deficit_kpa: float


@dataclass(frozen=True)
class Ventilation:
    """A fully mixed room: its volume, fresh air, CO2 of outside air and what the crop gives."""

    volume_m3: float
    fresh_air_m3_per_h: float
    outside_ppm: float
    co2_m3_per_h: float


def describe_air(
    temperature_c: float, humidity_percent: float, *, pressure_pa: float = SEA_LEVEL_PA
) -> RoomAir:
    """Dew point, wet bulb, water content (g for each kg of dry air) and vapour deficit."""
    if not COLDEST_C <= temperature_c <= WARMEST_C:
        raise Refused(problem("air_temperature_out_of_range", temperature_c=temperature_c))
    if not 0 < humidity_percent <= 100:
        raise Refused(problem("humidity_out_of_range", percent=humidity_percent))
    if not 50_000 <= pressure_pa <= 120_000:
        raise Refused(problem("air_pressure_out_of_range", pressure_pa=pressure_pa))
    psychrolib.SetUnitSystem(psychrolib.SI)
    share = humidity_percent / 100
    water = psychrolib.GetHumRatioFromRelHum(temperature_c, share, pressure_pa)
    saturated_pa = psychrolib.GetSatVapPres(temperature_c)
    return RoomAir(
        dew_point_c=psychrolib.GetTDewPointFromRelHum(temperature_c, share),
        wet_bulb_c=psychrolib.GetTWetBulbFromRelHum(temperature_c, share, pressure_pa),
        water_g_per_kg=1_000 * water,
        vapour_deficit_kpa=saturated_pa * (1 - share) / 1_000,
    )


def find_steady_co2(room: Ventilation) -> float:
    """CO2 in ppm that the room comes to in the end: outside + 1e6 x source / fresh air."""
    _check_room(room)
    return room.outside_ppm + 1e6 * room.co2_m3_per_h / room.fresh_air_m3_per_h


def find_co2(room: Ventilation, *, start_ppm: float, hours: float) -> float:
    """CO2 in ppm after some hours: it nears the steady level by exp(-air changes x hours).

    A model of a fully mixed room: it plans fans, and replaces no CO2 alarm for people.
    """
    steady = find_steady_co2(room)
    if not (start_ppm >= 0 and hours >= 0):
        raise Refused(problem("ventilation_wrong"))
    changes = room.fresh_air_m3_per_h / room.volume_m3
    return steady + (start_ppm - steady) * exp(-changes * hours)


def _check_room(room: Ventilation) -> None:
    amounts = (
        room.volume_m3,
        room.fresh_air_m3_per_h,
        room.outside_ppm,
        room.co2_m3_per_h,
    )
    is_sound = all(isfinite(one) and one >= 0 for one in amounts)
    if not (is_sound and room.volume_m3 > 0 and room.fresh_air_m3_per_h > 0):
        raise Refused(problem("ventilation_wrong"))
