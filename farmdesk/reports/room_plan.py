"""The rooms as shelves: which batches stand where, how old they are, and how full it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from farmdesk.domain.catalogue import Room
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.room_shelves import shelf_rows
from farmdesk.store.room_plan import Standing, bags_by_shelf
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_state


def shelves_table(reading: Reading, *, now: str | None = None, species: int | None = None) -> Table:
    """Every room with its shelves in order, and on each its batches, the oldest first.

    A shelf that stands empty has a row of its own, so that free room is seen.
    """
    terms = read_terms(reading, now)
    rooms = {one.id: one for one in reading.all(Room)}
    standing = [one for one in bags_by_shelf(reading) if species in (None, one.species)]
    taken: dict[int, int] = {}
    for one in standing:
        taken[one.room or 0] = taken.get(one.room or 0, 0) + one.bags
    columns = (
        Column("room", tr("Room")),
        Column("shelf", tr("Shelf")),
        Column("batch", tr("Batch")),
        Column("species", tr("Species")),
        Column("stage", tr("Stage")),
        Column("bags", tr("Bags"), "integer"),
        Column("age", tr("Age, days"), "integer"),
        Column("places", tr("Places in the room"), "integer"),
        Column("full", tr("Room taken"), "percent"),
    )
    rows = list(_rows(rooms, standing, taken, terms))
    total = sum(one.bags for one in standing)
    return Table(
        "shelves", tr("What stands where"), columns, rows, list(_notes(rooms, taken)),
        totals=(tr("All"), "", "", "", "", total, None, None, None) if rows else None,
        charts=(_chart(rooms, taken),) if taken else (),
    )  # fmt: skip


def _rows(
    rooms: Mapping[int, Room], standing: list[Standing], taken: Mapping[int, int], terms: FarmTerms
) -> Iterator[tuple[object, ...]]:
    for room in sorted(rooms.values(), key=lambda one: (one.use, one.name.casefold())):
        full = None
        if room.capacity:
            full = round(100 * taken.get(room.id, 0) / room.capacity)
        places = (room.capacity or None, full)
        for shelf, here in shelf_rows(room, standing):
            for one in here:
                age = age_days(one.inoculated_on, terms.today)
                facts = (one.name, terms.species_name(one.species), say_state(one.stage))
                shown = shelf or tr("shelf not told")
                yield (room.name, shown, *facts, one.bags, age, *places)
            if not here:
                yield (room.name, shelf, tr("empty"), "", "", 0, None, *places)
    for one in standing:
        if one.room is None:
            age = age_days(one.inoculated_on, terms.today)
            facts = (one.name, terms.species_name(one.species), say_state(one.stage))
            yield (tr("room not told"), "", *facts, one.bags, age, None, None)


def _notes(rooms: Mapping[int, Room], taken: Mapping[int, int]) -> Iterator[str]:
    for room in rooms.values():
        count = taken.get(room.id, 0)
        if room.capacity and count > room.capacity:
            yield tr("▲ {room} holds {count} bags and has places for {places}.").format(
                room=room.name, count=count, places=room.capacity
            )
    if not any(room.shelves for room in rooms.values()):
        yield tr(
            "No shelves are named yet: name them at the room in the catalogue (Ctrl+9), and print"
            " their cards; bags are put on a shelf by scanning its card."
        )


def _chart(rooms: Mapping[int, Room], taken: Mapping[int, int]) -> Chart:
    shown = [one for one in rooms.values() if one.capacity or taken.get(one.id)]
    pairs = [(taken.get(one.id, 0), one.capacity) for one in shown]
    return Chart(
        "stacked",
        tr("Bags and places by room"),
        [one.name for one in shown],
        [
            Series(tr("Taken"), [float(min(bags, places or bags)) for bags, places in pairs]),
            Series(tr("Free"), [float(max(0, places - bags)) for bags, places in pairs]),
            Series(
                tr("Too many"),
                [float(max(0, bags - places)) if places else 0.0 for bags, places in pairs],
            ),
        ],
        unit=tr("bags"),
    )
