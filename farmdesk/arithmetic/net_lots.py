"""The net contents of one lot by either rule, with everything a verdict rests on."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.arithmetic.net_contents import (
    find_maximum_shortage,
    find_sampling,
    find_tolerable_error,
    judge_european_batch,
    judge_lot,
)
from farmdesk.arithmetic.net_tables import (
    read_european_allowances,
    read_us_allowances,
    read_us_sampling,
)

HB133, EU = "hb133", "eu"
RULES = (HB133, EU)
_MG_PER_LB = Decimal("453592.37")
_MG_PER_G = 1000
FINEST_SHARE = 6
"""A scale should show a sixth of the shortage allowed, or less (NIST Handbook 133, from memory)."""


@dataclass(frozen=True)
class NetSample:
    """Net masses of the packs weighed, mg; what the label says; packs in the lot; the rule."""

    net_mg: tuple[int, ...]
    labelled_mg: int
    lot_size: int
    rule: str = HB133


@dataclass(frozen=True)
class NetVerdict:
    """What a sample says of its lot; masses in mg.

    `shortage_mg` is how much a single pack may be short (MAV, or the tolerable negative error),
    `limit_mg` what the average may be below the label by chance (US rule only), `too_short` the
    packs beyond the shortage, `allowed` how many of them may be; `far_short` are beyond twice
    the shortage (European rule only).
    """

    mean_error_mg: float
    deviation_mg: float
    limit_mg: float
    shortage_mg: int
    too_short: int
    far_short: int
    allowed: int
    factor: Decimal | None
    is_average_passed: bool
    is_single_passed: bool

    @property
    def is_passed(self) -> bool:
        """Both the average and the single packs pass."""
        return self.is_average_passed and self.is_single_passed


def sample_size(lot_size: int) -> int:
    """How many packs to weigh; by the European rule too, which leaves it to the packer."""
    return min(find_sampling(lot_size, read_us_sampling()).sample, lot_size)


def allowed_shortage_mg(labelled_mg: int, rule: str) -> int:
    """How much a single pack may be short of its label, mg."""
    if rule == EU:
        grams = Decimal(labelled_mg) / _MG_PER_G
        return int(find_tolerable_error(grams, read_european_allowances()) * _MG_PER_G)
    pounds = Decimal(labelled_mg) / _MG_PER_LB
    return int(find_maximum_shortage(pounds, read_us_allowances()) * _MG_PER_LB)


def is_fine_enough(division_mg: int, shortage_mg: int) -> bool:
    """Whether a scale's smallest step is small enough for the shortage that it must show."""
    return division_mg * FINEST_SHARE <= shortage_mg


def judge_sample(sample: NetSample) -> NetVerdict:
    """Judge a lot; raises Refused where the sample is not as large as the plan wants."""
    shortage = allowed_shortage_mg(sample.labelled_mg, sample.rule)
    if sample.rule == EU:
        nets = [Decimal(one) / _MG_PER_G for one in sample.net_mg]
        label = Decimal(sample.labelled_mg) / _MG_PER_G
        found = judge_european_batch(
            nets, nominal_g=label, tolerable_error_g=Decimal(shortage) / _MG_PER_G
        )
        mean = float((found.mean_g - label) * _MG_PER_G)
        is_single = not found.beyond_t2 and 50 * found.beyond_t1 <= len(nets)
        return NetVerdict(
            mean, 0.0, 0.0, shortage, found.beyond_t1, found.beyond_t2, len(nets) // 50, None,
            mean >= 0, is_single,
        )  # fmt: skip
    plan = find_sampling(sample.lot_size, read_us_sampling())
    errors = [Decimal(one - sample.labelled_mg) for one in sample.net_mg]
    judged = judge_lot(errors, maximum_shortage=Decimal(shortage), plan=plan)
    return NetVerdict(
        judged.mean, judged.deviation, judged.error_limit, shortage, judged.too_short, 0,
        plan.allowed_over, plan.correction_factor, judged.is_average_passed,
        judged.is_single_passed,
    )  # fmt: skip
