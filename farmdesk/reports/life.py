"""A thing's life: what was done to it, who did it and when, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from farmdesk.domain.catalogue import Person
from farmdesk.domain.codes import DIGITS, code_of, kind_of
from farmdesk.errors import NotFound, problem
from farmdesk.paper.tables import Column, Table
from farmdesk.reports.farm_terms import read_terms
from farmdesk.reports.happenings import Told, sentence_for, tell_heaps
from farmdesk.store.life import (
    Heap,
    heaps_about,
    heaps_about_bags,
    heaps_beside,
    heaps_into,
    names_of_things,
    undone_among,
)
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

MOST = 500
_MOST_CHILDREN = 400
"""Of a thing that went into more than this, only its own entries are told."""
_TOLD_BY_LINKS = "bag_picked"
"""A bag's link to its pick says the same, and names the pick."""


@dataclass(frozen=True)
class LifeLine:
    """One happening; a late one happened before it was written down."""

    number: int
    happened_at: str
    written_at: str
    who: str
    station: str
    sentence: str
    is_late: bool
    is_undone: bool

    @property
    def state(self) -> str:
        """In words what is special about it."""
        states = (tr("taken back"), self.is_undone), (tr("entered late"), self.is_late)
        return ", ".join(word for word, holds in states if holds)


@dataclass(frozen=True)
class Life:
    """A thing and its happenings, the earliest first."""

    id: int
    kind: str
    code: str
    name: str
    lines: tuple[LifeLine, ...]


def life_of(
    reading: Reading, thing: int, *, kind: str | None = None, now: str | None = None
) -> Life:
    """The life of a scannable thing, or of another `kind` (order, room ...) with this id.

    Raises NotFound when the day book has nothing about it.
    """
    terms = read_terms(reading, now)
    what = kind or kind_of(thing)
    heaps = {
        heap.first: heap
        for heap in _heaps(reading, what, thing)
        if not (what == "bag" and heap.kind == _TOLD_BY_LINKS)
    }
    if not heaps:
        raise NotFound(problem("not_found", kind=what, id=thing))
    told = tell_heaps(reading, list(heaps.values()), terms)
    people = {one.id: one.name for one in reading.all(Person)}
    undone = undone_among(reading, heaps)
    lines = [
        _line(one, people.get(one.entry.person or 0, ""), one.entry.number in undone)
        for one in told
    ]
    names = names_of_things(reading, [(what, thing)])
    return Life(
        id=thing,
        kind=what,
        code=code_of(thing) if what in DIGITS else "",
        name=names.get((what, thing), ""),
        lines=tuple(sorted(lines, key=lambda line: (line.happened_at, line.number))),
    )


def life_table(life: Life) -> Table:
    """A life as a table."""
    columns = (
        Column("happened_at", tr("When"), "instant"),
        Column("who", tr("Who")),
        Column("station", tr("Station")),
        Column("sentence", tr("What")),
        Column("state", tr("State")),
    )
    rows = [(one.happened_at, one.who, one.station, one.sentence, one.state) for one in life.lines]
    return Table("life", tr("Life of {value}").format(value=life.name or life.code), columns, rows)


def _heaps(reading: Reading, kind: str, thing: int) -> Iterator[Heap]:
    yield from heaps_about(reading, kind, thing, MOST)
    if kind == "batch":
        yield from heaps_about_bags(reading, thing)
    if kind in DIGITS or kind == "delivery":
        yield from heaps_beside(reading, thing)
        yield from heaps_into(reading, thing, _MOST_CHILDREN)


def _line(told: Told, who: str, is_undone: bool) -> LifeLine:
    entry = told.entry
    return LifeLine(
        number=entry.number,
        happened_at=entry.happened_at,
        written_at=entry.written_at,
        who=who,
        station=entry.station,
        sentence=sentence_for([told]),
        is_late=told.is_late,
        is_undone=is_undone,
    )
