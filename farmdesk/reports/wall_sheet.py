"""The sheet for the wall by the door: the work of the day and the week, room by room."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from farmdesk.domain.catalogue import Room
from farmdesk.domain.codes import kind_of, read_code
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.stages import COLONISED, FRUITING, INCUBATING, RESTING
from farmdesk.errors import NotUnderstood
from farmdesk.paper.documents import PageSize
from farmdesk.paper.pages import Page
from farmdesk.paper.wall_pages import WallLine, WallPart, WallPlace, WallSheet, lay_out_wall
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.farm_terms import read_terms
from farmdesk.reports.rest_of_week import list_rest_of_week
from farmdesk.reports.today import read_days_work, say_put_off
from farmdesk.reports.today_rows import NOTICED, TodayRow
from farmdesk.store.lists import batch_places
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import later, tr

_USES = ("lab", "incubation", "fruiting", "cold store")
"""Rooms in the order in which one walks: from the cleanest work to the spores, then the cold."""
_NAMES: Mapping[str, str] = {
    "lab": later("Lab"),
    "incubation": later("Incubation"),
    "fruiting": later("Fruiting"),
    "cold store": later("Cold store"),
    "packing": later("Packing and delivery"),
    "farm": later("All over the farm"),
    "office": later("Office"),
}
"""Places that are no room, after the rooms; and rooms where it is not told which of a use."""
_ORDER = tuple(_NAMES)
_USE_OF_SECTION: Mapping[str, str] = {
    "Late": "packing",
    "Ship": "packing",
    "Weigh": "packing",
    "Pick": "fruiting",
    "Open": "incubation",
    "Look at": "incubation",
    "Sell first": "cold store",
    "Spawn": "lab",
    "Plan": "lab",
}
_USE_OF_PAGE: Mapping[str, str] = {
    "incubation": "incubation",
    "cold_store": "cold store",
    "lab": "lab",
    "rooms": "farm",
    "sums": "farm",
}
_GROWING, _CROPPING = (INCUBATING, COLONISED), (FRUITING, RESTING)


def wall_sheet(reading: Reading, *, now: str | None = None) -> WallSheet:
    """The sheet of this day; what was put off is counted, and nothing more."""
    terms = read_terms(reading, now)
    work = read_days_work(reading, now=terms.now)
    farm = _Places(reading)
    week = IsoWeek.of(terms.today)
    notes = [
        tr("Days on which bags are likely ready, and shelf dates, are estimates: look and decide.")
    ]
    waiting = [row for row in work.waiting if _is_for_all(row)]
    if len(waiting) < len(work.waiting):
        notes.append(tr("What customers owe is not on this sheet: see Today on the screen."))
    if work.put_off:
        told = say_put_off(len(work.put_off))
        notes.append(tr("{put_off}: not on this sheet.").format(put_off=told))
    return WallSheet(
        title=terms.formats.long_day(terms.today),
        week=tr("Week {week}").format(week=week.week),
        parts=(
            WallPart(tr("Today"), farm.share(waiting), tr("Nothing waits today.")),
            WallPart(
                tr("Later this week"),
                farm.share(list_rest_of_week(reading, now=terms.now)),
                tr("Nothing more is known to come this week."),
            ),
        ),
        notes=notes,
        foot=tr("{farm} · printed {instant}").format(
            farm=terms.farm.name, instant=terms.formats.instant(terms.now)
        ),
    )


def wall_pages(reading: Reading, page: PageSize, *, now: str | None = None) -> tuple[Page, ...]:
    """The pages of the sheet of this day."""
    return lay_out_wall(wall_sheet(reading, now=now), page=page)


@dataclass(frozen=True)
class _Place:
    """Where a line is done; sorts in the order of the walk."""

    rank: int
    room: int
    title: str


class _Places:
    """Knows the rooms of the farm, and in which of them each line is done."""

    def __init__(self, reading: Reading) -> None:
        self._reading = reading
        self._rooms = {one.id: one for one in reading.all(Room)}
        self._of_batch: dict[tuple[int, bool], list[int]] = {}
        for one in batch_places(reading):
            key = (one.batch, one.stage in _GROWING)
            self._of_batch.setdefault(key, []).append(one.room)

    def share(self, rows: Iterable[TodayRow]) -> Sequence[WallPlace]:
        """The rows as lines under the places where they are done, in the order of the walk."""
        found: dict[_Place, list[WallLine]] = {}
        for row in rows:
            places = self._places_of(row)
            found.setdefault(places[0], []).append(_line(row, places[1:]))
        order = sorted(found, key=lambda place: (place.rank, place.title.casefold(), place.room))
        return [WallPlace(place.title, found[place]) for place in order]

    def _places_of(self, row: TodayRow) -> list[_Place]:
        """The places of a row, the first of the walk first; one at least."""
        rooms = {self._place(one) for one in self._rooms_of(row)}
        if rooms:
            return sorted(rooms, key=lambda place: (place.rank, place.title.casefold()))
        use = _USE_OF_SECTION.get(row.section) or _USE_OF_PAGE.get(row.place, "office")
        fitting = [one.id for one in self._rooms.values() if one.use == use and not one.retired]
        if len(fitting) == 1:  # with several nobody knows which it is
            return [self._place(fitting[0])]
        return [_Place(_ORDER.index(use), 0, tr(_NAMES[use]))]

    def _rooms_of(self, row: TodayRow) -> Sequence[int]:
        """The rooms in which the thing of a row stands; none where that is not told."""
        if row.section == NOTICED and row.place == "rooms":
            return [one.id for one in self._rooms.values() if one.name == row.name]
        try:
            thing = read_code(row.subject)
        except NotUnderstood:
            return []
        kind = kind_of(thing)
        if kind == "batch":
            return self._of_batch.get((thing, row.section != "Pick"), [])
        lot = self._lot(kind, thing)
        return [lot.room] if lot is not None and lot.room is not None else []

    def _lot(self, kind: str, thing: int) -> Pick | Pack | None:
        if kind == "pick":
            return self._reading.get(Pick, thing)
        return self._reading.get(Pack, thing) if kind == "pack" else None

    def _place(self, room: int) -> _Place:
        known = self._rooms[room]
        rank = _USES.index(known.use) if known.use in _USES else len(_USES)
        return _Place(rank, room, known.name)


def _is_for_all(row: TodayRow) -> bool:
    """Whoever comes through the door reads the wall: who owes what is nobody's business there."""
    return not (row.section == NOTICED and row.place == "sales")


def _line(row: TodayRow, others: Sequence[_Place]) -> WallLine:
    """A row in few words; the rooms where the rest of it stands are told too."""
    why = row.reason
    if others:
        rooms = ", ".join(one.title for one in others)
        why = tr("{reason}; also in {rooms}").format(reason=why, rooms=rooms)
    name = tr("{do}: {name}").format(do=tr(row.section), name=row.name)
    return WallLine(name, row.what, why)
