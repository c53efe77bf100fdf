"""What customers want regularly, and weeks in which they want more, less or something else."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.cells import ref
from farmdesk.quantities.weeks import IsoWeek


@dataclass(frozen=True)
class StandingOrder:
    """What a customer wants every so many weeks on a weekday (1 Monday to 7 Sunday).

    `pauses` are the ISO weeks that are left out, parted by spaces: '2026-W52 2027-W01'. It runs
    from a day to a day; without `runs_to` until it is ended.
    """

    id: int
    customer: int = ref("customer")
    product: int = ref("product")
    quantity: Decimal = Decimal(0)
    unit: str = "kg"
    weekday: int = 1
    runs_from: str = ""
    runs_to: str | None = None
    every_weeks: int = 1
    pauses: str = ""
    note: str = ""
    retired: int = 0


@dataclass(frozen=True)
class DemandEvent:
    """Weeks in which demand differs: a holiday, a market day, or demand that was typed.

    From `from_week` to `to_week` (ISO weeks, both counted) the standing demand of a species or a
    product (neither: all) is taken `factor` times, and `amount_mg` a week comes on top. `held_on`
    is for people: the day of the market or holiday.
    """

    id: int
    name: str
    from_week: str = ""
    to_week: str = ""
    held_on: str | None = None
    species: int | None = ref("species", none=True)
    product: int | None = ref("product", none=True)
    factor: Decimal = Decimal(1)
    amount_mg: int = 0
    note: str = ""
    retired: int = 0


def occurs_on(standing: StandingOrder, week: str) -> str | None:
    """The day of a week on which a standing order is due; None when it is not."""
    if standing.retired or week in standing.pauses.split():
        return None
    one = IsoWeek.parse(week)
    day = one.days[standing.weekday - 1]
    if day < standing.runs_from or (standing.runs_to is not None and day > standing.runs_to):
        return None
    since = IsoWeek.of(standing.runs_from).weeks_until(one)
    return day if since % max(1, standing.every_weeks) == 0 else None
