"""Tracing a spawn bag, rows fetched, against a bare recursive query that only counts."""

from __future__ import annotations

import sqlite3

from big_farm import BigFarm
from timing import Figure, interleave, median

from farmdesk.reports.trace import trace
from farmdesk.store.farm_store import open_farm
from farmdesk.store.links import walk_forward

_COUNT = """
WITH RECURSIVE way(id) AS (
  SELECT ? UNION SELECT link.child FROM link JOIN way ON link.parent = way.id
) SELECT count(*) FROM way
"""


def measure_trace(farm: BigFarm, *, rounds: int, block: int) -> list[Figure]:
    """`trace`: forward from a spawn bag, rows with amounts; `trace_page`: both ways with names."""
    store = open_farm(farm.path)
    raw = sqlite3.connect(farm.path)
    whole = len(farm.spawn) - 1

    def spawn(turn: int) -> int:
        return farm.spawn[(turn * 31) % whole]

    def count(turn: int) -> None:
        raw.execute(_COUNT, (spawn(turn),)).fetchone()

    with store.reading() as reading:

        def walk(turn: int) -> None:
            assert len(walk_forward(reading, spawn(turn), most=300)) >= 200

        def page(turn: int) -> None:
            assert len(trace(reading, spawn(turn), most=300).forward) >= 200

        mine, bare = interleave(walk, count, rounds=rounds, block=block)
        named, _ = interleave(page, count, rounds=rounds, block=block)
    store.close()
    raw.close()
    floor = median(bare) * 1e6
    what = "forward from a spawn bag, rows with amounts / bare recursive count"
    both = "the same both ways, with names and codes for a page"
    return [
        Figure("trace", what, median(mine) * 1e6, floor, "us", len(mine), 4.0, 2.5),
        Figure("trace_page", both, median(named) * 1e6, floor, "us", len(named), 12.0, 8.0),
    ]
