"""Which flush a pick belongs to, proposed from the bag's history; the person decides."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from farmdesk.arithmetic.limits import check_not_negative
from farmdesk.errors import refuse_any
from farmdesk.quantities.times import age_days

FlushReason = Literal[
    "first_pick", "same_picking", "rested", "was_resting", "between", "earlier_than_last"
]


@dataclass(frozen=True)
class PickedBefore:
    """A bag's last pick: the day and the flush it was counted to."""

    day: str
    flush: int


@dataclass(frozen=True)
class FlushProposal:
    """A flush number, why, and whether it is plain or should be asked."""

    flush: int
    reason: FlushReason
    is_sure: bool


def propose_flush(
    last: PickedBefore | None, *, picked_on: str, rest_days_low: int, is_resting: bool = False
) -> FlushProposal:
    """Propose the flush of a pick on a day from the last pick and the species' shortest rest.

    A bag marked as resting starts the next flush. Otherwise up to half the rest is the same
    picking (a flush is picked over several days), a whole rest or more is the next flush, and
    what lies between is proposed as the same but not sure. Common practice, no source.
    """
    refuse_any([check_not_negative("days of rest", rest_days_low)])
    if last is None:
        return FlushProposal(1, "first_pick", is_sure=True)
    days = age_days(last.day, picked_on)
    if days < 0:
        return FlushProposal(last.flush, "earlier_than_last", is_sure=False)
    if days == 0:
        return FlushProposal(last.flush, "same_picking", is_sure=True)
    if is_resting:
        return FlushProposal(last.flush + 1, "was_resting", is_sure=True)
    if days >= rest_days_low:
        return FlushProposal(last.flush + 1, "rested", is_sure=True)
    if 2 * days <= rest_days_low:
        return FlushProposal(last.flush, "same_picking", is_sure=True)
    return FlushProposal(last.flush, "between", is_sure=False)
