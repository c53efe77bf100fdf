"""Scans: one act through the actions, against the same statements by plain sqlite3."""

from __future__ import annotations

import gc
import sqlite3
from pathlib import Path

from big_farm import BigFarm
from timing import Figure, interleave, median, percentile

from farmdesk.actions.base import perform
from farmdesk.actions.scanning import Bench
from farmdesk.domain.codes import code_of
from farmdesk.domain.events import new_act_id, write_cells
from farmdesk.domain.stations import Card
from farmdesk.store.farm_store import FarmStore, open_farm


class RawScan:
    """The floor: SELECT the bag, INSERT the entry, UPDATE the bag, COMMIT."""

    def __init__(
        self, path: Path, farm: BigFarm, *, full: bool = True, big_log: bool = True
    ) -> None:
        self.connection = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
        self.connection.execute("PRAGMA journal_mode=WAL")
        self.connection.execute(f"PRAGMA synchronous={'FULL' if full else 'OFF'}")
        self.connection.execute("PRAGMA foreign_keys=ON")
        if big_log:
            self.connection.execute("PRAGMA wal_autocheckpoint=10000")
        self.farm = farm
        self.turn = 0

    def __call__(self, turn: int) -> None:
        connection = self.connection
        bag = self.farm.bags[(turn * 7919) % len(self.farm.bags)]
        now = "2026-03-01T10:00:00Z"
        connection.execute("BEGIN IMMEDIATE")
        row = connection.execute("SELECT * FROM bag WHERE id = ?", (bag,)).fetchone()
        room = self.farm.rooms[0] if row[5] == self.farm.rooms[1] else self.farm.rooms[1]
        number = connection.execute("SELECT coalesce(max(number), 0) + 1 FROM daybook").fetchone()
        connection.execute(
            "INSERT INTO daybook VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (number[0], new_act_id(), 0, "bag_moved", "bag", bag, 0,
             write_cells({"room": row[5], "room_since": row[6]}),
             write_cells({"room": room, "room_since": now}), now, now, None, "b", None, ""),
        )  # fmt: skip
        connection.execute("UPDATE bag SET room = ?, room_since = ? WHERE id = ?", (room, now, bag))
        connection.execute("COMMIT")

    def close(self) -> None:
        """Close the connection."""
        self.connection.close()


class OurScan:
    """Ours: a bag's code through the bench with a room's card in force."""

    def __init__(self, path: Path, farm: BigFarm, *, full: bool = True) -> None:
        self.store = open_farm(path)
        self.farm = farm
        if not full:
            with self.store.writing() as writing:
                driver = writing.connection.connection.driver_connection
            driver.execute("PRAGMA synchronous=OFF")
        self.benches = [Bench(self.store, station=f"bench-{room}") for room in farm.rooms]
        for bench, room in zip(self.benches, farm.rooms, strict=True):
            answer = bench.scan(code_of(move_card(self.store, room)))
            assert answer.outcome in ("done", "already"), answer
        with sqlite3.connect(path) as plain:
            rows = plain.execute("SELECT id, room FROM bag").fetchall()
        plain.close()
        self.stood = {bag: farm.rooms.index(room) for bag, room in rows}

    def __call__(self, turn: int) -> None:
        bag = self.farm.bags[(turn * 7919) % len(self.farm.bags)]
        at = self.stood[bag]
        self.stood[bag] = 1 - at
        answer = self.benches[1 - at].scan(code_of(bag))
        if answer.outcome != "done":
            raise AssertionError(answer)

    def close(self) -> None:
        """Close the farm."""
        self.store.close()


def move_card(store: FarmStore, room: int) -> int:
    """The id of the card that moves bags to a room; made here when the farm has none."""
    with store.reading() as reading:
        found = reading.first(Card, act="move", room=room)
    if found is None:
        done = perform(
            store,
            lambda act: act.make(
                "card_made", Card(act.next_id("card"), "move", room, None, "Move")
            ),
        )
        assert done.result is not None
        return done.result.id
    return found.id


def measure_scan(farm: BigFarm, *, key: str, full: bool, rounds: int, block: int) -> Figure:
    """Median of one scan, ours and raw, in turn."""
    ours, raw = OurScan(farm.path, farm, full=full), RawScan(farm.path, farm, full=full)
    mine, floor = interleave(ours, raw, rounds=rounds, block=block)
    ours.close()
    raw.close()
    what = "one scan, durable / the same statements by sqlite3"
    if not full:
        what = "the same without waiting for the disk"
    targets = (2.0, 1.5) if full else (6.0, 2.5)
    return Figure(key, what, median(mine) * 1e6, median(floor) * 1e6, "us", len(mine), *targets)


def measure_tail(farm: BigFarm, *, scans: int) -> Figure:
    """99th percentile of scans with checkpoints between them, against sqlite3's defaults."""
    raw = RawScan(farm.path, farm, big_log=False)
    floor, _ = interleave(raw, lambda _turn: None, rounds=max(1, scans // 100), block=100)
    raw.close()
    ours = OurScan(farm.path, farm)
    # As the desk does when a farm is open: what is loaded is not walked by the collector.
    gc.collect()
    gc.freeze()
    mine: list[float] = []
    for _ in range(scans // 10):
        taken, _ = interleave(ours, lambda _turn: None, rounds=1, block=10)
        mine += taken
        ours.store.checkpoint()
    ours.close()
    what = "p99 of scans, checkpoints between them / p99 of sqlite3 with its defaults"
    return Figure(
        "scan_p99", what, percentile(mine, 99) * 1e6, percentile(floor, 99) * 1e6, "us", scans,
        0.25, 0.1,
    )  # fmt: skip
