"""Net contents of packs: is a lot full enough, by the US and by the European rule.

A check of one's own packs, never an official test: the inspector's copy of the rule decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from math import sqrt
from statistics import fmean, stdev

from farmdesk.arithmetic.limits import HUNDRED, check_positive
from farmdesk.errors import Refused, problem, refuse_any


@dataclass(frozen=True)
class AllowanceRow:
    """One row of a table of allowed shortages: over `over`, up to and with `to` (None: all).

    `allowance` is in the table's own unit, or `percent` of the labelled quantity.
    """

    over: Decimal
    to: Decimal | None
    allowance: Decimal | None
    percent: Decimal | None
    source: str
    status: str


@dataclass(frozen=True)
class SamplingRow:
    """One row of a sampling plan: lot sizes, packs to weigh, factor, packs allowed too short.

    The correction factor is None for a lot of one pack, where only the single shortage counts.
    """

    lot_from: int
    lot_to: int | None
    sample: int
    correction_factor: Decimal | None
    allowed_over: int
    source: str
    status: str


@dataclass(frozen=True)
class LotVerdict:
    """What the errors of a sample say: the average and the single packs, each passed or not."""

    mean: float
    deviation: float
    error_limit: float
    too_short: int
    is_average_passed: bool
    is_single_passed: bool

    @property
    def is_passed(self) -> bool:
        """Both requirements hold."""
        return self.is_average_passed and self.is_single_passed


@dataclass(frozen=True)
class EuropeanVerdict:
    """What a batch shows by the European rule; T1 is one tolerance short, T2 two."""

    mean_g: Decimal
    beyond_t1: int
    beyond_t2: int
    is_passed: bool


def find_allowance(quantity: Decimal, rows: Sequence[AllowanceRow]) -> AllowanceRow:
    """The row of a table that holds for a labelled quantity in the table's unit.

    A table begins with its first figure, the other rows begin above theirs.
    """
    refuse_any([check_positive("labelled quantity", quantity)])
    for place, row in enumerate(rows):
        is_above = row.over < quantity or (place == 0 and row.over == quantity)
        if is_above and (row.to is None or quantity <= row.to):
            return row
    raise Refused(problem("label_outside_table", quantity=quantity))


def find_maximum_shortage(quantity: Decimal, rows: Sequence[AllowanceRow]) -> Decimal:
    """How much a single pack may be short, in the table's unit (NIST Handbook 133 calls it MAV)."""
    row = find_allowance(quantity, rows)
    if row.allowance is not None:
        return row.allowance
    return quantity * (row.percent or Decimal(0)) / HUNDRED


def find_tolerable_error(nominal_g: Decimal, rows: Sequence[AllowanceRow]) -> Decimal:
    """The European tolerable negative error in g; percentages are rounded up to 0.1 g."""
    exact = find_maximum_shortage(nominal_g, rows)
    return exact.quantize(Decimal("0.1"), rounding=ROUND_CEILING)


def find_sampling(lot_size: int, rows: Sequence[SamplingRow]) -> SamplingRow:
    """How many packs of a lot to weigh, and with which factor."""
    refuse_any([check_positive("packs in the lot", lot_size)])
    for row in rows:
        if row.lot_from <= lot_size and (row.lot_to is None or lot_size <= row.lot_to):
            return row
    raise Refused(problem("label_outside_table", quantity=lot_size))


def judge_lot(
    errors: Sequence[Decimal], *, maximum_shortage: Decimal, plan: SamplingRow
) -> LotVerdict:
    """Judge a sample's package errors (net - label) by NIST Handbook 133, category A.

    The mean passes at 0 or above, or when it lies within SD x factor of it; the handbook does
    not spell out equality, here it passes. Errors and shortage are in one unit.
    """
    if len(errors) != plan.sample:
        raise Refused(problem("sample_size_wrong", wanted=plan.sample, weighed=len(errors)))
    values = [float(error) for error in errors]
    mean = fmean(values)
    deviation = stdev(values) if len(values) > 1 else 0.0
    limit = deviation * float(plan.correction_factor or 0)
    too_short = sum(error < -maximum_shortage for error in errors)
    return LotVerdict(
        mean=mean,
        deviation=deviation,
        error_limit=limit,
        too_short=too_short,
        is_average_passed=plan.correction_factor is None or mean >= 0 or -mean <= limit,
        is_single_passed=too_short <= plan.allowed_over,
    )


def judge_european_batch(
    nets_g: Sequence[Decimal], *, nominal_g: Decimal, tolerable_error_g: Decimal
) -> EuropeanVerdict:
    """Judge weighed packs: mean not below nominal, at most 2 % beyond T1, none beyond T2."""
    if not nets_g:
        raise Refused(problem("sample_size_wrong", wanted=1, weighed=0))
    mean = sum(nets_g, Decimal(0)) / len(nets_g)
    beyond_t1 = sum(net < nominal_g - tolerable_error_g for net in nets_g)
    beyond_t2 = sum(net < nominal_g - 2 * tolerable_error_g for net in nets_g)
    is_passed = mean >= nominal_g and not beyond_t2 and 50 * beyond_t1 <= len(nets_g)
    return EuropeanVerdict(mean, beyond_t1, beyond_t2, is_passed)


def find_correction_factor(sample: int) -> float:
    """The factor a printed table rounds: t(0.975, n - 1) / sqrt(n)."""
    if sample < 2:
        raise Refused(problem("sample_size_wrong", wanted=2, weighed=sample))
    from scipy.stats import t  # noqa: PLC0415  (scipy.stats costs most of a second)

    return float(t.ppf(0.975, sample - 1)) / sqrt(sample)
