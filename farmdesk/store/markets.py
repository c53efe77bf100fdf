"""Questions about market days: what is out at them now."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from sqlalchemy import select

from farmdesk.domain.trade import wanted_mg
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading


def at_markets(reading: Reading) -> dict[int, int]:
    """Mg or packs of each lot that are out at market days not closed yet."""
    lines, days = TABLES["market_line"], TABLES["market_day"]
    statement: Any = (
        select(lines.c.lot, lines.c.unit, lines.c.taken)
        .join_from(lines, days, days.c.id == lines.c.market_day)
        .where(days.c.status == "open")
    )
    found: dict[int, int] = {}
    for lot, unit, taken in reading.run(statement):
        amount = int(Decimal(taken)) if unit == "pack" else wanted_mg(Decimal(taken), unit)
        found[lot] = found.get(lot, 0) + amount
    return found
