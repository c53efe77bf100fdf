"""The forecast and its back-test on real databases: counted by hand, and with a known truth."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from simulated_farm import DRY_MG, KG, SHARES, grow_farm

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.stages import ALIVE
from farmdesk.reports.forecast import forecast_tables, read_forecast
from farmdesk.reports.forecast_replay import read_replay, replay_tables
from farmdesk.store.farm_store import FarmStore, open_farm
from farmdesk.store.forecast import bags_standing

TODAY, NOW = "2026-11-25", "2026-11-25T12:00:00Z"


def begin(store: FarmStore, *, weeks: int = 0, bags: int = 6, seed: int = 1) -> None:
    perform(store, lambda act: begin_farm(act, name="Heron Lane", first_serial=5000), now=NOW)
    if weeks:
        perform(
            store,
            lambda act: grow_farm(act, today=TODAY, weeks=weeks, bags=bags, seed=seed),
            now=NOW,
        )


def test_the_counting_query_counts_every_live_bag_once(store: FarmStore) -> None:
    begin(store, weeks=10)
    with store.reading() as reading:
        alive = [bag for bag in reading.all(Bag) if bag.stage in ALIVE]
        days = {batch.id: batch.inoculated_on for batch in reading.all(Batch)}
        standing = bags_standing(reading)
    wanted = Counter(
        (
            bag.batch, bag.stage, bag.flush,
            {"incubating": days[bag.batch], "colonised": bag.colonised_on}.get(bag.stage)
            or bag.picked_on or bag.opened_on,
        )
        for bag in alive
    )  # fmt: skip
    assert wanted == Counter(
        {(one.batch, one.stage, one.flush, one.since): one.bags for one in standing}
    )


def test_a_farm_without_history_forecasts_from_the_defaults(store: FarmStore) -> None:
    begin(store, weeks=2)
    with store.reading() as reading:
        found = read_forecast(reading, now=NOW)
        forecast, basis = forecast_tables(reading, now=NOW)
    assert {one.source for one in found.forecast.weeks} == {"default"}
    assert len(found.forecast.weeks) == 16
    assert found.forecast.weeks[0].week == "2026-W48"
    # The catalogue's oyster: 75 % of the dry mass in three flushes, the mean of 50 and 100 %.
    whole = sum(one.mean_kg for one in found.forecast.weeks)
    bags = sum(one.bags for one in found.standing)
    assert whole / (bags * 0.95) == pytest.approx(0.75 * 0.95, rel=0.1)
    assert all(row[-1] == "default" for row in basis.rows)
    assert str(bags) in forecast.notes[0]
    assert forecast.charts[0].series[0].is_bounded


def test_an_empty_farm_has_no_forecast(store: FarmStore) -> None:
    begin(store)
    with store.reading() as reading:
        forecast, basis = forecast_tables(reading, now=NOW)
        weeks, held = replay_tables(reading, now=NOW)
    for table in (forecast, basis, weeks, held):
        assert not list(table.rows)
    assert not forecast.charts
    assert not forecast.notes


def test_the_farm_learns_its_own_crop(store: FarmStore) -> None:
    begin(store, weeks=40, bags=8)
    with store.reading() as reading:
        found = read_forecast(reading, now=NOW, runs=200)
    learnt = found.learnt["Oyster"]
    crop = learnt.crop
    assert crop.source == "farm"
    assert crop.incubation.mean == pytest.approx(17, abs=1.0)
    assert crop.clean_share == pytest.approx(0.93, abs=0.05)
    for at in (0, 1):
        assert crop.flushes[at].kg_per_bag == pytest.approx(KG[at], rel=0.12)
        assert crop.flushes[at].share == pytest.approx(SHARES[at], abs=0.06)
    # Nothing was ever picked a third time.
    assert crop.flushes[2].share < 0.2
    assert DRY_MG == 950_000


def test_the_band_holds_on_farms_whose_truth_is_known(tmp_path: Path) -> None:
    replays = []
    for seed in range(1, 5):
        store = open_farm(tmp_path / f"{seed}.sqlite", make=True)
        begin(store, weeks=70, bags=8, seed=seed)
        with store.reading() as reading:
            replays += read_replay(reading, now=NOW, weeks=36, ahead=6).replays
        store.close()
    assert len(replays) > 600
    assert 0.75 <= sum(one.held for one in replays) / len(replays) <= 0.88
    said = sum(one.forecast.mean_kg for one in replays)
    assert said == pytest.approx(sum(one.picked_kg for one in replays), rel=0.08)


def test_a_replay_knows_nothing_of_what_came_later(store: FarmStore) -> None:
    begin(store, weeks=12)
    with store.reading() as reading:
        found = read_replay(reading, now=NOW, weeks=8, ahead=4)
        table, held = replay_tables(reading, now=NOW)
    assert {one.forecast.source for one in found.replays if one.asked_on < "2026-10-10"} == {
        "default"
    }
    assert all(one.forecast.week < "2026-W48" for one in found.replays)
    rows = list(table.rows)
    assert rows
    assert held.totals[2] == len(rows)
    assert held.totals[3] == sum(row[6] == "held" for row in rows)
