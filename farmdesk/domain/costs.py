"""What was paid: goods bought in lots, bought cultures, hours of work and overhead."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.cells import ref

MAKING = ("lab", "substrate", "inoculation")
GROWING = ("incubation", "fruiting", "picking", "cleaning")
SELLING = ("packing", "selling", "delivery", "office")
TASKS = MAKING + GROWING + SELLING
AVERAGE, FIFO = "average", "fifo"
FOR_BLOCKS, FOR_PACKS, FOR_OTHER = "block", "pack", "other"


@dataclass(frozen=True)
class Supply:
    """A good that is counted in pieces: `pieces` of it go with each block or each pack."""

    id: int
    name: str
    use: str = FOR_BLOCKS
    pieces: Decimal = Decimal(1)
    product: int | None = ref("product", none=True)
    retired: int = 0


@dataclass(frozen=True)
class Purchase:
    """A lot of an ingredient (`amount_mg`) or of a supply (`pieces`), and what it all cost."""

    id: int
    ingredient: int | None = ref("ingredient", none=True)
    supply: int | None = ref("supply", none=True)
    lot: str = ""
    amount_mg: int = 0
    pieces: int = 0
    price: Decimal = Decimal(0)
    received_on: str = ""
    use_by: str | None = None
    seller: str = ""
    note: str = ""


@dataclass(frozen=True)
class LabPurchase:
    """What one bought culture or bag of spawn cost; `subject` is its id."""

    id: int
    subject: int = 0
    price: Decimal = Decimal(0)
    bought_on: str = ""
    note: str = ""


@dataclass(frozen=True)
class Labour:
    """Minutes that somebody worked at a task, for one batch or for all.

    While its clock runs it has `started_at` and no `ended_at`.
    """

    id: int
    person: int | None = ref("person", none=True)
    batch: int | None = ref("batch", none=True)
    task: str = "picking"
    day: str = ""
    minutes: int = 0
    started_at: str | None = None
    ended_at: str | None = None
    note: str = ""


@dataclass(frozen=True)
class Overhead:
    """Rent, power and the like: so much a week, from a day to a day (open end: still paid)."""

    id: int
    name: str
    per_week: Decimal = Decimal(0)
    from_on: str = ""
    to_on: str | None = None
    note: str = ""


@dataclass(frozen=True)
class CostSetting:
    """How this farm counts its costs; one row. `method` is average or fifo."""

    id: int
    method: str = AVERAGE
    wage_per_hour: Decimal = Decimal(0)
    normal_loss_percent: Decimal = Decimal(5)
    home_spawn_per_kg: Decimal = Decimal(0)
