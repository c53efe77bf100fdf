"""What becomes of each block of the demo farm: how it grows, what befalls it, what it gives."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Species

# Shares of what goes wrong during incubation: common practice, no source.
_KINDS = (
    ("green_mould", 45),
    ("wet_spot", 20),
    ("bread_mould", 12),
    ("yeast", 8),
    ("lipstick_mould", 4),
    ("orange_mould", 2),
    ("burst_seal", 6),
    ("too_wet", 3),
)
_KINDS_WHEN_OPEN = (
    ("bacterial_blotch", 4),
    ("cobweb_mould", 3),
    ("flies", 2),
    ("dried_out", 3),
    ("poor_crop", 3),
)
_BAD_SHARE, _BAD_WHEN_OPEN, _SLOW_SHARE = 0.042, 0.022, 0.035
# Blocks of a short heat run go bad alike, about a third of them.
SHORT_RUN_SHARE = 0.36
_SHORT_RUN_KINDS = (("heat_failure", 5), ("wet_spot", 4), ("green_mould", 2))


@dataclass
class Block:
    """One bag and its fate; `stage` is what the grower knows of it."""

    bag: int
    batch: int
    number: int
    species: Species
    inoculated_on: date
    colonised_on: date
    dry_mg: int
    be_percent: float
    flushes: int
    bad_on: date | None = None
    reason: str = ""
    is_slow: bool = False
    slow_noted: bool = False
    bad_when_open: bool = False
    stage: str = "incubating"
    flush: int = 0
    next_on: date = date.max
    picked_on: date | None = None
    is_pinned: bool = False

    @property
    def code(self) -> str:
        return self.species.code

    @property
    def is_incubating(self) -> bool:
        return self.stage in ("incubating", "colonised")

    def wait_for_flush(self, chance: Random, day: date) -> None:
        """Settle when the next flush will be ready; a batch that was opened together is in step."""
        kind = self.species
        low, high = kind.open_pick_days_low, kind.open_pick_days_high
        if self.flush:
            low, high = kind.rest_days_low, kind.rest_days_high
        step = (7 * self.flush + self.batch) % (high - low + 1)
        days = low + step + chance.choice((0, 0, 0, 0, 1, 1, 2))
        self.next_on = day + timedelta(min(days, high + 1))

    def give(self, chance: Random) -> int:
        """What the next flush weighs, mg."""
        shares = [int(one) for one in self.species.flush_shares.split("/")]
        share = shares[min(self.flush, len(shares) - 1)] / 100
        return round(self.dry_mg * self.be_percent / 100 * share * chance.uniform(0.8, 1.2))


def plan_blocks(
    chance: Random, species: Species, batch: Batch, bags: list[Bag], *, bad_share: float | None
) -> list[Block]:
    """The fates of the bags of a batch; `bad_share` is that of a heat run that was short."""
    day = date.fromisoformat(batch.inoculated_on)
    # Long runs end in the first half of their window, so that half a year shows them all.
    high = min(species.incubation_days_high, species.incubation_days_low + 18)
    pace = chance.uniform(species.incubation_days_low + 1, high - 2)
    vigour = chance.uniform(0.9, 1.08)
    return [
        _plan_block(chance, species, batch, bag, (day, pace, vigour, bad_share)) for bag in bags
    ]


def _plan_block(
    chance: Random,
    species: Species,
    batch: Batch,
    bag: Bag,
    of_batch: tuple[date, float, float, float | None],
) -> Block:
    day, pace, vigour, bad_share = of_batch
    is_slow = chance.random() < _SLOW_SHARE
    days = round(pace + chance.gauss(0, 1.2)) + (chance.randint(8, 13) if is_slow else 0)
    low, high = float(species.be_percent_low), float(species.be_percent_high)
    block = Block(
        bag=bag.id,
        batch=batch.id,
        number=bag.number,
        species=species,
        inoculated_on=day,
        colonised_on=day + timedelta(max(days, 8)),
        dry_mg=batch.dry_mg,
        be_percent=vigour * chance.uniform(low + 0.15 * (high - low), high - 0.1 * (high - low)),
        flushes=max(1, species.flushes - int(chance.random() < 0.45)),
        is_slow=is_slow,
    )
    share = _BAD_SHARE if bad_share is None else bad_share
    if chance.random() < share:
        kinds = _KINDS if bad_share is None else _SHORT_RUN_KINDS
        block.reason = _choose(chance, kinds)
        block.bad_on = day + timedelta(chance.randint(4, max(5, min(days, 26) - 2)))
    elif chance.random() < _BAD_WHEN_OPEN:
        block.reason = _choose(chance, _KINDS_WHEN_OPEN)
        block.bad_when_open = True
    return block


def _choose(chance: Random, kinds: tuple[tuple[str, int], ...]) -> str:
    names, weights = zip(*kinds, strict=True)
    return str(chance.choices(names, weights)[0])
