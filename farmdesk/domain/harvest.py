"""Picks (harvest lots), packs and what leaves the cold store unsold."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.cells import ref


@dataclass(frozen=True)
class Pick:
    """Mushrooms taken in one go into one crate. Open until it is weighed; left_mg is on hand.

    `hold` says why nothing of it may be packed or leave for now; none: it is free.
    """

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
    hold: str = ""


@dataclass(frozen=True)
class Pack:
    """Packs of one product filled together from one or more picks.

    `used_mg` is what went in (for dried packs more than `net_mg`), `tare_mg` one empty package;
    `hold` says why none of them may leave for now.
    """

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
    used_mg: int = 0
    tare_mg: int = 0
    hold: str = ""


@dataclass(frozen=True)
class PackWeight:
    """One pack of a lot that was weighed alone, in mg; for catch weight it is sold by `net_mg`.

    It left with the line of a delivery or with a removal, or it is still there.
    """

    id: int
    pack: int = ref("pack")
    number: int = 0
    gross_mg: int = 0
    tare_mg: int = 0
    net_mg: int = 0
    delivery_line: int | None = None
    removal: int | None = ref("removal", none=True)

    @property
    def is_there(self) -> bool:
        """Whether it has not left yet."""
        return self.delivery_line is None and self.removal is None


@dataclass(frozen=True)
class NetCheck:
    """A check of the net contents of a lot of packs: what was weighed, by which rule, the verdict.

    `rule` is hb133 or eu; `net_mg` holds the net masses of the sample, parted by spaces.
    """

    id: int
    name: str
    pack: int = ref("pack")
    rule: str = "hb133"
    checked_on: str = ""
    labelled_mg: int = 0
    tare_mg: int = 0
    division_mg: int = 0
    net_mg: str = ""
    verdict: str = ""
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
