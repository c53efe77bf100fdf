"""A stocktake as it stands: each lot's record beside what was counted."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.catalogue import Room
from farmdesk.domain.codes import code_of
from farmdesk.domain.stocktake import CountedLot, Stocktake
from farmdesk.paper.tables import Column, Table
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.stocktakes import counted_lots, open_stocktake
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr


@dataclass(frozen=True)
class StocktakeRow:
    """One lot as it is shown; `id` is the lot's."""

    id: int
    lot: str
    code: str
    what: str
    recorded: str
    counted: str
    difference: str
    state: str
    room: str
    is_open: bool


@dataclass(frozen=True)
class StocktakeView:
    """The count under way, its lots (those that need looking at first), and how many are seen."""

    stocktake: Stocktake | None
    rows: tuple[StocktakeRow, ...]
    seen: int
    rooms: tuple[tuple[int, str], ...]

    @property
    def count_text(self) -> str:
        """How far the count is."""
        return tr("{seen} of {all} lots seen").format(seen=self.seen, all=len(self.rows))


def load_stocktake(store: FarmStore) -> StocktakeView:
    """The stocktake under way, read in a transaction of its own."""
    with store.reading() as reading:
        return read_stocktake(reading)


def read_stocktake(reading: Reading, *, stocktake: Stocktake | None = None) -> StocktakeView:
    """A stocktake, by default the one under way."""
    count = stocktake or open_stocktake(reading)
    terms = read_terms(reading)
    rooms = {one.id: one for one in reading.all(Room)}
    names = {one.id: one.name for one in rooms.values()}
    cold = tuple((one.id, one.name) for one in rooms.values() if one.use == "cold store")
    if count is None:
        return StocktakeView(None, (), 0, cold)
    lots = counted_lots(reading, count)
    lots.sort(key=lambda one: (_rank(one), one.name))
    rows = tuple(_row(one, terms, names) for one in lots)
    return StocktakeView(count, rows, sum(1 for one in lots if one.is_seen), cold)


def stocktake_table(reading: Reading, *, now: str | None = None) -> Table:
    """The stocktake under way, or else the last one, as a table."""
    terms = read_terms(reading, now)
    count = open_stocktake(reading) or _last(reading)
    view = read_stocktake(reading, stocktake=count)
    columns = (
        Column("lot", tr("Lot")),
        Column("code", tr("Code"), "code"),
        Column("what", tr("What")),
        Column("recorded", tr("Recorded")),
        Column("counted", tr("Counted")),
        Column("difference", tr("Difference")),
        Column("state", tr("State")),
        Column("room", tr("Room")),
    )
    rows = [
        (one.lot, one.code, one.what, one.recorded, one.counted, one.difference, one.state,
         one.room)
        for one in view.rows
    ]  # fmt: skip
    title = tr("Stocktake")
    notes = (
        (tr("No stocktake was made yet."),)
        if count is None
        else (
            tr("{name}, begun {instant}. {seen}.").format(
                name=count.name, instant=terms.formats.instant(count.started_at),
                seen=view.count_text,
            ),
        )
    )  # fmt: skip
    return Table("stocktake", title, columns, rows, notes=notes)


def _last(reading: Reading) -> Stocktake | None:
    return max(reading.all(Stocktake), key=lambda one: one.id, default=None)


def _rank(lot: CountedLot) -> int:
    order = ("weigh it", "more", "fewer", "missing", "as recorded")
    return order.index(lot.state) - (1 if lot.is_misplaced else 0)


def _row(lot: CountedLot, terms: FarmTerms, rooms: dict[int, str]) -> StocktakeRow:
    def amount(value: int | None) -> str:
        if value is None:
            return ""
        if lot.is_pack:
            return terms.formats.count(value, "pack", "packs")
        return terms.formats.mass(value)

    states = {
        "as recorded": tr("as recorded"),
        "missing": tr("not seen"),
        "fewer": tr("less than recorded"),
        "more": tr("more than recorded"),
        "weigh it": tr("recorded as gone: weigh it"),
    }
    state = states[lot.state]
    if lot.is_misplaced:
        state = tr("{state}; it lies in another room by the records").format(state=state)
    seen = tr("seen") if lot.is_seen and lot.counted is None else amount(lot.counted)
    return StocktakeRow(
        id=lot.lot,
        lot=lot.name,
        code=code_of(lot.lot),
        what=lot.what,
        recorded=amount(lot.left),
        counted=seen,
        difference=amount(lot.difference) if lot.difference and lot.is_seen else "",
        state=state,
        room=rooms.get(lot.room or 0, ""),
        is_open=lot.state != "as recorded" or lot.is_misplaced,
    )
