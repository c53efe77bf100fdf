"""Tracing a spawn bag, rows fetched, against a bare recursive query that only counts."""

from __future__ import annotations

import sqlite3

from big_farm import BigFarm
from timing import Figure, interleave, median

from farmdesk.reports.trace import trace
from farmdesk.store.farm_store import open_farm

_COUNT = """
WITH RECURSIVE way(id) AS (
  SELECT ? UNION SELECT link.child FROM link JOIN way ON link.parent = way.id
) SELECT count(*) FROM way
"""


def measure_trace(farm: BigFarm, *, rounds: int, block: int) -> Figure:
    """Both ways from a spawn bag with names, ours; forward count, floor."""
    store = open_farm(farm.path)
    raw = sqlite3.connect(farm.path)

    whole = len(farm.spawn) - 1

    def ours(turn: int) -> None:
        found = trace(reading, farm.spawn[(turn * 31) % whole], most=300)
        assert len(found.forward) >= 200

    def floor(turn: int) -> None:
        raw.execute(_COUNT, (farm.spawn[(turn * 31) % whole],)).fetchone()

    with store.reading() as reading:
        mine, bare = interleave(ours, floor, rounds=rounds, block=block)
    store.close()
    raw.close()
    what = "trace of a spawn bag with names / bare recursive count"
    return Figure("trace", what, median(mine) * 1e6, median(bare) * 1e6, "us", len(mine), 4.0, 2.5)
