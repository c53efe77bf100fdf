"""Rooms drawn: what stands on each shelf, what is late, and the weeks against the places."""

from __future__ import annotations

from datetime import date

import pytest
from harvest_farm import NOW, begin_harvest_farm

from farmdesk.actions.base import perform
from farmdesk.arithmetic.occupancy import RoomDay, RoomUse
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Room
from farmdesk.paper.pages import Shape, TextRun
from farmdesk.reports.plan_fit import RoomFit, read_fit
from farmdesk.reports.room_pages import lay_out_rooms
from farmdesk.reports.room_picture import Place, draw_room
from farmdesk.reports.room_shelves import RoomShelves, read_shelves, weeks_of
from farmdesk.store.room_plan import bags_in_place
from farmdesk.wording.formats import Formats

FORMATS = Formats(locale="en_GB", mass_unit="kg", temperature_unit="C", paper="a4")


def house(store) -> RoomShelves:
    harvest = begin_harvest_farm(store)

    def put(act):
        room = act.make(
            "room_made", Room(act.next_id("room"), "Loft", "incubation", 9, shelves="A1 A2 B1")
        )
        bags = act.tx.all(Bag, batch=harvest.batches["OY"])
        for bag in bags[:3]:
            act.change("bag_moved", bag, room=room.id, shelf="A1", stage="incubating")
        act.change("bag_moved", bags[3], room=room.id, shelf="A1", stage="colonised")
        act.change("bag_moved", bags[4], room=room.id)

    perform(store, put, now=NOW)
    with store.reading() as reading:
        return next(one for one in read_shelves(reading, now=NOW) if one.room.name == "Loft")


def test_shelves_hold_what_stands_on_them(store):
    loft = house(store)
    # Inoculated on 2026-01-05, seen on 2026-03-02: 56 days, more than this farm's oyster takes.
    told = [
        (shelf.name, [(g.name, g.stage, g.bags, g.age, g.is_late) for g in shelf.groups])
        for shelf in loft.shelves
    ]
    assert told[0] == (
        "A1",
        [("OY01-0001", "colonised", 1, 56, False), ("OY01-0001", "incubating", 3, 56, True)],
    )
    assert told[1:3] == [("A2", []), ("B1", [])]
    assert [name for name, _ in told] == ["A1", "A2", "B1", ""]
    assert [shelf.places for shelf in loft.shelves] == [3, 3, 3, 0]
    assert [shelf.free for shelf in loft.shelves] == [0, 3, 3, 0]
    assert loft.bags == 5


def test_weeks_are_the_fullest_days_of_the_plan(store):
    loft = house(store)
    with store.reading() as reading:
        fit = next(one for one in read_fit(reading, now=NOW).rooms if one.room.id == loft.room.id)
    # ISO 8601 weeks as Python's own calendar has them.
    peaks: dict[str, int] = {}
    for day in fit.use.days:
        year, week, _ = date.fromisoformat(day.day).isocalendar()
        key = f"{year:04d}-W{week:02d}"
        peaks[key] = max(peaks.get(key, 0), day.taken)
    assert {one.week: one.taken for one in loft.weeks} == peaks
    assert loft.weeks[0].taken == loft.weeks[0].standing == 5


def test_what_stands_is_told_of_the_day_that_is_told():
    def use(*taken: int) -> RoomUse:
        days = tuple(
            RoomDay(f"2026-03-0{at}", bags, max(0, bags - 9)) for at, bags in enumerate(taken, 2)
        )
        return RoomUse(days, 9, max(taken), days[0].day, sum(taken) / len(taken))

    # Of eight bags that stand on Monday two are left on Wednesday, when nine more come.
    fit = RoomFit(Room(1, "Loft", "incubation", 9), use(8, 8, 11), use(8, 8, 2))
    (week,) = weeks_of(fit)
    assert (week.day, week.taken, week.standing) == ("2026-03-04", 11, 2)


