"""What the incubation page shows: batches that grow in with their rates, and bags to walk."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from farmdesk.arithmetic.rates import Rate
from farmdesk.domain.stages import STAGES, VOID
from farmdesk.reports.bags import BagRow, bag_rows
from farmdesk.reports.batches import BatchRow, contamination_of, list_batches
from farmdesk.reports.catalogue import Catalogue, read_catalogue
from farmdesk.store.bags import bags_in
from farmdesk.store.transaction import Reading

_SHOWN = tuple(one for one in STAGES if one != VOID)


@dataclass(frozen=True)
class BatchLine:
    """A batch with its share of contaminated bags and the range of the true one."""

    id: int
    name: str
    row: BatchRow
    rate: Rate

    @property
    def opened(self) -> int:
        """Bags that fruit or rest."""
        return self.row.fruiting + self.row.resting


@dataclass(frozen=True)
class Incubation:
    """Batches, longest growing first, and what forms choose from."""

    catalogue: Catalogue
    batches: tuple[BatchLine, ...]


def read_incubation(reading: Reading, *, everything: bool = False) -> Incubation:
    """Batches with bags that grow in; with `everything` all there ever were."""
    catalogue = read_catalogue(reading, ("species", "strain", "room", "reason", "label_stock"))
    rows = [
        row
        for row in reversed(list_batches(reading, alive_only=not everything))
        if everything or row.incubating or row.colonised
    ]
    lines = [BatchLine(row.id, row.name, row, contamination_of(row)) for row in rows]
    return Incubation(catalogue, tuple(lines))


def read_bags(
    reading: Reading,
    *,
    batch: int | None = None,
    room: int | None = None,
    stages: Sequence[str] = _SHOWN,
) -> list[BagRow]:
    """The bags of a batch or a room in these stages, by batch and number."""
    ids = [bag.id for bag in bags_in(reading, batch=batch, room=room, stages=stages)]
    return [row for row in bag_rows(reading, ids) if row is not None]


def number_of(bag: BagRow) -> int:
    """A bag's number in its batch."""
    return int(bag.name.rpartition("-")[2])
