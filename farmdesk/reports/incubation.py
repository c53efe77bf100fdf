"""Incubation at a look: batches with age, stages, contamination, ready window and last look."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from farmdesk.arithmetic.incubation import ReadyWindow
from farmdesk.arithmetic.rates import estimate_rate
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Reason
from farmdesk.domain.codes import bag_name, code_of, group_code
from farmdesk.domain.stages import (
    ALIVE,
    COLONISED,
    FRUITING,
    INCUBATING,
    RESTING,
    STAGES,
    VOID,
)
from farmdesk.quantities.times import age_days
from farmdesk.reports.catalogue import Catalogue, read_catalogue
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.bags import bags_in
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.incubation import BagGroup, batches_growing_in, groups_of_batches
from farmdesk.store.transaction import Reading


@dataclass(frozen=True)
class BatchLine:
    """One batch: `low` and `high` bound its contaminated share at 95 %, 0 to 1.

    `looked_on` is the day of the oldest look at a bag that grows in, '' when one was never
    looked at; `place` is before, within or overdue of its ready window, or done.
    """

    id: int
    name: str
    strain: str
    inoculated_on: str
    age: int
    made: int
    incubating: int
    colonised: int
    opened: int
    contaminated: int
    low: float
    high: float
    slow: int
    ready_from: str
    ready_to: str
    place: str
    looked_on: str
    rooms: tuple[str, ...]

    @property
    def growing_in(self) -> int:
        """Bags that incubate or wait to be opened."""
        return self.incubating + self.colonised


@dataclass(frozen=True)
class BagLine:
    """One bag as a list shows it."""

    id: int
    name: str
    code: str
    number: int
    stage: str
    since: str
    room: str
    looked_on: str
    colonised_on: str
    flush: int
    slow: bool
    reason: str


@dataclass(frozen=True)
class Incubation:
    """All batches that grow in, with the farm's terms and what forms choose from."""

    terms: FarmTerms
    catalogue: Catalogue
    batches: tuple[BatchLine, ...]


def read_incubation(reading: Reading, *, everything: bool = False) -> Incubation:
    """Batches with bags that grow in, oldest first; with `everything` all there ever were."""
    terms = read_terms(reading)
    catalogue = read_catalogue(reading, ("species", "strain", "room", "reason", "label_stock"))
    batches = reading.all(Batch) if everything else batches_growing_in(reading)
    groups: dict[int, list[BagGroup]] = {}
    for group in groups_of_batches(reading, growing_in=not everything):
        groups.setdefault(group.batch, []).append(group)
    lines = tuple(
        _line(batch, groups.get(batch.id, []), terms, catalogue.name("strain", batch.strain))
        for batch in batches
    )
    return Incubation(terms, catalogue, lines)


def read_bags(
    reading: Reading,
    *,
    batch: int | None = None,
    room: int | None = None,
    stages: Sequence[str] = STAGES,
) -> list[BagLine]:
    """The bags of a batch or room that ever stood there, by batch and number."""
    terms = read_terms(reading)
    reasons = {one.id: one.name for one in reading.all(Reason)}
    names: dict[int, str] = {}
    lines = []
    for bag in bags_in(reading, batch=batch, room=room, stages=stages):
        if bag.stage == VOID:
            continue
        if bag.batch not in names:
            found = reading.get(Batch, bag.batch)
            names[bag.batch] = found.name if found else ""
        lines.append(_bag_line(bag, names[bag.batch], terms, reasons))
    return lines


def load_incubation(store: FarmStore, everything: bool = False) -> Incubation:
    """Incubation read in a transaction of its own."""
    with store.reading() as reading:
        return read_incubation(reading, everything=everything)


def load_bags(
    store: FarmStore,
    batch: int | None = None,
    room: int | None = None,
    stages: Sequence[str] = STAGES,
) -> list[BagLine]:
    """Bags read in a transaction of their own."""
    with store.reading() as reading:
        return read_bags(reading, batch=batch, room=room, stages=stages)


def _line(batch: Batch, groups: Sequence[BagGroup], terms: FarmTerms, strain: str) -> BatchLine:
    counts: Counter[str] = Counter()
    for group in groups:
        counts[group.stage] += group.bags
    growing = [one for one in groups if one.stage in (INCUBATING, COLONISED)]
    contaminated = sum(one.contaminated for one in groups)
    made = sum(counts[one] for one in STAGES if one != VOID)
    rate = estimate_rate(contaminated, made) if made else None
    rooms = sorted({terms.room_name(one.room) for one in groups if one.stage in ALIVE} - {""})
    window = ReadyWindow(batch.ready_from, batch.ready_to)
    return BatchLine(
        id=batch.id,
        name=batch.name,
        strain=strain,
        inoculated_on=batch.inoculated_on,
        age=age_days(batch.inoculated_on, terms.today, terms.farm.zone),
        made=made,
        incubating=counts[INCUBATING],
        colonised=counts[COLONISED],
        opened=counts[FRUITING] + counts[RESTING],
        contaminated=contaminated,
        low=rate.low if rate else 0.0,
        high=rate.high if rate else 0.0,
        slow=sum(one.slow for one in groups),
        ready_from=batch.ready_from,
        ready_to=batch.ready_to,
        place=window.place(terms.today) if counts[INCUBATING] else "done",
        looked_on=min((one.looked_on for one in growing), default=""),
        rooms=tuple(rooms),
    )


def _bag_line(bag: Bag, batch: str, terms: FarmTerms, reasons: dict[int, str]) -> BagLine:
    return BagLine(
        id=bag.id,
        name=bag_name(batch, bag.number),
        code=group_code(code_of(bag.id)),
        number=bag.number,
        stage=bag.stage,
        since=bag.stage_since,
        room=terms.room_name(bag.room),
        looked_on=bag.looked_on or "",
        colonised_on=bag.colonised_on or "",
        flush=bag.flush,
        slow=bool(bag.slow),
        reason=reasons.get(bag.reason or 0, ""),
    )
