"""What can still be promised: never the same kilogram twice, whichever day it is wanted for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from farmdesk.arithmetic.limits import check_not_negative
from farmdesk.errors import refuse_any


def find_available(
    coming: Callable[[str], int], wanted: Sequence[tuple[str, int]], *, on: str
) -> int:
    """What can be promised for a day without breaking a promise for that day or a later one.

    `coming(day)` is all that there is by a day (stock and what will be picked; mg or packs, never
    falling), `wanted` are (day, amount) that are promised already. For every day from `on` that
    something is promised for, what comes by then less all that is promised by then is free; the
    least of these can be given away. Below nothing: so much is promised too much.

    This is the cumulative "available to promise" of production planning (common practice, no
    source).
    """
    refuse_any(check_not_negative("amount promised", amount) for _, amount in wanted)
    days = sorted({on, *(day for day, _ in wanted if day > on)})
    return min(coming(day) - _until(wanted, day) for day in days)


def _until(wanted: Iterable[tuple[str, int]], day: str) -> int:
    return sum(amount for due, amount in wanted if due <= day)
