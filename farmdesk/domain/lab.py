"""Cultures, grain spawn and heat runs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.cells import ref


@dataclass(frozen=True)
class Culture:
    """A plate, slant or jar; transfers are counted by walking parents when it is made."""

    id: int
    name: str
    strain: int = ref("strain")
    form: str = "plate"
    transfers: int = 0
    made_on: str = ""
    origin: str = ""
    status: str = "kept"
    note: str = ""


@dataclass(frozen=True)
class Spawn:
    """One bag or jar of grain spawn: what was made and what is left, in mg."""

    id: int
    name: str
    strain: int = ref("strain")
    generation: int = 1
    transfers: int = 0
    grain: str = ""
    made_mg: int = 0
    left_mg: int = 0
    made_on: str = ""
    use_by: str | None = None
    origin: str = ""
    status: str = "kept"
    note: str = ""


@dataclass(frozen=True)
class HeatRun:
    """One mix in one steriliser load; the record is what was entered, never a proof."""

    id: int
    name: str
    recipe: int = ref("recipe")
    run_on: str = ""
    blocks: int = 0
    block_mg: int = 0
    moisture_percent: Decimal = Decimal(0)
    measured_percent: Decimal | None = None
    treatment: str = ""
    started_at: str | None = None
    hot_at: str | None = None
    ended_at: str | None = None
    status: str = "mixed"
    person: int | None = ref("person", none=True)
    note: str = ""


@dataclass(frozen=True)
class RunIngredient:
    """What was weighed into a heat run."""

    id: int
    run: int = ref("run")
    ingredient: int = ref("ingredient")
    amount_mg: int = 0
    lot: str = ""


@dataclass(frozen=True)
class ProbeReading:
    """A temperature read during a heat run, at a place in the load."""

    id: int
    run: int = ref("run")
    at: str = ""
    celsius: Decimal = Decimal(0)
    place: str = ""
