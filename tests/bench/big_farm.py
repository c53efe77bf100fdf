"""A farm of any number of bags, built straight into the tables: for measuring only."""

from __future__ import annotations

import sqlite3
import sys
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from small_farm import begin_small

from farmdesk.domain.bags import Bag, Batch, Link
from farmdesk.domain.cells import to_cells
from farmdesk.domain.codes import make_id
from farmdesk.domain.events import write_cells
from farmdesk.domain.harvest import Pick
from farmdesk.domain.lab import Spawn
from farmdesk.domain.things import KIND_OF
from farmdesk.store.farm_store import open_farm

A_BATCH = 50
A_SPAWN = 180
EVENTS = 5
FIRST = 1000
WHEN = "2026-02-05T09:00:00Z"


@dataclass(frozen=True)
class BigFarm:
    """Where the farm is and what stands in it."""

    path: Path
    bags: range
    rooms: list[int]
    spawn: range
    picks: range


def build_big(path: Path, bags: int) -> BigFarm:
    """Build the farm; about 20 seconds for a million bags."""
    store = open_farm(path, make=True)
    small = begin_small(store, bags=1, first_serial=FIRST)
    store.close()
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA synchronous=OFF")
    connection.execute("PRAGMA cache_size=-300000")
    farm = BigFarm(
        path=path,
        bags=range(make_id("bag", FIRST + 1), make_id("bag", FIRST + 1 + bags)),
        rooms=small.rooms,
        spawn=range(make_id("spawn", FIRST), make_id("spawn", FIRST + max(1, bags // A_SPAWN))),
        picks=range(make_id("pick", FIRST), make_id("pick", FIRST + max(1, bags // 4))),
    )
    indexes = connection.execute(
        "SELECT name, sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL"
    ).fetchall()
    for name, _ in indexes:
        connection.execute(f"DROP INDEX {name}")
    connection.execute("BEGIN")
    for kind, rows in (
        ("batch", _batches(farm)),
        ("bag", _bags(farm)),
        ("spawn", _spawn(farm)),
        ("pick", _picks(farm)),
        ("link", _links(farm)),
    ):
        _insert(connection, kind, rows)
    _insert_entries(connection, farm)
    connection.execute("COMMIT")
    for _, sql in indexes:
        connection.execute(sql)
    connection.execute("ANALYZE")
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    with path.open("rb") as file:
        while file.read(1 << 24):
            """Read once: the measured farm is in the system's cache, as it is on a work day."""
    return farm


def _insert(connection: sqlite3.Connection, kind: str, rows) -> None:
    first = next(rows)
    assert KIND_OF[type(first)] == kind
    names = list(to_cells(first))
    marks = ", ".join("?" * len(names))
    statement = f'INSERT INTO "{kind}" ({", ".join(names)}) VALUES ({marks})'
    connection.execute(statement, tuple(vars(first).values()))
    connection.executemany(statement, (tuple(vars(row).values()) for row in rows))


def _batch_of(farm: BigFarm, bag: int) -> int:
    return make_id("batch", FIRST + 1 + (bag - farm.bags.start) // A_BATCH)


def _batches(farm: BigFarm):
    for at in range((len(farm.bags) + A_BATCH - 1) // A_BATCH):
        yield Batch(
            make_id("batch", FIRST + 1 + at), f"OY01-{at + 2:04d}", 1, None, "2026-02-05", A_BATCH,
            2_500_000, 950_000, 0, "2026-02-20", "2026-03-01",
        )  # fmt: skip


def _bags(farm: BigFarm):
    for bag in farm.bags:
        at = bag - farm.bags.start
        stage = ("incubating", "colonised", "fruiting", "resting")[at % 4]
        yield Bag(
            bag, _batch_of(farm, bag), at % A_BATCH + 1, stage, WHEN, farm.rooms[at % 2], WHEN
        )


def _spawn(farm: BigFarm):
    for at, spawn in enumerate(farm.spawn):
        yield Spawn(spawn, f"S-OY01-{at + 1:04d}", 1, 1, 1, "rye", 2_300_000, 0, "2026-01-20")


def _picks(farm: BigFarm):
    for at, pick in enumerate(farm.picks):
        yield Pick(
            pick, f"P-OY-{at + 1:04d}", 1, None, 1, "A", WHEN, 900_000, 100_000, 800_000, "",
            800_000 if at % 50 == 0 else 0, "2026-02-15", "2026-02-12", None, "closed",
        )  # fmt: skip


def _links(farm: BigFarm):
    for bag in farm.bags:
        at = bag - farm.bags.start
        yield Link(bag, farm.spawn[min(at // A_SPAWN, len(farm.spawn) - 1)], 115_000)
        yield Link(bag, _batch_of(farm, bag), 2_500_000)
        yield Link(farm.picks[min(at // 4, len(farm.picks) - 1)], bag, 200_000, "allocated", 1)


def _insert_entries(connection: sqlite3.Connection, farm: BigFarm) -> None:
    start = connection.execute("SELECT max(number) FROM daybook").fetchone()[0]
    before = write_cells({"room": 1, "room_since": WHEN})
    after = write_cells({"room": 2, "room_since": WHEN})

    def rows():
        number = start
        for _ in range(EVENTS):
            for bag in farm.bags:
                number += 1
                yield (number, f"{number:032x}", 0, "bag_moved", "bag", bag, 0, before, after,
                       WHEN, WHEN, None, "bench", None, "")  # fmt: skip

    marks = ", ".join("?" * 15)
    connection.executemany(f"INSERT INTO daybook VALUES ({marks})", rows())
