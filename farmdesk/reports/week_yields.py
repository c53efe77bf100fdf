"""Yields of the batches that were picked in a week: by flush and in all, up to its end."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.arithmetic.yields import (
    BatchYield,
    Blocks,
    Yield,
    make_blocks,
    measure_yield,
    measure_yields,
    sum_blocks,
)
from farmdesk.quantities.times import local_day
from farmdesk.reports.farm_terms import FarmTerms
from farmdesk.store.transaction import Reading
from farmdesk.store.week import BatchBlocks, BatchPicked, blocks_of, yields_of


@dataclass(frozen=True)
class YieldRow:
    """One flush of a batch, a whole batch (`flush` None), or a species (`batch` '').

    Up to the end of the week. `picked_mg` is the numerator, measured and allocated are its two
    parts, and the dry masses are the denominators. The efficiencies of a flush are of that flush
    alone; `so_far_*` add the flushes before it.
    """

    species: str
    batch: str
    flush: int | None
    picked_mg: int
    measured_mg: int
    allocated_mg: int
    share_percent: Decimal
    opened: int
    made: int
    dry_opened_mg: int
    dry_made_mg: int
    efficiency_opened_percent: Decimal | None
    efficiency_made_percent: Decimal | None
    so_far_opened_percent: Decimal | None
    so_far_made_percent: Decimal | None
    per_opened_mg: int | None
    per_made_mg: int | None
    first_day: str | None
    last_day: str | None
    is_to_date: bool

    @property
    def is_whole(self) -> bool:
        """Whether it is a whole batch or species, not one flush."""
        return self.flush is None


@dataclass(frozen=True)
class _BatchSums:
    """One batch with its picks added up."""

    facts: BatchBlocks
    blocks: Blocks
    by_flush: Mapping[int, int]
    measured: Mapping[int, int]
    days: Mapping[int, tuple[str, str]]
    is_to_date: bool

    @property
    def span(self) -> tuple[str | None, str | None]:
        if not self.days:
            return None, None
        return min(d[0] for d in self.days.values()), max(d[1] for d in self.days.values())


def read_yields(
    reading: Reading, batches: Sequence[int], *, end: str, last_day: str, terms: FarmTerms
) -> tuple[YieldRow, ...]:
    """Rows of these batches by species, each batch flush by flush, then in all; species last."""
    picked: dict[int, list[BatchPicked]] = {}
    for one in yields_of(reading, batches, end):
        picked.setdefault(one.batch, []).append(one)
    by_species: dict[int, list[_BatchSums]] = {}
    for facts in blocks_of(reading, batches, last_day):
        sums = _add_up(facts, picked.get(facts.batch, []), terms)
        by_species.setdefault(facts.species, []).append(sums)
    rows: list[YieldRow] = []
    for species, group in sorted(by_species.items()):
        name = terms.species_name(species)
        for sums in group:
            rows += _rows_of(sums, name)
        if len(group) > 1:
            rows.append(_species_row(group, name))
    return tuple(rows)


def _add_up(facts: BatchBlocks, picked: Sequence[BatchPicked], terms: FarmTerms) -> _BatchSums:
    by_flush: dict[int, int] = {}
    measured: dict[int, int] = {}
    days: dict[int, tuple[str, str]] = {}
    for one in picked:
        if one.first_at is None or one.last_at is None:
            continue
        by_flush[one.flush] = by_flush.get(one.flush, 0) + one.before_mg
        if one.how == "measured":
            measured[one.flush] = measured.get(one.flush, 0) + one.before_mg
        zone = terms.farm.zone
        span = local_day(one.first_at, zone), local_day(one.last_at, zone)
        known = days.get(one.flush, span)
        days[one.flush] = min(known[0], span[0]), max(known[1], span[1])
    dry_mg = facts.dry_mg + (facts.spawn_dry_mg if terms.farm.with_spawn_dry else 0)
    made = max(facts.made, facts.opened)
    blocks = make_blocks(made=made, opened=facts.opened, dry_per_block_mg=dry_mg)
    is_to_date = facts.alive > 0 or any(one.after_mg for one in picked)
    return _BatchSums(facts, blocks, by_flush, measured, days, is_to_date)


def _rows_of(sums: _BatchSums, species: str) -> Iterable[YieldRow]:
    found: BatchYield = measure_yields(sums.by_flush, sums.blocks)
    for one in found.flushes:
        yield _row(
            species,
            sums.facts.name,
            one.flush,
            one.alone,
            one.cumulative,
            blocks=sums.blocks,
            share=one.share_percent,
            measured_mg=sums.measured.get(one.flush, 0),
            span=sums.days[one.flush],
            is_to_date=sums.is_to_date,
        )
    yield _row(
        species,
        sums.facts.name,
        None,
        found.whole,
        found.whole,
        blocks=sums.blocks,
        share=Decimal(100),
        measured_mg=sum(sums.measured.values()),
        span=sums.span,
        is_to_date=sums.is_to_date,
    )


def _species_row(group: Sequence[_BatchSums], species: str) -> YieldRow:
    blocks = sum_blocks(sums.blocks for sums in group)
    whole = measure_yield(sum(sum(sums.by_flush.values()) for sums in group), blocks)
    firsts = [sums.span[0] for sums in group if sums.span[0] is not None]
    lasts = [sums.span[1] for sums in group if sums.span[1] is not None]
    return _row(
        species,
        "",
        None,
        whole,
        whole,
        blocks=blocks,
        share=Decimal(100),
        measured_mg=sum(sum(sums.measured.values()) for sums in group),
        span=(min(firsts, default=None), max(lasts, default=None)),
        is_to_date=any(sums.is_to_date for sums in group),
    )


def _row(  # noqa: PLR0913 - the parts of a row, each by name
    species: str,
    batch: str,
    flush: int | None,
    alone: Yield,
    so_far: Yield,
    *,
    blocks: Blocks,
    share: Decimal,
    measured_mg: int,
    span: tuple[str | None, str | None],
    is_to_date: bool,
) -> YieldRow:
    return YieldRow(
        species=species,
        batch=batch,
        flush=flush,
        picked_mg=alone.picked_mg,
        measured_mg=measured_mg,
        allocated_mg=alone.picked_mg - measured_mg,
        share_percent=share,
        opened=blocks.opened,
        made=blocks.made,
        dry_opened_mg=blocks.dry_opened_mg,
        dry_made_mg=blocks.dry_made_mg,
        efficiency_opened_percent=alone.efficiency_opened_percent,
        efficiency_made_percent=alone.efficiency_made_percent,
        so_far_opened_percent=so_far.efficiency_opened_percent,
        so_far_made_percent=so_far.efficiency_made_percent,
        per_opened_mg=_whole(alone.per_opened_mg),
        per_made_mg=_whole(alone.per_made_mg),
        first_day=span[0],
        last_day=span[1],
        is_to_date=is_to_date,
    )


def _whole(mg: Decimal | None) -> int | None:
    return None if mg is None else round(mg)
