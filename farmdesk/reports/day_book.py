"""The day book a page at a time: who did what and when, the newest act first."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.catalogue import Person
from farmdesk.paper.tables import Column, Table
from farmdesk.reports.farm_terms import read_terms
from farmdesk.reports.happenings import Told, sentence_for, tell_heaps
from farmdesk.store.history import latest_acts
from farmdesk.store.life import heaps_of_acts, undone_among
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

PAGE = 200
"""Acts on a page."""


@dataclass(frozen=True)
class DayBookLine:
    """One act. `number` is its first entry's; a late one happened before it was written down."""

    act: str
    number: int
    happened_at: str
    written_at: str
    who: str
    station: str
    sentence: str
    entries: int
    is_late: bool
    is_undone: bool
    is_undo: bool

    @property
    def state(self) -> str:
        """In words what is special about it."""
        states = (tr("taken back"), self.is_undone), (tr("entered late"), self.is_late)
        return ", ".join(word for word, holds in states if holds)


@dataclass(frozen=True)
class DayBookPage:
    """Acts, newest first; `older` is the number to ask on from, None on the last page."""

    lines: tuple[DayBookLine, ...]
    older: int | None


def day_book(
    reading: Reading,
    *,
    before: int | None = None,
    station: str | None = None,
    limit: int = PAGE,
    now: str | None = None,
) -> DayBookPage:
    """The newest acts, or those before a day book number; of one station when it is named."""
    terms = read_terms(reading, now)
    heads = latest_acts(reading, limit=limit, before=before, station=station)
    people = {one.id: one.name for one in reading.all(Person)}
    told: dict[str, list[Told]] = {}
    for one in tell_heaps(reading, heaps_of_acts(reading, [head.act for head in heads]), terms):
        told.setdefault(one.heap.act, []).append(one)
    undone = undone_among(reading, (head.first_number for head in heads if head.is_undone))
    lines = tuple(
        DayBookLine(
            act=head.act,
            number=head.first_number,
            happened_at=head.happened_at,
            written_at=head.written_at,
            who=people.get(head.person or 0, ""),
            station=head.station,
            sentence=sentence_for(told.get(head.act, [])),
            entries=head.entries,
            is_late=head.happened_at < head.written_at,
            is_undone=head.first_number in undone,
            is_undo=head.is_undo,
        )
        for head in heads
    )
    return DayBookPage(lines, lines[-1].number if len(lines) == limit else None)


def day_book_table(page: DayBookPage) -> Table:
    """The acts of a page as a table."""
    columns = (
        Column("number", tr("No."), "integer"),
        Column("happened_at", tr("When"), "instant"),
        Column("who", tr("Who")),
        Column("station", tr("Station")),
        Column("sentence", tr("What")),
        Column("state", tr("State")),
        Column("written_at", tr("Written"), "instant"),
    )
    rows = [
        (
            one.number,
            one.happened_at,
            one.who,
            one.station,
            one.sentence,
            one.state,
            one.written_at if one.is_late else None,
        )
        for one in page.lines
    ]
    return Table("day_book", tr("Day book"), columns, rows)
