"""The likeliest cause on ten years of bags, against plain numpy on arrays already in memory."""

from __future__ import annotations

import random
import shutil
import sqlite3
import time
from pathlib import Path

import numpy as np
from big_farm import A_BATCH, BigFarm
from timing import Figure, interleave, median

from farmdesk.arithmetic.cause_table import CauseTable
from farmdesk.arithmetic.comparison import BagGroup, find_blame
from farmdesk.domain.cells import to_cells
from farmdesk.domain.codes import make_id
from farmdesk.domain.lab import HeatRun
from farmdesk.reports.blame import read_blame
from farmdesk.reports.sum_question import SumQuestion
from farmdesk.store.farm_store import open_farm

_FIRST_DAY, _LAST_DAY = "2016-01-01", "2027-12-31"
_YEARS_DAYS = 3_600
_BATCHES_A_RUN = 2


def grow_causes(farm: BigFarm) -> Path:
    """A copy of the farm with heat runs, people, ten years of days and one bag in 20 bad."""
    path = farm.path.with_name("causes.sqlite")
    shutil.copyfile(farm.path, path)
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA synchronous=OFF")
    first = make_id("run", 1000)
    batches = len(farm.bags) // A_BATCH
    runs = [
        HeatRun(first + at, f"R-{at + 1:05d}", 1 + at % 3, "2026-02-05", A_BATCH, 2_500_000)
        for at in range(batches // _BATCHES_A_RUN + 1)
    ]
    names = list(to_cells(runs[0]))
    marks = ", ".join("?" * len(names))
    connection.execute("BEGIN")
    connection.executemany(
        f"INSERT INTO run ({', '.join(names)}) VALUES ({marks})",
        [tuple(to_cells(run).values()) for run in runs],
    )
    start = connection.execute("SELECT min(id) FROM batch").fetchone()[0]
    connection.execute(
        "UPDATE batch SET run = ? + (id - ?) / ?, person = 1 + id % 3,"
        " inoculated_on = date('2016-03-01', '+' || ((id - ?) * ? / ?) || ' days')",
        (first, start, _BATCHES_A_RUN, start, _YEARS_DAYS, max(1, batches)),
    )
    reason = 9_001
    connection.execute(
        "INSERT INTO reason (id, code, name, use, contamination, note, retired)"
        " VALUES (?, 'mould', 'Mould', 'discard', 1, '', 0)",
        (reason,),
    )
    connection.executemany(
        "INSERT OR IGNORE INTO person (id, name, initials, retired) VALUES (?, ?, ?, 0)",
        [(1, "Ada", "A"), (2, "Bo", "B"), (3, "Cy", "C")],
    )
    chance = random.Random(7)
    bad = [(reason, bag) for bag in farm.bags if chance.random() < 0.05]
    connection.executemany("UPDATE bag SET stage = 'discarded', reason = ? WHERE id = ?", bad)
    connection.execute("COMMIT")
    connection.execute("ANALYZE")
    connection.close()
    return path


def measure_blame(farm: BigFarm, *, rounds: int) -> list[Figure]:
    """`blame`: the comparison itself; `blame_page`: with reading the farm, beside the same floor.

    The floor counts every level of every cause, and each suspect within every other cause, bag
    by bag with numpy.
    """
    path = grow_causes(farm)
    store = open_farm(path)
    question = SumQuestion(first=_FIRST_DAY, last=_LAST_DAY)
    with store.reading() as reading:
        answer = read_blame(reading, question)
        groups = list(answer.groups)
        bags = BagArrays(groups)
        mine, bare = interleave(
            lambda _: find_blame(groups), lambda _: bags.compare(), rounds=rounds, block=1
        )
        pages = []
        for _ in range(rounds):
            began = time.perf_counter()
            read_blame(reading, question)
            pages.append(time.perf_counter() - began)
    store.close()
    path.unlink()
    floor = median(bare) * 1e3
    what = "all causes compared together / numpy bag by bag on arrays in memory"
    page = "the same with reading the farm, all ten years"
    return [
        Figure("blame", what, median(mine) * 1e3, floor, "ms", len(mine), 3.0, 1.0),
        Figure("blame_page", page, median(pages) * 1e3, floor, "ms", len(pages), 3.0, 2.0),
    ]


class BagArrays:
    """Every bag as a row of level codes, and whether it was bad."""

    def __init__(self, groups: list[BagGroup]) -> None:
        table = CauseTable.of([(one.levels, one.made, one.contaminated) for one in groups])
        made = np.array([one.made for one in groups])
        self.suspects = table.find_worse(table.find_levels())
        self.codes = {cause: np.repeat(codes, made) for cause, codes in table.codes.items()}
        self.sizes = {cause: len(names) for cause, names in table.names.items()}
        ends = np.repeat(np.cumsum(made), made)
        bad = np.repeat(np.array([one.contaminated for one in groups]), made)
        place = ends - np.arange(made.sum()) - 1
        self.bad = place < bad

    def compare(self) -> float:
        """The chi-squares of all suspects within all other causes, added up."""
        total = 0.0
        for cause, codes in self.codes.items():
            np.bincount(codes, minlength=self.sizes[cause])
            np.bincount(codes[self.bad], minlength=self.sizes[cause])
        for one in self.suspects:
            inside = self.codes[one.cause] == one.code
            for cause, codes in self.codes.items():
                if cause != one.cause:
                    total += self._stratify(inside, codes, self.sizes[cause])
        return total

    def _stratify(self, inside: np.ndarray, codes: np.ndarray, size: int) -> float:
        a = np.bincount(codes[inside & self.bad], minlength=size)
        n1 = np.bincount(codes[inside], minlength=size)
        bad = np.bincount(codes[self.bad], minlength=size)
        n = np.bincount(codes, minlength=size)
        told = (n1 > 0) & (n1 < n) & (n > 1)
        a, n1, bad, n = a[told], n1[told], bad[told], n[told].astype(float)
        spread = (n1 * (n - n1) * bad * (n - bad) / (n**2 * (n - 1))).sum()
        return float(((a - n1 * bad / n).sum()) ** 2 / spread) if spread else 0.0
