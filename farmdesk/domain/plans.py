"""Batches that are planned, and the figures that plans are made with."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.cells import ref

PLANNED, MADE, DROPPED = "planned", "made", "dropped"


@dataclass(frozen=True)
class PlannedBatch:
    """A batch to come, with the days on which its steps are due; `batch` is the one it became.

    `status` is planned, made or dropped; `week` is the ISO week that it is picked for.
    """

    id: int
    name: str
    species: int = ref("species")
    strain: int | None = ref("strain", none=True)
    recipe: int | None = ref("recipe", none=True)
    blocks: int = 0
    week: str = ""
    plates_on: str = ""
    spawn_on: str = ""
    inoculate_on: str = ""
    open_on: str = ""
    pick_on: str = ""
    status: str = PLANNED
    batch: int | None = ref("batch", none=True)
    note: str = ""


@dataclass(frozen=True)
class PlanSetting:
    """What this farm can do in a day and a week; one row.

    0 blocks a run: what its vessels hold together. 0 hours: nothing is checked.
    """

    id: int
    promise_percent: int = 90
    blocks_per_run: int = 0
    runs_per_day: int = 1
    hours_per_week: Decimal = Decimal(0)
    make_minutes: Decimal = Decimal(7)
    pick_minutes: Decimal = Decimal(5)
    plate_days: int = 10
    spawn_days: int = 16
    saleable_percent: int = 92
