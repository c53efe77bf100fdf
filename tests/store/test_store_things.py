"""Things go in and come out, whole or not at all, on both databases."""

from __future__ import annotations

import sqlite3
from decimal import Decimal

import pytest
from small_farm import begin_small

from farmdesk.actions.base import Act, Who, perform
from farmdesk.actions.undo import redo_last, undo_act, undo_last
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Room, Species
from farmdesk.errors import NotFound, Refused, StoreUnavailable, problem
from farmdesk.reports.check import check_farm
from farmdesk.store.farm_store import FarmStore, open_farm


def move(act: Act, bag_id: int, room: int) -> Bag:
    return act.change("bag_moved", act.need(Bag, bag_id), room=room, room_since=act.now)


def test_things_come_back_as_they_went_in(store: FarmStore) -> None:
    farm = begin_small(store, bags=3)
    with store.reading() as reading:
        assert reading.get(Bag, farm.bags[0]).number == 1
        assert reading.first(Species).spawn_percent == Decimal("5")
        assert [bag.id for bag in reading.all(Bag, stage="incubating")] == farm.bags


def test_a_refused_act_changes_nothing(store: FarmStore) -> None:
    farm = begin_small(store)

    def half(act: Act) -> None:
        move(act, farm.bags[0], farm.rooms[1])
        raise Refused(problem("not_found", kind="room", id=9))

    with pytest.raises(Refused):
        perform(store, half)
    with store.reading() as reading:
        assert reading.get(Bag, farm.bags[0]).room == farm.rooms[0]
    assert check_farm(store).is_clean


def test_an_act_sent_twice_counts_once(store: FarmStore) -> None:
    farm = begin_small(store)
    first = perform(store, lambda act: move(act, farm.bags[0], farm.rooms[1]), act="scan-1")
    again = perform(store, lambda act: move(act, farm.bags[0], farm.rooms[0]), act="scan-1")
    assert not first.repeated
    assert again.repeated
    assert again.entries == first.entries
    with store.reading() as reading:
        assert reading.get(Bag, farm.bags[0]).room == farm.rooms[1]


def test_a_repeat_is_known_even_when_it_would_be_refused_now(store: FarmStore) -> None:
    farm = begin_small(store)

    def once(act: Act) -> None:
        bag = act.need(Bag, farm.bags[0])
        if bag.room == farm.rooms[1]:
            raise Refused(problem("not_found"))
        move(act, farm.bags[0], farm.rooms[1])

    perform(store, once, act="scan-1")
    assert perform(store, once, act="scan-1").repeated


def test_undo_and_redo_walk_back_and_forth(store: FarmStore) -> None:
    farm = begin_small(store)
    who = Who(station="bench")

    def room() -> int | None:
        with store.reading() as reading:
            bag = reading.get(Bag, farm.bags[0])
            return bag.room if bag else None

    perform(store, lambda act: move(act, farm.bags[0], farm.rooms[1]), who=who)
    perform(store, lambda act: undo_last(act, station="bench"), who=who)
    assert room() == farm.rooms[0]
    perform(store, lambda act: redo_last(act, station="bench"), who=who)
    assert room() == farm.rooms[1]
    perform(store, lambda act: undo_last(act, station="bench"), who=who)
    assert room() == farm.rooms[0]
    with pytest.raises(Refused, match="nothing_to_undo"):
        perform(store, lambda act: undo_last(act, station="bench"), who=who)
    assert check_farm(store).is_clean


def test_an_act_that_later_ones_build_on_is_not_taken_back(store: FarmStore) -> None:
    farm = begin_small(store)
    first = perform(store, lambda act: move(act, farm.bags[0], farm.rooms[1]))
    perform(store, lambda act: act.change("bag_moved", act.need(Bag, farm.bags[0]), room=None))
    with pytest.raises(Refused, match="undo_built_upon"):
        perform(store, lambda act: undo_act(act, first.act))


def test_ids_are_never_used_twice(store: FarmStore) -> None:
    begin_small(store)

    def make_room(act: Act) -> Room:
        return act.make("room_made", Room(act.next_id("room"), "Spare", "lab", 1))

    first = perform(store, make_room)
    perform(store, undo_last)
    second = perform(store, make_room)
    assert first.result is not None
    assert second.result is not None
    assert second.result.id > first.result.id


def test_the_future_is_refused_and_late_entries_keep_both_times(store: FarmStore) -> None:
    farm = begin_small(store)
    late = perform(
        store,
        lambda act: move(act, farm.bags[0], farm.rooms[1]),
        happened_at="2026-03-01T08:00:00Z",
        now="2026-03-03T20:00:00Z",
    )
    assert late.entries[0].happened_at < late.entries[0].written_at
    with pytest.raises(Refused, match="time_in_future"):
        perform(store, lambda _act: None, happened_at="2999-01-01T00:00:00Z")


def test_what_is_not_there_is_said(store: FarmStore) -> None:
    begin_small(store)
    with pytest.raises(NotFound, match="not_found"):
        perform(store, lambda act: act.need(Bag, 69999999))


def test_every_sqlite_connection_waits_for_the_disk(tmp_path) -> None:
    store = open_farm(tmp_path / "farm.sqlite", make=True)
    try:
        with store.reading() as reading:
            connection = reading.connection
            assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
            assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
            assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
        with store.writing() as writing:
            assert writing.connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
    finally:
        store.close()


@pytest.mark.parametrize(
    ("content", "code"),
    [(b"", "farm_not_database"), (b"Dear diary, " * 50, "farm_not_database")],
)
def test_a_file_that_is_no_farm_is_said(tmp_path, content: bytes, code: str) -> None:
    path = tmp_path / "farm.sqlite"
    path.write_bytes(content)
    with pytest.raises(StoreUnavailable, match=code):
        open_farm(path)
    assert path.read_bytes() == content


def test_a_missing_farm_is_said_and_not_made(tmp_path) -> None:
    with pytest.raises(StoreUnavailable, match="farm_missing"):
        open_farm(tmp_path / "no.sqlite")
    assert not (tmp_path / "no.sqlite").exists()


def test_a_folder_is_no_farm(tmp_path) -> None:
    with pytest.raises(StoreUnavailable, match="farm_is_folder"):
        open_farm(tmp_path)


def test_a_database_of_another_program_is_left_alone(tmp_path) -> None:
    path = tmp_path / "other.sqlite"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE t (x)")
    other.close()
    with pytest.raises(StoreUnavailable, match="farm_not_ours"):
        open_farm(path)


def test_a_newer_farm_is_left_alone(tmp_path) -> None:
    path = tmp_path / "farm.sqlite"
    open_farm(path, make=True).close()
    with sqlite3.connect(path) as newer:
        newer.execute("UPDATE alembic_version SET version_num = '9999'")
    newer.close()
    with pytest.raises(StoreUnavailable, match="farm_newer"):
        open_farm(path)


def test_a_farm_held_by_another_program_is_said(tmp_path) -> None:
    store = open_farm(tmp_path / "farm.sqlite", make=True)
    farm = begin_small(store)
    holder = sqlite3.connect(tmp_path / "farm.sqlite", isolation_level=None)
    try:
        holder.execute("BEGIN IMMEDIATE")
        store._writer.connection.driver_connection.execute("PRAGMA busy_timeout=50")
        with pytest.raises(StoreUnavailable, match="farm_in_use"):
            perform(store, lambda act: move(act, farm.bags[0], farm.rooms[1]))
        holder.execute("ROLLBACK")
        perform(store, lambda act: move(act, farm.bags[0], farm.rooms[1]))
    finally:
        holder.close()
        store.close()
