"""The cold store at a look: lots with their dates in words, and what its forms choose from."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.codes import kind_of, read_code
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.paper.tables import Table
from farmdesk.quantities.times import age_days
from farmdesk.reports.catalogue import Catalogue, read_catalogue
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.stock import GOOD, OnHand, balance_table, stock_on_hand
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.lab import things_by_id
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_KINDS = ("species", "room", "reason", "product", "label_stock")
SOON_DAYS = 2
"""So many days before its shelf date a lot is marked as near it. Common practice, no source."""


@dataclass(frozen=True)
class LotRow:
    """A lot on hand; `mark` says in words how it stands to its dates, '' when it is good."""

    id: int
    lot: str
    code: str
    what: str
    grade: str
    since: str
    age: int
    left_mg: int
    packs: int
    sell_by: str | None
    shelf_on: str | None
    days_left: int | None
    mark: str
    room: str
    is_pack: bool
    species: int | None
    product: int | None
    hold: str = ""


@dataclass(frozen=True)
class ColdStore:
    """Lots on hand, earliest shelf date first, and where the lots of the last weeks went."""

    terms: FarmTerms
    catalogue: Catalogue
    lots: tuple[LotRow, ...]
    balances: Table

    def loose(self) -> list[LotRow]:
        """Lots that lie loose in crates and can be packed, earliest shelf date first."""
        return [one for one in self.lots if not one.is_pack]


def load_cold_store(store: FarmStore) -> ColdStore:
    """The cold store as it stands, read in a transaction of its own."""
    with store.reading() as reading:
        return read_cold_store(reading)


def read_cold_store(reading: Reading, *, now: str | None = None) -> ColdStore:
    """The cold store as it stands."""
    terms = read_terms(reading, now)
    return ColdStore(
        terms=terms,
        catalogue=read_catalogue(reading, _KINDS),
        lots=tuple(read_lots(reading, terms)),
        balances=balance_table(reading, now=terms.now),
    )


def read_lots(reading: Reading, terms: FarmTerms) -> list[LotRow]:
    """Every lot on hand with its dates in words, earliest shelf date first."""
    found = stock_on_hand(reading, now=terms.now)
    ids = [read_code(one.row.code) for one in found]
    picks = things_by_id(reading, Pick, [one for one in ids if kind_of(one) == "pick"])
    packs = things_by_id(reading, Pack, [one for one in ids if kind_of(one) == "pack"])
    return [
        _lot_row(lot, one, terms.today, picks.get(lot), packs.get(lot))
        for lot, one in zip(ids, found, strict=True)
    ]


def settle_amount(mg: int, left_mg: int, formats: Formats) -> int:
    """An amount as it is meant: one that reads like all that is left is all of it, mg.

    What is shown is rounded, so typing it again must not leave crumbs or ask for too much.
    """
    return left_mg if formats.mass(mg) == formats.mass(left_mg) else mg


def _lot_row(lot: int, one: OnHand, today: str, pick: Pick | None, pack: Pack | None) -> LotRow:
    row = one.row
    lot_itself = pick or pack
    hold = "" if lot_itself is None else lot_itself.hold
    return LotRow(
        id=lot,
        lot=row.lot,
        code=row.code,
        what=row.what,
        grade=row.grade,
        since=row.since,
        age=age_days(row.since, today),
        left_mg=row.left_mg,
        packs=row.packs,
        sell_by=row.sell_by,
        shelf_on=row.shelf_on,
        days_left=row.days_left,
        mark=_mark(one, today) if not hold else tr("held back: {why}").format(why=hold),
        room=row.room,
        is_pack=pack is not None,
        species=None if pick is None else pick.species,
        product=None if pack is None else pack.product,
        hold=hold,
    )


def _mark(one: OnHand, today: str) -> str:
    if one.state != GOOD:
        return one.state
    left, sell_by = one.row.days_left, one.row.sell_by
    if sell_by == today:
        return tr("sell today")
    return tr("ends soon") if left is not None and left <= SOON_DAYS else ""
