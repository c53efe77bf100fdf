"""Spawn for a batch: what it needs, what was scanned, rates wet and dry, and warnings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.arithmetic.spawn import (
    Serving,
    SpawnNeed,
    SpawnRate,
    count_served_blocks,
    find_need,
    measure_rate,
)
from farmdesk.domain.catalogue import Species, Strain
from farmdesk.domain.lab import Spawn
from farmdesk.errors import Problem, problem
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

USUAL_PERCENT = Decimal(5)
"""A usual rate where no species is known, of wet substrate: common practice, no source."""


@dataclass(frozen=True)
class BlockTerms:
    """The blocks that spawn is for: how many, each block's wet and dry mass in mg."""

    blocks: int
    block_mg: int
    dry_mg: int


@dataclass(frozen=True)
class SpawnSums:
    """Need at the usual rate, what is named so far, and how many blocks a bag serves."""

    rate_percent: Decimal
    need: SpawnNeed
    named_mg: int
    named_rate: SpawnRate | None
    serves: tuple[tuple[Spawn, Serving], ...]
    warnings: tuple[Problem, ...]

    @property
    def missing_mg(self) -> int:
        """What is not named yet of the need."""
        return max(0, self.need.total_mg - self.named_mg)


def sum_spawn(
    terms: BlockTerms,
    uses: Sequence[tuple[Spawn, int]],
    *,
    strain: Strain | None,
    species: Species | None,
    formats: Formats,
    today: str,
) -> SpawnSums:
    """Everything there is to say of so much of these bags of spawn in these blocks."""
    rate = species.spawn_percent if species is not None else USUAL_PERCENT
    need = find_need(blocks=terms.blocks, block_mg=terms.block_mg, rate_percent=rate)
    named = sum(amount for _, amount in uses)
    measured = None
    if named and terms.dry_mg:
        measured = measure_rate(
            spawn_mg=named,
            substrate_mg=terms.blocks * terms.block_mg,
            dry_mg=terms.blocks * terms.dry_mg,
        )
    bags = list({spawn.id: spawn for spawn, _ in uses}.values())
    serves = tuple(
        (spawn, count_served_blocks(spawn.left_mg, max(1, need.per_block_mg))) for spawn in bags
    )
    warnings = [one for spawn in bags for one in warn_of_spawn(spawn, strain, formats, today)]
    return SpawnSums(rate, need, named, measured, serves, tuple(warnings))


def warn_of_spawn(
    spawn: Spawn, strain: Strain | None, formats: Formats, today: str
) -> list[Problem]:
    """What to mind of a bag of spawn before it is used: its generation, its strain, its day."""
    found = []
    if strain is not None:
        facts = {
            "spawn": spawn.name,
            "strain": strain.name,
            "generation": spawn.generation,
            "limit": strain.max_generation,
        }
        if spawn.strain != strain.id:
            found.append(problem("spawn_of_other_strain", spawn=spawn.name, strain=strain.name))
        elif spawn.generation > strain.max_generation:
            found.append(problem("spawn_past_generation", **facts))
        elif spawn.generation == strain.max_generation:
            found.append(problem("spawn_last_generation", **facts))
        elif spawn.generation == strain.max_generation - 1:
            found.append(problem("spawn_near_last_generation", **facts))
    if spawn.use_by is not None and spawn.use_by < today:
        found.append(problem("spawn_past_use_by", spawn=spawn.name, use_by=spawn.use_by))
    elif spawn.use_by is not None:
        day = formats.day(spawn.use_by)
        found.append(problem("spawn_near_use_by", spawn=spawn.name, use_by=day))
    return found


def tell_spawn(sums: SpawnSums, terms: BlockTerms, formats: Formats) -> list[str]:
    """The sums as lines for a page."""
    lines = [
        tr("Need: {total} for {blocks} at {rate} of wet substrate, {each} a block.").format(
            total=formats.mass(sums.need.total_mg),
            blocks=formats.count(terms.blocks, "block", "blocks"),
            rate=formats.percent(sums.rate_percent),
            each=formats.mass(sums.need.per_block_mg),
        )
    ]
    if sums.named_rate is not None:
        lines.append(
            tr("Named: {named}. That is {wet} of wet and {dry} of dry substrate.").format(
                named=formats.mass(sums.named_mg),
                wet=formats.percent(sums.named_rate.of_substrate_percent),
                dry=formats.percent(sums.named_rate.of_dry_percent),
            )
        )
    lines += [
        tr("{spawn}: {left} left serves {blocks}.").format(
            spawn=spawn.name,
            left=formats.mass(spawn.left_mg),
            blocks=formats.count(serving.blocks, "block", "blocks"),
        )
        for spawn, serving in sums.serves
    ]
    return lines
