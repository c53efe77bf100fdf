"""Batches and their bags: the thing that is scanned."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.cells import ref


@dataclass(frozen=True)
class Batch:
    """The blocks inoculated together; `dry_mg` is the dry substrate in one block."""

    id: int
    name: str
    strain: int = ref("strain")
    run: int | None = ref("run", none=True)
    inoculated_on: str = ""
    made: int = 0
    block_mg: int = 0
    dry_mg: int = 0
    spawn_dry_mg: int = 0
    ready_from: str = ""
    ready_to: str = ""
    person: int | None = ref("person", none=True)
    note: str = ""


@dataclass(frozen=True)
class Bag:
    """One block; stages are in `domain.stages`. Days are the farm's, instants UTC.

    `grew_room` and `grew_shelf` are the first place with a shelf that it grew in on: what may
    have spoilt it happened there, wherever it stands now.
    """

    id: int
    batch: int = ref("batch")
    number: int = 0
    stage: str = "incubating"
    stage_since: str = ""
    room: int | None = ref("room", none=True)
    room_since: str | None = None
    looked_on: str | None = None
    colonised_on: str | None = None
    opened_on: str | None = None
    flush: int = 0
    picked_on: str | None = None
    reason: int | None = ref("reason", none=True)
    slow: int = 0
    note: str = ""
    shelf: str = ""
    pinned_on: str | None = None
    grew_room: int | None = ref("room", none=True)
    grew_shelf: str = ""


@dataclass(frozen=True)
class Link:
    """`amount_mg` of a parent went into a child; `how` says measured or allocated."""

    child: int
    parent: int
    amount_mg: int = 0
    how: str = ""
    flush: int = 0
