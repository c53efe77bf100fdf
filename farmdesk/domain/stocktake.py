"""A count of the cold store: what was seen, against what the records say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from farmdesk.domain.cells import ref

State = Literal["as recorded", "missing", "fewer", "more", "weigh it"]


@dataclass(frozen=True)
class Stocktake:
    """One count, of one room or of all; `status` is open, finished or dropped."""

    id: int
    name: str
    started_at: str = ""
    finished_at: str | None = None
    room: int | None = ref("room", none=True)
    person: int | None = ref("person", none=True)
    status: str = "open"
    note: str = ""


@dataclass(frozen=True)
class StockCount:
    """What was seen of one lot: packs, or mg when it was weighed again; where nobody weighed, -1.

    `lot` is the id of a pick or of packs.
    """

    id: int
    stocktake: int = ref("stocktake")
    lot: int = 0
    packs: int = 0
    amount_mg: int = -1
    counted_at: str = ""


@dataclass(frozen=True)
class CountedLot:
    """A lot that should be there or was seen: its records beside what was counted.

    `left` and `counted` are packs for packs and mg for picks; `counted` is None for a crate that
    was seen but not weighed, and for a lot that nobody saw.
    """

    lot: int
    name: str
    what: str
    is_pack: bool
    made: int
    left: int
    room: int | None
    is_seen: bool
    counted: int | None
    is_misplaced: bool

    @property
    def state(self) -> State:
        """How the count stands to the records."""
        if not self.is_seen:
            return "missing"
        if self.counted is None:
            return "as recorded" if self.left else "weigh it"
        if self.counted == self.left:
            return "as recorded"
        return "fewer" if self.counted < self.left else "more"

    @property
    def difference(self) -> int:
        """What the records have too little (above zero) or too much, packs or mg."""
        if not self.is_seen:
            return -self.left
        return 0 if self.counted is None else self.counted - self.left
