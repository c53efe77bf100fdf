"""The forecast on ten years of bags, against plain numpy on arrays already in memory."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import numpy as np
from big_farm import A_BATCH, BigFarm
from timing import Figure, interleave, median

from farmdesk.arithmetic.forecast import RUNS, WEEKS, forecast_weeks
from farmdesk.domain.catalogue import Species
from farmdesk.quantities.times import day_plus, local_day, now_utc, to_iso
from farmdesk.reports.farm_terms import read_terms
from farmdesk.reports.forecast import gather_cohorts, read_forecast
from farmdesk.reports.forecast_basis import HISTORY_DAYS, learn_crops, read_history
from farmdesk.store.farm_store import open_farm
from farmdesk.store.forecast import bags_standing

_YEARS_DAYS = 3_600
_INCUBATES, _SHELF = 17, 45


def grow_years(farm: BigFarm) -> tuple[Path, str]:
    """A copy of the farm with its batches spread over ten years up to today."""
    path = farm.path.with_name("years.sqlite")
    shutil.copyfile(farm.path, path)
    today = local_day(to_iso(now_utc()), "UTC")
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA synchronous=OFF")
    first = connection.execute("SELECT min(id) FROM batch").fetchone()[0]
    batches = max(1, len(farm.bags) // A_BATCH)
    connection.execute("BEGIN")
    connection.execute(
        "UPDATE batch SET inoculated_on = date(?, '-' || (? - (id - ?) * ? / ?) || ' days')",
        (today, _YEARS_DAYS, first, _YEARS_DAYS, batches),
    )
    connection.execute(
        "UPDATE bag SET flush = 0, stage = 'incubating', colonised_on = NULL, opened_on = NULL,"
        " picked_on = NULL"
    )
    day = "(SELECT inoculated_on FROM batch WHERE batch.id = bag.batch)"
    after = f"date({day}, '+' || (%s + number %% 5) || ' days')"
    grown, picked = after % _INCUBATES, after % (_INCUBATES + 11)
    over = after % (_INCUBATES + _SHELF)
    for fields, condition in (
        (f"colonised_on = {grown}, opened_on = {grown}, stage = 'fruiting'", grown),
        (f"picked_on = {picked}, flush = 1, stage = 'resting'", picked),
        (f"stage = 'spent', stage_since = {over} || 'T12:00:00Z'", over),
    ):
        connection.execute(f"UPDATE bag SET {fields} WHERE {condition} < ?", (today,))
    connection.execute(
        "UPDATE pick SET picked_at = coalesce((SELECT picked_on FROM bag JOIN link"
        " ON link.parent = bag.id WHERE link.child = pick.id LIMIT 1), ?) || 'T12:00:00Z'",
        (day_plus(today, -1),),
    )
    connection.execute("COMMIT")
    connection.execute("ANALYZE")
    connection.close()
    return path, today


def measure_forecast(farm: BigFarm, *, rounds: int) -> list[Figure]:
    """`forecast`: the simulation itself; `forecast_page`: with reading ten years of the farm.

    The floor draws each batch's days and yield in 2,000 runs and adds the kg up by week with
    numpy, from arrays in memory; it knows no conditions and no history.
    """
    path, today = grow_years(farm)
    store = open_farm(path)
    with store.reading() as reading:
        terms = read_terms(reading)
        kinds = {one.id: one for one in reading.all(Species)}
        learnt = learn_crops(read_history(reading, terms), kinds, today=terms.today)
        cohorts, _ = gather_cohorts(bags_standing(reading), kinds, learnt, terms.today)
        crops = {name: one.crop for name, one in learnt.items()}
        arrays = CohortArrays(cohorts, crops)
        mine, bare = interleave(
            lambda _: forecast_weeks(cohorts, crops, today=today),
            lambda _: arrays.simulate(),
            rounds=rounds,
            block=1,
        )
        plain = sqlite3.connect(path)
        pages, rows = interleave(
            lambda _: read_forecast(reading),
            lambda _: (read_rows(plain, today), arrays.simulate()),
            rounds=rounds,
            block=1,
        )
        plain.close()
    store.close()
    path.unlink()
    floor = median(bare) * 1e3
    what = f"{len(cohorts)} cohorts in {RUNS} runs / numpy on arrays in memory"
    page = "the same with reading the farm and two years of history / bare SQL and numpy"
    return [
        Figure("forecast", what, median(mine) * 1e3, floor, "ms", len(mine), 3.0, 1.0),
        Figure(
            "forecast_page",
            page,
            median(pages) * 1e3,
            median(rows) * 1e3,
            "ms",
            len(pages),
            3.0,
            2.0,
        ),
    ]


_ROWS = (
    "SELECT batch, room, stage, flush, coalesce(picked_on, opened_on, colonised_on), count(*)"
    " FROM bag WHERE stage IN ('incubating', 'colonised', 'fruiting', 'resting')"
    " GROUP BY 1, 2, 3, 4, 5",
    "SELECT bag.batch, bag.stage, bag.colonised_on, bag.opened_on, substr(stage_since, 1, 10),"
    " count(*) FROM batch JOIN bag ON bag.batch = batch.id WHERE inoculated_on >= ?"
    " GROUP BY 1, 2, 3, 4, 5",
    "SELECT bag.batch, link.flush, bag.opened_on, substr(picked_at, 1, 13), count(*),"
    " sum(amount_mg) FROM batch JOIN bag ON bag.batch = batch.id JOIN link ON link.parent ="
    " bag.id JOIN pick ON pick.id = link.child WHERE inoculated_on >= ? GROUP BY 1, 2, 3, 4",
    "SELECT bag.batch, link.flush, count(DISTINCT bag.id) FROM batch JOIN bag ON bag.batch ="
    " batch.id JOIN link ON link.parent = bag.id JOIN pick ON pick.id = link.child"
    " WHERE inoculated_on >= ? GROUP BY 1, 2",
)


def read_rows(connection: sqlite3.Connection, today: str) -> int:
    """The same rows by hand-written SQL, fetched and counted, nothing done with them."""
    since = day_plus(today, -HISTORY_DAYS)
    return sum(
        len(connection.execute(sql, (since,) if "?" in sql else ()).fetchall()) for sql in _ROWS
    )


class CohortArrays:
    """Cohorts as columns: a row for each of their flushes to come."""

    def __init__(self, cohorts, crops) -> None:
        rows = []
        for one in cohorts:
            crop = crops[one.species]
            days, chance = 0.0, 1.0
            if one.stage == "incubating":
                days, chance = crop.incubation.mean + 1, crop.clean_share
            for flush in crop.flushes[one.flush - 1 :]:
                days, chance = days + flush.wait.mean, chance * flush.share
                kg = one.bags * one.size * chance * flush.kg_per_bag
                rows.append((one.batch, max(0.0, days - one.elapsed), kg))
        batch, self.days, self.kg = (np.array(column) for column in zip(*rows, strict=True))
        self.batches, self.place = np.unique(batch, return_inverse=True)

    def simulate(self) -> np.ndarray:
        """Kg by week: the 10, 50 and 90 % runs."""
        chance = np.random.default_rng(1)
        shape = (len(self.batches), RUNS)
        late = 3 * chance.standard_normal(shape, dtype=np.float32)
        rich = np.exp(0.2 * chance.standard_normal(shape, dtype=np.float32))
        summed = np.zeros(WEEKS * RUNS)
        run = np.arange(RUNS)
        for place, days, kg in zip(self.place, self.days, self.kg, strict=True):
            week = np.clip((days + late[place]) // 7, 0, WEEKS - 1).astype(np.int64)
            noise = 1 + 0.1 * chance.standard_normal(RUNS, dtype=np.float32)
            summed += np.bincount(
                week + WEEKS * run, weights=kg * rich[place] * noise, minlength=WEEKS * RUNS
            )
        return np.quantile(summed.reshape(RUNS, WEEKS), (0.1, 0.5, 0.9), axis=0)
