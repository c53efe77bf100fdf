"""How far cultures have grown, day by day."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.cells import ref


@dataclass(frozen=True)
class GrowthLook:
    """A colony measured on a day: its radius from the middle of the plug, micrometres."""

    id: int
    culture: int = ref("culture")
    looked_on: str = ""
    radius_um: int = 0
    note: str = ""
