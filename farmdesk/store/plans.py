"""Planned batches beside the batches that were made."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any, NamedTuple

from sqlalchemy import Select, select

from farmdesk.store.outcomes import in_days
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_BATCH = TABLES["batch"].c
_STRAIN = TABLES["strain"].c


class MadeBatch(NamedTuple):
    """A batch that was made, with its species."""

    id: int
    name: str
    strain: int
    species: int
    recipe: int | None
    inoculated_on: str
    made: int


def batches_made(reading: Reading, first: str, last: str) -> list[MadeBatch]:
    """Batches inoculated from a day to another, newest first."""
    rows = reading.rows("batches_made", _batches_made, first=first, last=last)
    return [MadeBatch._make(row) for row in rows]


def strain_species(reading: Reading, strains: Collection[int]) -> set[int]:
    """The species of some strains."""
    rows = reading.rows("strain_species", _strain_species)
    return {row[1] for row in rows if row[0] in strains}


def _batches_made() -> Select[Any]:
    run = TABLES["run"]
    return (
        select(
            _BATCH.id, _BATCH.name, _BATCH.strain, _STRAIN.species, run.c.recipe,
            _BATCH.inoculated_on, _BATCH.made,
        )
        .select_from(TABLES["batch"])
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .outerjoin(run, run.c.id == _BATCH.run)
        .where(in_days())
        .order_by(_BATCH.inoculated_on.desc(), _BATCH.id.desc())
    )  # fmt: skip


def _strain_species() -> Select[Any]:
    return select(_STRAIN.id, _STRAIN.species)
