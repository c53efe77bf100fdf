"""What a mix is meant for and how much water went into it; the vessels that heat it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.cells import ref


@dataclass(frozen=True)
class MixingNote:
    """Of a heat run: the strain meant for its blocks, and the water weighed in, mg."""

    id: int
    run: int = ref("run")
    strain: int | None = ref("strain", none=True)
    water_mg: int = 0


@dataclass(frozen=True)
class NamedSpawn:
    """Spawn that was scanned for a heat run's blocks and is not used yet; a draft of SpawnUse."""

    id: int
    run: int = ref("run")
    spawn: int = ref("spawn")
    amount_mg: int = 0
    first: int | None = None
    last: int | None = None


@dataclass(frozen=True)
class Vessel:
    """A steriliser, barrel or pasteuriser: blocks it takes in one run, hours for a whole run."""

    id: int
    name: str
    blocks: int = 1
    hours: Decimal = Decimal(1)
    note: str = ""
    retired: int = 0