@pytest.mark.parametrize(
    ("named", "places"),
    [("A1", {"A1": 9, "old": 0, "": 0}), ("", {"A1": 0, "old": 0, "": 0})],
)
def test_a_shelf_that_the_room_does_not_name_has_no_places_of_it(store, named, places):
    harvest = begin_harvest_farm(store)

    def put(act):
        room = act.make(
            "room_made", Room(act.next_id("room"), "Loft", "incubation", 9, shelves=named)
        )
        bags = act.tx.all(Bag, batch=harvest.batches["OY"])
        for bag, shelf in zip(bags, ("A1", "old", ""), strict=False):
            act.change("bag_moved", bag, room=room.id, shelf=shelf)

    perform(store, put, now=NOW)
    with store.reading() as reading:
        loft = next(one for one in read_shelves(reading, now=NOW) if one.room.name == "Loft")
    assert {shelf.name: shelf.places for shelf in loft.shelves} == places


@pytest.mark.parametrize("width", [96.0, 170.0, 330.0])
def test_everything_is_inside_the_picture_and_said(store, width):
    loft = house(store)
    picture = draw_room(loft, FORMATS, width_mm=width)
    for mark in picture.marks:
        points = mark.points if isinstance(mark, Shape) else ((mark.x_mm, mark.y_mm),)
        assert all(-0.1 <= x <= width + 0.1 for x, _ in points), mark
        assert all(-0.1 <= y <= picture.height_mm + 0.1 for _, y in points), mark
    places = [one.target for one in picture.spots if one.target is not None]
    assert [(one.shelf, one.stage) for one in places] == [
        ("A1", "colonised"), ("A1", "incubating"), ("", places[2].stage)
    ]  # fmt: skip
    assert isinstance(places[0], Place)
    words = [one.words for one in picture.spots]
    assert "Loft, shelf A1: OY01-0001, " in words[1]
    assert "3 bags incubating, 56 days old." in words[1]
    assert "1 bag colonised" in words[0]
    assert words[1].endswith("Longer than usual: look at it.")
    assert "Loft, shelf A2: empty, room for about 3 bags." in words
    assert sum("in week 2026-W" in one for one in words) == len(loft.weeks)
    assert picture.words.startswith("Loft: 5 bags on 9 places, 56 % full.")


def test_boxes_are_as_long_as_there_are_bags(store):
    picture = draw_room(house(store), FORMATS, width_mm=330.0)
    on_a1 = [one for one in picture.spots if one.target is not None and one.target.shelf == "A1"]
    wide = {one.target.stage: one.width_mm for one in on_a1}
    assert wide["incubating"] == pytest.approx(3 * wide["colonised"])


def test_a_room_too_full_says_so_by_word_and_sign(store):
    loft = house(store)
    full = RoomShelves(Room(loft.room.id, "Loft", "incubation", 4), loft.shelves, loft.weeks)
    picture = draw_room(full, FORMATS, width_mm=330.0)
    assert picture.words.startswith("Loft: ▲ 5 bags on 4 places, 1 too many.")
    assert any("too many; of what stands" in one.words for one in picture.spots)
    heads = [mark.text for mark in picture.marks if isinstance(mark, TextRun)]
    assert any("▲ 5 bags" in one for one in heads)


def test_the_bags_of_a_place_are_found(store):
    loft = house(store)
    with store.reading() as reading:
        found = bags_in_place(
            reading, room=loft.room.id, shelf="A1", batch=loft.shelves[0].groups[0].batch,
            stage="incubating",
        )  # fmt: skip
        bags = [reading.get(Bag, one) for one in found]
    assert [(one.shelf, one.stage) for one in bags] == [("A1", "incubating")] * 3


def test_on_paper_each_room_is_whole(store):
    loft = house(store)
    many = tuple(
        RoomShelves(Room(at, f"Room {at}", "incubation", 9), loft.shelves, loft.weeks)
        for at in range(1, 9)
    )
    pages = lay_out_rooms(many, FORMATS, "A4")
    assert len(pages) > 1
    texts = [" ".join(m.text for m in page.marks if isinstance(m, TextRun)) for page in pages]
    for at in range(1, 9):
        assert sum(f"Room {at}:" in one for one in texts) == 1
    for page in pages:
        for mark in page.marks:
            points = mark.points if isinstance(mark, Shape) else ((mark.x_mm, mark.y_mm),)
            assert all(0 < x < page.width_mm and 0 < y < page.height_mm for x, y in points)
