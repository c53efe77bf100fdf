"""A lot on hand as a row: what the day, the cold store and the week tell of it."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.codes import code_of
from farmdesk.quantities.times import age_days, local_day
from farmdesk.reports.farm_terms import FarmTerms
from farmdesk.store.lists import Lot


@dataclass(frozen=True)
class StockRow:
    """A lot on hand when the report was made; `packs` is 0 for what lies loose in crates."""

    code: str
    lot: str
    what: str
    grade: str
    since: str
    left_mg: int
    packs: int
    shelf_on: str | None
    sell_by: str | None
    days_left: int | None
    room: str


def stock_row(lot: Lot, terms: FarmTerms) -> StockRow:
    """A lot as a row; days left are counted to the shelf date."""
    left = None if lot.shelf_on is None else age_days(terms.today, lot.shelf_on)
    return StockRow(
        code=code_of(lot.id),
        lot=lot.name,
        what=lot.product or terms.species_name(lot.species),
        grade=lot.grade,
        since=local_day(lot.since, terms.farm.zone),
        left_mg=lot.left_mg,
        packs=lot.packs,
        shelf_on=lot.shelf_on,
        sell_by=lot.sell_by,
        days_left=left,
        room=terms.room_name(lot.room),
    )
