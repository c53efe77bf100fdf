"""Questions about picking: what a bag is, what a crate holds, and which crates are in use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, bindparam, select

from farmdesk.domain.bags import Bag
from farmdesk.domain.harvest import Pick
from farmdesk.domain.stages import ALIVE
from farmdesk.store.schema import DAYBOOK, TABLES
from farmdesk.store.transaction import Reading

_BAG, _BATCH, _STRAIN, _SPECIES, _LINK, _PICK = (
    TABLES[kind].c for kind in ("bag", "batch", "strain", "species", "link", "pick")
)

_LOOKED_BACK = 20_000
"""Entries of the day book that are looked through for the pick weighed last."""


@dataclass(frozen=True)
class PickingFacts:
    """What must be known of a bag before it is picked."""

    batch_name: str
    number: int
    inoculated_on: str
    block_mg: int
    species: int
    species_name: str
    rest_days_low: int


@dataclass(frozen=True)
class BagInPick:
    """One bag of a pick and what its share is worked out from."""

    bag: int
    amount_mg: int
    how: str
    flush: int
    block_mg: int


def picking_facts(reading: Reading, bag: int) -> PickingFacts:
    """What a bag is, in one question; the bag must be there."""
    return PickingFacts(*reading.rows("picking_facts", _picking_facts, bag=bag)[0])


def bags_in_pick(reading: Reading, pick: int) -> list[BagInPick]:
    """The bags of a pick in the order of their codes."""
    return [BagInPick(*row) for row in reading.rows("bags_in_pick", _bags_in_pick, pick=pick)]


def bags_to_pick(reading: Reading, batch: int) -> list[Bag]:
    """The living bags of a batch that are opened; all living ones when none is opened."""
    alive = [bag for bag in reading.all(Bag, batch=batch) if bag.stage in ALIVE]
    return [bag for bag in alive if bag.opened_on is not None] or alive


def pick_being_filled(reading: Reading, crate: int) -> Sequence[str]:
    """The names of picks in this crate that are not weighed yet."""
    return [row[0] for row in reading.rows("pick_being_filled", _being_filled, crate=crate)]


def last_weighed(reading: Reading, station: str) -> Pick | None:
    """The pick that this station weighed last, unless that is long ago or was taken back."""
    oldest = max(0, reading.last_number() - _LOOKED_BACK)
    rows = reading.rows("last_weighed", _last_weighed, station=station, oldest=oldest)
    for (subject,) in rows:
        pick = reading.get(Pick, subject)
        if pick is not None and pick.net_mg is not None:
            return pick
    return None


def _last_weighed() -> Select[Any]:
    return (
        select(DAYBOOK.c.subject)
        .where(
            DAYBOOK.c.number > bindparam("oldest"),
            DAYBOOK.c.kind == "pick_weighed",
            DAYBOOK.c.thing == "pick",
            DAYBOOK.c.station == bindparam("station"),
            DAYBOOK.c.undoes.is_(None),
        )
        .order_by(DAYBOOK.c.number.desc())
        .limit(10)
    )


def _picking_facts() -> Select[Any]:
    return (
        select(
            _BATCH.name,
            _BAG.number,
            _BATCH.inoculated_on,
            _BATCH.block_mg,
            _SPECIES.id,
            _SPECIES.name,
            _SPECIES.rest_days_low,
        )
        .join_from(TABLES["bag"], TABLES["batch"], _BATCH.id == _BAG.batch)
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .join(TABLES["species"], _SPECIES.id == _STRAIN.species)
        .where(_BAG.id == bindparam("bag"))
    )


def _bags_in_pick() -> Select[Any]:
    return (
        select(_LINK.parent, _LINK.amount_mg, _LINK.how, _LINK.flush, _BATCH.block_mg)
        .join_from(TABLES["link"], TABLES["bag"], _BAG.id == _LINK.parent)
        .join(TABLES["batch"], _BATCH.id == _BAG.batch)
        .where(_LINK.child == bindparam("pick"))
        .order_by(_LINK.parent)
    )


def _being_filled() -> Select[Any]:
    return (
        select(_PICK.name)
        .where(_PICK.crate == bindparam("crate"), _PICK.status == "open")
        .order_by(_PICK.id)
    )
