"""Rooms as shelves: counts, ages, empty shelves, and rooms too full."""

from __future__ import annotations

from harvest_farm import NOW, begin_harvest_farm

from farmdesk.actions.base import perform
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Room
from farmdesk.reports.room_plan import shelves_table


def test_bags_stand_on_their_shelves_with_their_age(store):
    harvest = begin_harvest_farm(store)

    def house(act):
        room = act.make(
            "room_made", Room(act.next_id("room"), "Loft", "incubation", 4, shelves="A1 A2 B1")
        )
        bags = act.tx.all(Bag, batch=harvest.batches["OY"])
        for bag in bags[:3]:
            act.change("bag_moved", bag, room=room.id, shelf="A1")
        act.change("bag_moved", bags[3], room=room.id)
        act.change("bag_moved", bags[4], room=room.id, shelf="old")
        act.change("bag_discarded", bags[5], room=room.id, shelf="A2", stage="discarded")

    perform(store, house, now=NOW)
    with store.reading() as reading:
        table = shelves_table(reading, now=NOW)
    loft = [row for row in table.rows if row[0] == "Loft"]
    # Inoculated on 2026-01-05, seen on 2026-03-02: 56 days; five bags for four places.
    assert [(row[1], row[2], row[5], row[6]) for row in loft] == [
        ("A1", "OY01-0001", 3, 56),
        ("A2", "empty", 0, None),
        ("B1", "empty", 0, None),
        ("old", "OY01-0001", 1, 56),
        ("shelf not told", "OY01-0001", 1, 56),
    ]
    assert {row[8] for row in loft} == {125}
    assert "Loft holds 5 bags and has places for 4" in table.notes[0]
    unknown = [row for row in table.rows if row[0] == "room not told"]
    assert sum(row[5] for row in unknown) == 6
    assert table.totals[5] == 11
