"""Where a lot went: picked against everything that left it, and what nobody can explain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Literal

from farmdesk.arithmetic.limits import HUNDRED, check_not_negative, check_positive
from farmdesk.errors import refuse_any

BalanceFlag = Literal["balanced", "accepted", "too_much_missing", "more_out_than_in"]
Slip = Literal["tare", "tare_twice", "unit_lb_kg", "unit_oz_lb", "unit_thousand", "discard"]
"""What most likely went wrong with a lot that does not balance."""

# Common practice, no source: stores lose 0.5 to 2 % a day to drying, so a few days reach this.
ACCEPTED_PERCENT = Decimal(5)
_FACTORS: tuple[tuple[Slip, float], ...] = (
    ("unit_lb_kg", 1 / 0.45359237),
    ("unit_oz_lb", 16),
    ("unit_thousand", 1000),
)
_FACTOR_ROOM = 0.02


@dataclass(frozen=True)
class LotAmounts:
    """What was picked and where it went, mg."""

    picked_mg: int
    sold_mg: int = 0
    gifts_mg: int = 0
    own_use_mg: int = 0
    waste_mg: int = 0
    drying_mg: int = 0
    at_market_mg: int = 0
    on_hand_mg: int = 0


@dataclass(frozen=True)
class LotBalance:
    """picked = sold + gifts + own use + waste + drying + at a market + on hand + unexplained.

    The unexplained share is percent of picked, None when nothing was picked.
    """

    amounts: LotAmounts
    unexplained_mg: int
    unexplained_percent: Decimal | None
    flag: BalanceFlag

    @property
    def is_in_order(self) -> bool:
        """Nothing is missing, or no more than drying out explains."""
        return self.flag in ("balanced", "accepted")


@dataclass(frozen=True)
class DryingYield:
    """Dry weight out of fresh: percent, and fresh kg for one dry kg."""

    percent: Decimal
    fresh_for_one_dry: Decimal


@dataclass(frozen=True)
class SellThrough:
    """What was sold, percent: of everything picked, and of everything that is gone."""

    of_picked_percent: Decimal | None
    of_gone_percent: Decimal | None


@dataclass(frozen=True)
class Asked:
    """One order line: what was asked, and what went out as asked; mg or packs."""

    asked: int
    shipped: int


@dataclass(frozen=True)
class Fill:
    """Orders filled, percent: by quantity, and by lines that were filled whole."""

    by_quantity_percent: Decimal | None
    by_line_percent: Decimal | None


def balance_lot(amounts: LotAmounts, *, accepted_percent: Decimal = ACCEPTED_PERCENT) -> LotBalance:
    """Balance a lot; more out than in is always an error, whatever the size."""
    refuse_any(
        check_not_negative(one.name.removesuffix("_mg").replace("_", " "), _of(amounts, one.name))
        for one in fields(amounts)
    )
    refuse_any([check_not_negative("accepted loss", accepted_percent)])
    out_mg = sum(_of(amounts, one.name) for one in fields(amounts)) - amounts.picked_mg
    unexplained_mg = amounts.picked_mg - out_mg
    percent = HUNDRED * unexplained_mg / amounts.picked_mg if amounts.picked_mg else None
    return LotBalance(
        amounts, unexplained_mg, percent, _flag(unexplained_mg, percent, accepted_percent)
    )


def guess_slip(
    balance: LotBalance, *, tare_mg: int | None = None, is_past_shelf: bool = False
) -> Slip | None:
    """The likeliest slip behind a difference that is too large; None when nothing fits.

    A weight that was taken with the crate, or from which the crate was taken off twice, is wrong
    by its tare. A wrong unit shows as a factor: 2.2046 (kg and lb), 16 (lb and oz) or 1,000 (g
    and kg), either way. What is missing of an old lot was most likely thrown away unrecorded.
    Common practice, no source: tare within 10 %, factors within 2 %.
    """
    missing = balance.unexplained_mg
    if balance.is_in_order:
        return None
    if tare_mg and abs(abs(missing) - tare_mg) * 10 <= tare_mg:
        return "tare" if missing > 0 else "tare_twice"
    out = balance.amounts.picked_mg - missing
    if out > 0 and balance.amounts.picked_mg > 0:
        factor = balance.amounts.picked_mg / out
        for slip, wanted in _FACTORS:
            if any(abs(factor / one - 1) <= _FACTOR_ROOM for one in (wanted, 1 / wanted)):
                return slip
    return "discard" if missing > 0 and is_past_shelf else None


def sum_amounts(*lots: LotAmounts) -> LotAmounts:
    """Several lots as one."""
    return LotAmounts(**{one.name: sum(_of(lot, one.name) for lot in lots) for one in _FIELDS})


def measure_drying(*, fresh_mg: int, dry_mg: int) -> DryingYield:
    """What drying left of fresh mushrooms."""
    refuse_any([check_positive("fresh weight", fresh_mg), check_positive("dry weight", dry_mg)])
    return DryingYield(HUNDRED * dry_mg / fresh_mg, Decimal(fresh_mg) / dry_mg)


def measure_sell_through(amounts: LotAmounts) -> SellThrough:
    """How much was sold; gone is sold, wasted and given away."""
    gone_mg = amounts.sold_mg + amounts.waste_mg + amounts.gifts_mg
    return SellThrough(
        _percent(amounts.sold_mg, amounts.picked_mg), _percent(amounts.sold_mg, gone_mg)
    )


def measure_fill(lines: Sequence[Asked]) -> Fill:
    """How well orders were filled, against what was asked and not what there was.

    More than asked on one line does not make up for less on another.
    """
    refuse_any(check_not_negative("amount asked", line.asked) for line in lines)
    refuse_any(check_not_negative("amount shipped", line.shipped) for line in lines)
    shipped = sum(min(line.asked, line.shipped) for line in lines)
    whole = sum(line.shipped >= line.asked for line in lines)
    return Fill(_percent(shipped, sum(line.asked for line in lines)), _percent(whole, len(lines)))


_FIELDS = fields(LotAmounts)


def _of(amounts: LotAmounts, name: str) -> int:
    value: int = getattr(amounts, name)
    return value


def _percent(amount: int, of: int) -> Decimal | None:
    return HUNDRED * amount / of if of else None


def _flag(unexplained_mg: int, percent: Decimal | None, accepted_percent: Decimal) -> BalanceFlag:
    if unexplained_mg < 0:
        return "more_out_than_in"
    if not unexplained_mg:
        return "balanced"
    return "accepted" if percent is not None and percent <= accepted_percent else "too_much_missing"
