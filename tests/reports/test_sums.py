"""The grower's sums on the demo farm, one batch worked out by hand from its CSV."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest
from openpyxl import load_workbook

from farmdesk.actions.demo import build_demo
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Species
from farmdesk.domain.lab import HeatRun
from farmdesk.errors import Refused
from farmdesk.paper.tables import Table
from farmdesk.quantities.times import age_days
from farmdesk.reports.blame import blame_table, read_blame
from farmdesk.reports.contamination import BY_DEFECT, contamination_table
from farmdesk.reports.next_flush import next_flush_table
from farmdesk.reports.overview import export_report
from farmdesk.reports.slow_lost import late_bags_table, lost_table, slow_table
from farmdesk.reports.stock import on_hand_table
from farmdesk.reports.stock_chart import read_charts
from farmdesk.reports.sum_question import GROUPINGS, SumQuestion
from farmdesk.reports.times import times_tables
from farmdesk.reports.yields import flushes_table, yields_table
from farmdesk.settings.places import demo_path
from farmdesk.store.farm_store import FarmStore, open_farm
from farmdesk.store.transaction import Reading

BATCH = "OY02-0001"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FarmStore]:
    store = open_farm(tmp_path_factory.mktemp("sums") / "farm.sqlite", make=True)
    build_demo(store)
    yield store
    store.close()


@pytest.fixture
def reading(demo: FarmStore) -> Iterator[Reading]:
    with demo.reading() as opened:
        yield opened


def read_csv(kind: str) -> list[dict[str, str]]:
    path = Path(demo_path()) / f"{kind}.csv"
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def row_of(table: Table, name: str) -> dict[str, object]:
    keys = [one.key for one in table.columns]
    return next(dict(zip(keys, row, strict=True)) for row in table.rows if row[0] == name)


def test_one_batch_by_hand_from_the_csv(reading: Reading) -> None:
    batch = next(one for one in read_csv("batch") if one["name"] == BATCH)
    bags = {
        one["id"]: one
        for one in read_csv("bag")
        if one["batch"] == batch["id"] and one["stage"] != "void"
    }
    weighed = {one["id"]: int(one["flush"]) for one in read_csv("pick") if one["net_mg"]}
    by_flush: dict[int, int] = {}
    for link in read_csv("link"):
        if link["parent"] in bags and link["child"] in weighed:
            flush = int(link["flush"]) or weighed[link["child"]]
            by_flush[flush] = by_flush.get(flush, 0) + int(link["amount_mg"])
    opened = sum(bool(one["opened_on"]) for one in bags.values())
    bad = {one["id"] for one in read_csv("reason") if one["contamination"] == "1"}
    gone = sum(one["stage"] == "discarded" and one["reason"] in bad for one in bags.values())
    dry = int(batch["dry_mg"])

    found = row_of(yields_table(reading, SumQuestion("batch")), BATCH)
    picked = sum(by_flush.values())
    assert (found["made"], found["opened"]) == (len(bags), opened) == (24, 22)
    assert found["picked_mg"] == picked
    assert float(found["be_opened"]) == pytest.approx(100 * picked / (opened * dry))
    assert float(found["be_made"]) == pytest.approx(100 * picked / (24 * dry))
    assert float(found["be_1"]) == pytest.approx(100 * by_flush[1] / (opened * dry))
    assert found["state"] == "finished"
    rates = row_of(contamination_table(reading, SumQuestion("batch")), BATCH)
    assert (rates["contaminated"], rates["made"]) == (gone, 24)
    days = sorted(
        age_days(batch["inoculated_on"], one["colonised_on"])
        for one in bags.values()
        if one["colonised_on"]
    )
    # None runs any more, so half of all 24 bags were found ready by the twelfth finding.
    times = row_of(times_tables(reading, SumQuestion("batch"))[0], BATCH)
    assert str(times["median"]).split("–")[-1] == str(days[11])


def test_the_short_heat_run_is_found(reading: Reading) -> None:
    answer = read_blame(reading)
    held = {one.name: age for one in reading.all(HeatRun) if (age := answer.held.get(one.name))}
    short = min(held, key=lambda name: held[name])
    assert answer.blame is not None
    likeliest = answer.blame.likeliest
    assert likeliest is not None
    assert (likeliest.cause, likeliest.level) == ("heat_run", short)
    assert f"{short} was hot for {held[short]} min" in answer.sentence
    assert "Next check: Look at the run's temperature record" in answer.sentence
    table = blame_table(reading)
    assert table.notes[0] == answer.sentence
    assert next(iter(table.rows))[-2] == "likeliest cause"


def test_without_the_short_run_nobody_is_accused(reading: Reading) -> None:
    king = next(one.id for one in reading.all(Species) if one.code == "KO")
    answer = read_blame(reading, SumQuestion(species=king))
    assert answer.blame is not None
    assert answer.blame.likeliest is None
    assert "Not enough to tell" in answer.sentence


@pytest.mark.parametrize("by", list(GROUPINGS))
def test_every_grouping_counts_the_same_bags(reading: Reading, by: str) -> None:
    made = sum(1 for one in reading.all(Bag) if one.stage != "void")
    yields = yields_table(reading, SumQuestion(by))
    at = [one.key for one in yields.columns].index("made")
    assert sum(int(str(row[at])) for row in yields.rows) == made
    assert yields.totals is not None
    assert yields.totals[at] == made
    rates = contamination_table(reading, SumQuestion(by))
    assert sum(int(str(row[2])) for row in rates.rows) == made
    for table in times_tables(reading, SumQuestion(by)):
        rows = list(table.rows)
        assert sum(int(str(row[2])) for row in rows) == made
        # Every bag got there, was contaminated before, runs or ended otherwise.
        assert all(int(row[3]) + int(row[4]) + int(row[5]) == int(row[2]) for row in rows)


def test_every_figure_says_what_it_is_made_from(reading: Reading) -> None:
    for table in (
        yields_table(reading), flushes_table(reading), contamination_table(reading),
        *times_tables(reading), slow_table(reading), late_bags_table(reading),
        blame_table(reading), next_flush_table(reading),
    ):  # fmt: skip
        assert "inoculated from" in table.notes[0], table.name
    assert "without the spawn" in " ".join(yields_table(reading).notes)
    maitake = next(one.id for one in reading.all(Species) if one.code == "MA")
    assert (
        "can't be excluded" in contamination_table(reading, SumQuestion(species=maitake)).notes[0]
    )


def test_defects_and_charts(reading: Reading) -> None:
    defects = contamination_table(reading, SumQuestion(BY_DEFECT))
    counts = [int(str(row[1])) for row in defects.rows]
    assert counts == sorted(counts, reverse=True)
    charts = read_charts(reading)
    assert [one.kind for one in charts] == ["stacked", "stacked", "line", "bar", "stacked"]
    for column in zip(*(one.values for one in charts[1].series), strict=True):
        assert sum(column) == pytest.approx(100)
    for series in charts[2].series:
        assert list(series.values) == sorted(series.values)
        assert all(a <= v + 1e-9 for a, v in zip(series.low, series.values, strict=True))
    assert on_hand_table(reading).charts


def test_late_and_unseen_bags(reading: Reading) -> None:
    states = {str(row[0]): str(row[-1]) for row in slow_table(reading).rows}
    late = {str(row[0]).rpartition("-")[0] for row in late_bags_table(reading).rows}
    assert late == {name for name, state in states.items() if "late" in state}
    few, many = lost_table(reading, days=14), lost_table(reading, days=3)
    assert all(int(str(row[4])) > 14 for row in few.rows)
    assert len(list(many.rows)) >= len(list(few.rows))


def test_advice_on_the_next_flush(reading: Reading) -> None:
    for row in next_flush_table(reading).rows:
        following, fresh, advice = row[4], row[5], str(row[6])
        if advice == "keep":
            assert int(str(following)) >= int(str(fresh))
        elif advice.startswith("retire"):
            assert int(str(following)) < int(str(fresh))


def test_days_the_wrong_way_round_are_refused(reading: Reading) -> None:
    with pytest.raises(Refused) as caught:
        yields_table(reading, SumQuestion(first="2026-02-01", last="2026-01-01"))
    assert caught.value.problems[0].code == "days_out_of_order"


def test_no_batches_is_said(reading: Reading) -> None:
    asked = SumQuestion(first="2001-01-01", last="2001-02-01")
    for make in (yields_table, contamination_table, blame_table):
        assert "2001" in make(reading, asked).notes[0]


@pytest.mark.parametrize("ending", [".xlsx", ".pdf", ".csv"])
@pytest.mark.parametrize("key", ["yields", "times", "contamination", "blame", "next_flush"])
def test_sums_are_written_with_their_charts(
    reading: Reading, tmp_path: Path, key: str, ending: str
) -> None:
    path = tmp_path / f"{key}{ending}"
    export_report(reading, key, path)
    assert path.stat().st_size > 200
    if ending == ".xlsx":
        book = load_workbook(path)
        assert book.worksheets[0]._charts
