"""Batches as a list: bags by stage, how many were contaminated, when they are ready."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from farmdesk.arithmetic.incubation import ReadyWindow, WindowPlace
from farmdesk.arithmetic.rates import Rate, estimate_rate
from farmdesk.domain.catalogue import Strain
from farmdesk.domain.codes import code_of
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.lists import BatchCount, batches_counted
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import WINDOWS, say_code, say_state

SEVERAL = tr("several rooms")
_COUNTS = ("incubating", "colonised", "fruiting", "resting", "spent", "discarded", "lost")


@dataclass(frozen=True)
class BatchRow:
    """One batch. `looked_on` is the day since which the longest-unseen growing bag was not seen.

    `window` says where today lies to the days it is expected ready, '' when none is known.
    """

    id: int
    code: str
    name: str
    species: str
    strain: str
    inoculated_on: str
    age: int
    made: int
    incubating: int
    colonised: int
    fruiting: int
    resting: int
    spent: int
    discarded: int
    lost: int
    contaminated: int
    slow: int
    ready_from: str
    ready_to: str
    window: WindowPlace | str
    room: str
    looked_on: str | None
    colonised_on: str | None

    @property
    def alive(self) -> int:
        """Bags that still stand somewhere."""
        return self.incubating + self.colonised + self.fruiting + self.resting

    @property
    def days_unseen(self) -> int | None:
        """Age in days minus the age at the last look; None when no bag grows in any more."""
        if not self.incubating + self.colonised:
            return None
        return self.age - age_days(self.inoculated_on, self.looked_on or self.inoculated_on)


def list_batches(
    reading: Reading, *, alive_only: bool = True, now: str | None = None
) -> list[BatchRow]:
    """Batches, newest first; only those with live bags unless asked otherwise."""
    terms = read_terms(reading, now)
    strains = {one.id: one.name or one.code for one in reading.all(Strain)}
    counted = batches_counted(reading, alive_only=alive_only)
    return [_row(one, terms, strains) for one in counted]


def contamination_of(row: BatchRow) -> Rate:
    """Contaminated of made bags with its Wilson interval; the first call loads statistics."""
    return estimate_rate(row.contaminated, max(row.made, row.contaminated))


def batches_table(reading: Reading, *, alive_only: bool = True, now: str | None = None) -> Table:
    """Batches with their contamination rate and its interval."""
    columns = (
        Column("name", tr("Batch")),
        Column("code", tr("Code"), "code"),
        Column("species", tr("Species")),
        Column("strain", tr("Strain")),
        Column("inoculated_on", tr("Inoculated"), "day"),
        Column("age", tr("Age"), "integer", unit=tr("days")),
        Column("made", tr("Made"), "integer"),
        *(Column(stage, say_state(stage).capitalize(), "integer") for stage in _COUNTS),
        Column("contaminated", tr("Contaminated"), "integer"),
        Column("rate", tr("Contaminated"), "percent"),
        Column("rate_low", tr("at least"), "percent"),
        Column("rate_high", tr("at most"), "percent"),
        Column("slow", tr("Slow"), "integer"),
        Column("ready_from", tr("Ready from"), "day"),
        Column("ready_to", tr("Ready until"), "day"),
        Column("window", tr("Window")),
        Column("room", tr("Room")),
        Column("looked_on", tr("Looked at"), "day"),
    )
    rows = [_values(row, columns) for row in list_batches(reading, alive_only=alive_only, now=now)]
    note = tr(
        "At least, at most: the 95 % Wilson interval. Bags of one heat run stand "
        "or fall together, so it is too narrow for them."
    )
    title = tr("Batches with live bags") if alive_only else tr("All batches")
    return Table("batches", title, columns, rows, notes=[note])


def _values(row: BatchRow, columns: Iterable[Column]) -> Sequence[object]:
    rate = contamination_of(row)
    shares = {
        "rate": None if rate.share is None else 100 * rate.share,
        "rate_low": 100 * rate.low,
        "rate_high": 100 * rate.high,
    }
    known = {**shares, "window": say_code(WINDOWS, row.window)}
    return [
        known[column.key] if column.key in known else getattr(row, column.key) for column in columns
    ]


def _row(one: BatchCount, terms: FarmTerms, strains: dict[int, str]) -> BatchRow:
    window = ""
    if one.ready_from and one.ready_to and one.incubating:
        window = ReadyWindow(one.ready_from, one.ready_to).place(terms.today)
    return BatchRow(
        id=one.id,
        code=code_of(one.id),
        name=one.name,
        species=terms.species_name(one.species),
        strain=strains.get(one.strain, ""),
        inoculated_on=one.inoculated_on,
        age=age_days(one.inoculated_on, terms.today),
        made=one.made,
        incubating=one.incubating,
        colonised=one.colonised,
        fruiting=one.fruiting,
        resting=one.resting,
        spent=one.spent,
        discarded=one.discarded,
        lost=one.lost,
        contaminated=one.contaminated,
        slow=one.slow,
        ready_from=one.ready_from,
        ready_to=one.ready_to,
        window=window,
        room=_room(one, terms),
        looked_on=one.inoculated_on if one.never_looked else one.looked_on,
        colonised_on=one.colonised_on,
    )


def _room(one: BatchCount, terms: FarmTerms) -> str:
    if one.first_room != one.last_room:
        return SEVERAL
    return terms.room_name(one.first_room)
