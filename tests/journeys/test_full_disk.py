"""A full disk: what was confirmed stays, nothing half-written is left, and it is said."""

from __future__ import annotations

import errno
import os
import sqlite3
from pathlib import Path

import pytest
from small_farm import SmallFarm, begin_small

from farmdesk.actions.base import perform
from farmdesk.actions.exchange import export_farm
from farmdesk.actions.labelling import print_labels
from farmdesk.actions.scanning import Bench
from farmdesk.domain.bags import Bag
from farmdesk.domain.codes import code_of
from farmdesk.domain.stations import Card
from farmdesk.errors import NotWritten
from farmdesk.reports.check import check_farm
from farmdesk.store.backup import backup_farm
from farmdesk.store.farm_store import FarmStore, open_farm
from farmdesk.store.faults import world_fault

BAGS = 400


@pytest.fixture
def farm(tmp_path: Path):
    store = open_farm(tmp_path / "farm.sqlite", make=True)
    yield store, begin_small(store, bags=BAGS)
    store.close()


def test_a_disk_that_fills_up_while_scanning_loses_no_answered_scan(farm) -> None:
    store: FarmStore = farm[0]
    made: SmallFarm = farm[1]
    card = perform(
        store, lambda act: act.make("card_made", Card(act.next_id("card"), "move", made.rooms[1]))
    ).result
    assert card is not None
    bench = Bench(store, station="door")
    bench.scan(code_of(card.id))
    with store.writing() as writing:
        pages = writing.connection.exec_driver_sql("PRAGMA page_count").scalar()
        writing.connection.exec_driver_sql(f"PRAGMA max_page_count={pages}")
    moved = []
    for bag in made.bags:
        answer = bench.scan(code_of(bag))
        if answer.outcome != "done":
            break
        moved.append(bag)
    assert answer.outcome == "refused"
    assert "is full" in answer.message
    with store.reading() as reading:
        there = {bag.id for bag in reading.all(Bag) if bag.room == made.rooms[1]}
    assert there == set(moved)
    assert check_farm(store).is_clean


def no_room(*_words: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_an_export_to_a_full_disk_leaves_nothing(farm, tmp_path, monkeypatch) -> None:
    monkeypatch.setattr(os, "fsync", no_room)
    with pytest.raises(NotWritten):
        export_farm(farm[0], tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_a_backup_to_a_full_disk_leaves_nothing_and_keeps_the_last(
    farm, tmp_path, monkeypatch
) -> None:
    target = tmp_path / "copy.sqlite"
    backup_farm(farm[0], target)
    kept = target.read_bytes()
    plain = sqlite3.connect

    def small(place, **more) -> sqlite3.Connection:
        connection = plain(place, **more)
        if str(place).endswith(".part"):
            connection.execute("PRAGMA max_page_count=3")
        return connection

    monkeypatch.setattr("farmdesk.store.backup.sqlite3.connect", small)
    with pytest.raises(NotWritten):
        backup_farm(farm[0], target)
    assert target.read_bytes() == kept
    assert not list(tmp_path.glob("copy.sqlite.*"))


@pytest.mark.parametrize(
    ("number", "free", "code"),
    [
        (sqlite3.SQLITE_IOERR, 0, "disk_full"),
        (sqlite3.SQLITE_IOERR, 10**9, "farm_disk_trouble"),
        (sqlite3.SQLITE_CANTOPEN, 0, "disk_full"),
        (sqlite3.SQLITE_CANTOPEN, 10**9, "farm_read_only"),
    ],
)
def test_a_log_that_cannot_be_made_is_told_apart(
    tmp_path, monkeypatch, number: int, free: int, code: str
) -> None:
    place = tmp_path / "farm.sqlite"
    place.touch()
    monkeypatch.setattr("shutil.disk_usage", lambda _path: _Disk(free))
    error = sqlite3.OperationalError("unable")
    error.sqlite_errorcode = number  # type: ignore[misc]
    found = world_fault(error, str(place))
    assert found is not None
    assert found.code == code


class _Disk:
    """How much room a disk has."""

    def __init__(self, free: int) -> None:
        self.free = free


def test_labels_on_a_full_disk_leave_no_file_and_no_record(farm, tmp_path, monkeypatch) -> None:
    with farm[0].reading() as reading:
        before = reading.last_number()
    monkeypatch.setattr(os, "fsync", no_room)
    with pytest.raises(NotWritten):
        print_labels(farm[0], ["OY01-0001-001"], stock="a4-3x8-margins", out=tmp_path / "l.pdf")
    assert [one.name for one in tmp_path.iterdir() if "farm.sqlite" not in one.name] == []
    with farm[0].reading() as reading:
        assert reading.last_number() == before
