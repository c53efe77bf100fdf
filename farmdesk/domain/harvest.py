"""Picks (harvest lots), packs and what leaves the cold store unsold."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.cells import ref


@dataclass(frozen=True)
class Pick:
    """Mushrooms taken in one go into one crate. Open until it is weighed; left_mg is on hand."""

    id: int
    name: str
    species: int = ref("species")
    crate: int | None = ref("crate", none=True)
    flush: int = 1
    grade: str = "A"
    picked_at: str = ""
    gross_mg: int | None = None
    tare_mg: int | None = None
    net_mg: int | None = None
    typed: str = ""
    left_mg: int = 0
    shelf_on: str | None = None
    sell_by: str | None = None
    room: int | None = ref("room", none=True)
    status: str = "open"
    person: int | None = ref("person", none=True)
    note: str = ""


@dataclass(frozen=True)
class Pack:
    """Packs of one product filled together from one or more picks."""

    id: int
    name: str
    product: int = ref("product")
    packed_on: str = ""
    count: int = 0
    net_mg: int = 0
    left: int = 0
    shelf_on: str | None = None
    sell_by: str | None = None
    room: int | None = ref("room", none=True)
    person: int | None = ref("person", none=True)
    note: str = ""


@dataclass(frozen=True)
class Removal:
    """Stock that left unsold, for a reason (waste, gift, own use, drying)."""

    id: int
    lot: int
    reason: int = ref("reason")
    amount_mg: int = 0
    count: int = 0
    removed_at: str = ""
    person: int | None = ref("person", none=True)
    note: str = ""
