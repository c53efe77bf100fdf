"""Readings typed and read in: kept once, summed up, undone; wrong ones refused with a sentence."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest
from begun_farm import BegunFarm

from farmdesk.actions.base import perform
from farmdesk.actions.climate import (
    change_reading,
    import_readings,
    note_reading,
    remove_readings,
)
from farmdesk.actions.undo import undo_act
from farmdesk.arithmetic.packed_readings import Readings, make_readings
from farmdesk.domain.catalogue import Room
from farmdesk.domain.climate import ClimateDay, RoomReading
from farmdesk.errors import Refused
from farmdesk.store.audit import compare_with_daybook
from farmdesk.store.climate import last_read, read_room

DAY = 1_793_404_800  # 2026-10-31T00:00:00Z


def readings(count: int, *, start: int = DAY, celsius: float = 16.0) -> Readings:
    return make_readings((start + 300 * at, celsius, 90.0, 900.0) for at in range(count))


def room_of(farm: BegunFarm) -> Room:
    with farm.store.reading() as reading:
        return next(one for one in reading.all(Room) if one.use == "fruiting")


def take_in(farm: BegunFarm, room: int, what: Readings, logger: str = "Shelf"):
    return perform(
        farm.store, lambda act: import_readings(act, room=room, logger=logger, readings=what)
    )


def test_the_same_file_twice_adds_nothing(farm: BegunFarm) -> None:
    room = room_of(farm).id
    first = take_in(farm, room, readings(400))
    assert first.result is not None
    assert (first.result.added, first.result.days) == (400, 2)
    again = take_in(farm, room, readings(400))
    assert again.result is not None
    assert again.result.added == 0
    assert again.entries == ()


def test_a_longer_file_adds_what_is_new_and_keeps_what_came_first(farm: BegunFarm) -> None:
    room = room_of(farm).id
    take_in(farm, room, readings(100))
    more = take_in(farm, room, readings(150, celsius=30.0)).result
    assert more is not None
    assert (more.added, more.known, more.differing) == (50, 100, 100)
    with farm.store.reading() as reading:
        whole = read_room(reading, room, "2026-10-30T00:00:00Z", "2026-11-02T00:00:00Z")
        day = reading.first(ClimateDay, room=room)
    assert list(np.unique(whole.celsius)) == [16.0, 30.0]
    assert float(whole.celsius[99]) == 16.0
    assert len(whole) == 150
    assert day is not None
    assert day.readings == 150
    assert day.celsius_mean == Decimal("20.67")  # (100 x 16 + 50 x 30) / 150


def test_taking_in_is_undone_whole_and_the_day_book_folds(farm: BegunFarm) -> None:
    room = room_of(farm).id
    take_in(farm, room, readings(10))
    done = take_in(farm, room, readings(600))
    perform(farm.store, lambda act: undo_act(act, done.act))
    with farm.store.reading() as reading:
        assert len(read_room(reading, room, "2026-10-30T00:00:00Z", "2026-11-05T00:00:00Z")) == 10
        assert last_read(reading, room) == "2026-10-31T00:45:00Z"
        assert list(compare_with_daybook(reading, lambda *_: None)) == []


def test_two_loggers_in_one_room_stand_beside_each_other(farm: BegunFarm) -> None:
    room = room_of(farm).id
    take_in(farm, room, readings(10), "Top")
    take_in(farm, room, readings(10, celsius=18.0), "Bottom")
    with farm.store.reading() as reading:
        whole = read_room(reading, room, "2026-10-30T00:00:00Z", "2026-11-05T00:00:00Z")
    assert len(whole) == 20
    assert float(whole.celsius.mean()) == 17.0


def test_a_cancelled_file_leaves_nothing(farm: BegunFarm) -> None:
    room = room_of(farm).id
    with pytest.raises(Refused) as refused:
        perform(
            farm.store,
            lambda act: import_readings(
                act, room=room, logger="Top", readings=readings(900), is_cancelled=lambda: True
            ),
        )
    assert refused.value.problems[0].code == "logger_import_stopped"
    with farm.store.reading() as reading:
        assert reading.all(ClimateDay) == []


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({}, "reading_empty"),
        ({"celsius": Decimal(85)}, "reading_temperature_wrong"),
        ({"humidity": Decimal(101)}, "reading_humidity_wrong"),
        ({"humidity": Decimal(0)}, "reading_humidity_wrong"),
        ({"co2": 65_535}, "reading_co2_wrong"),
        ({"co2": 800, "at": "2999-01-01T00:00:00Z"}, "reading_in_future"),
    ],
)
def test_what_cannot_be_read_in_a_room_is_refused(farm: BegunFarm, fields, code) -> None:
    room = room_of(farm).id
    with pytest.raises(Refused) as refused:
        perform(farm.store, lambda act: note_reading(act, room=room, **fields))
    assert [one.code for one in refused.value.problems] == [code]


def test_a_typed_reading_is_corrected_and_taken_away(farm: BegunFarm) -> None:
    room = room_of(farm).id
    made = perform(
        farm.store,
        lambda act: note_reading(
            act, room=room, celsius=Decimal("18.33"), humidity=Decimal(88), typed="65 F, 88 %"
        ),
    ).result
    assert made is not None
    perform(farm.store, lambda act: change_reading(act, made.id, humidity=Decimal(91)))
    with farm.store.reading() as reading:
        kept = reading.get(RoomReading, made.id)
        assert kept is not None
        assert kept.humidity == Decimal(91)
        assert kept.typed == "65 F, 88 %"
    perform(farm.store, lambda act: remove_readings(act, [made.id]))
    with farm.store.reading() as reading:
        assert reading.all(RoomReading) == []
