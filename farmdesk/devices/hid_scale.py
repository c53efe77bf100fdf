"""Scales on USB that follow the public HID scale usages: input report 3 of usage page 0x8D.

USB Implementers Forum, HID Usage Tables, weighing devices page (0x8D), formerly Point of Sale
Usage Tables 1.02: report number, status, unit, signed power of ten, weight (two bytes, low first).
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from farmdesk.devices.readings import Reading, make_reading
from farmdesk.errors import DeviceTrouble, NotUnderstood, Problem, problem

SCALE_USAGE_PAGE = 0x8D
WEIGHT_REPORT = 3
REPORT_BYTES = 6

AT_ZERO, IN_MOTION, STABLE = 2, 3, 4
_NO_WEIGHT: Mapping[int, Callable[[], Problem]] = {
    1: lambda: problem("scale_fault"),
    5: lambda: problem("scale_under_zero", text=""),
    6: lambda: problem("scale_overload", text=""),
    7: lambda: problem("scale_wants_calibration"),
    8: lambda: problem("scale_wants_zero"),
}
_UNITS: Mapping[int, tuple[str, Fraction]] = {
    1: ("g", Fraction(1, 1000)),
    2: ("g", Fraction(1)),
    3: ("kg", Fraction(1)),
    11: ("oz", Fraction(1)),
    12: ("lb", Fraction(1)),
}
_UNUSED_UNITS = {
    4: "carat", 5: "tael", 6: "grain", 7: "pennyweight", 8: "metric ton", 9: "avoirdupois ton",
    10: "troy ounce",
}  # fmt: skip
_READ_BYTES = 64
_READ_MILLISECONDS = 200


def read_report(report: bytes) -> Reading:
    """Read one input report with its report number in front.

    Raises NotUnderstood for what is no weight report or is in a unit no mushroom is weighed in,
    DeviceTrouble for every status without a weight.
    """
    shown = report[:REPORT_BYTES].hex(" ").upper()
    padded = len(report) < REPORT_BYTES or any(report[REPORT_BYTES:])
    if padded or report[0] != WEIGHT_REPORT:
        raise NotUnderstood(problem("scale_report_not_understood", text=shown))
    status, code = report[1], report[2]
    if status in _NO_WEIGHT:
        raise DeviceTrouble(_NO_WEIGHT[status]())
    raw = int.from_bytes(report[4:6], "little")
    if status not in (AT_ZERO, IN_MOTION, STABLE) or (status == AT_ZERO and raw):
        raise NotUnderstood(problem("scale_report_not_understood", text=shown))
    if code in _UNUSED_UNITS:
        raise NotUnderstood(problem("scale_unit_not_used", unit=_UNUSED_UNITS[code]))
    if code not in _UNITS:
        raise NotUnderstood(problem("scale_report_not_understood", text=shown))
    unit, factor = _UNITS[code]
    step = factor * Fraction(10) ** int.from_bytes(report[3:4], signed=True)
    return make_reading(raw * step, unit, division=step, stable=status != IN_MOTION, text=shown)


@dataclass(frozen=True)
class HidScaleFound:
    """A USB scale that is plugged in."""

    path: bytes
    name: str


def load_hid() -> Any:
    """The hidapi binding; raises DeviceTrouble when it is not installed."""
    try:
        return importlib.import_module("hid")
    except ImportError as missing:
        told = problem("device_library_missing", library="hidapi", what="USB scales")
        raise DeviceTrouble(told) from missing


def list_hid_scales(hid: Any = None) -> tuple[HidScaleFound, ...]:
    """Every USB scale that is plugged in now; `hid` is the binding, by default hidapi."""
    binding = hid or load_hid()
    found = [one for one in binding.enumerate() if one.get("usage_page") == SCALE_USAGE_PAGE]
    return tuple(
        HidScaleFound(one["path"], str(one.get("product_string") or "USB scale")) for one in found
    )


class HidScaleSource:
    """Reports of one USB scale; the first one found, or the one at `path`."""

    def __init__(self, path: bytes | None = None, *, hid: Any = None) -> None:
        binding = hid or load_hid()
        if path is None:
            scales = list_hid_scales(binding)
            if not scales:
                raise DeviceTrouble(problem("hid_scale_not_found"))
            path = scales[0].path
        self._device = binding.device()
        self._device.open_path(path)

    def read(self) -> bytes:
        """One report, or nothing after a moment; raises OSError or ValueError once it is gone."""
        return bytes(self._device.read(_READ_BYTES, _READ_MILLISECONDS))

    def close(self) -> None:
        """Let the scale go."""
        self._device.close()
