"""The grower's sums of the demo farm, worked out again from its exported files in plain Python.

Nothing of the program is used but its export. Fisher's exact test and Wilson's interval are
scipy's; the curve is Aalen and Johansen's estimator (1978) written out; prices follow the moving
average of any accounting textbook.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest
from scipy.stats import binomtest, fisher_exact

from farmdesk.actions.demo import build_demo
from farmdesk.actions.exchange import export_farm
from farmdesk.paper.tables import Table
from farmdesk.reports.blame import blame_table
from farmdesk.reports.contamination import contamination_table
from farmdesk.reports.costs import costs_table
from farmdesk.reports.sum_question import SumQuestion
from farmdesk.reports.times import times_tables
from farmdesk.store.farm_store import open_farm
from farmdesk.store.transaction import Reading

Rows = list[dict[str, str]]
CENT = Decimal("0.01")


class Files:
    """The files of an export, read once each."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._read: dict[str, Rows] = {}

    def __getitem__(self, kind: str) -> Rows:
        if kind not in self._read:
            with (self._folder / f"{kind}.csv").open(encoding="utf-8-sig", newline="") as file:
                self._read[kind] = list(csv.DictReader(file))
        return self._read[kind]


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Reading, Files]]:
    folder = tmp_path_factory.mktemp("by_hand")
    store = open_farm(folder / "farm.sqlite", make=True)
    build_demo(store)
    export_farm(store, folder / "out")
    with store.reading() as reading:
        yield reading, Files(folder / "out")
    store.close()


def made_bags(files: Files) -> Rows:
    return [bag for bag in files["bag"] if bag["stage"] != "void"]


def is_bad(files: Files, bag: dict[str, str]) -> bool:
    bad = {one["id"] for one in files["reason"] if one["contamination"] == "1"}
    return bag["stage"] == "discarded" and bag["reason"] in bad


def rows_of(table: Table) -> list[dict[str, object]]:
    keys = [one.key for one in table.columns]
    return [dict(zip(keys, row, strict=True)) for row in table.rows]


def totals_of(table: Table) -> dict[str, object]:
    assert table.totals is not None
    return dict(zip([one.key for one in table.columns], table.totals, strict=True))


def cents(value: Decimal) -> Decimal:
    return value.quantize(CENT, rounding=ROUND_HALF_UP)


def test_the_accused_run_is_the_one_that_was_hot_too_short(farm: tuple[Reading, Files]) -> None:
    reading, files = farm
    run_of = {one["id"]: one["run"] for one in files["batch"]}
    names = {one["id"]: one["name"] for one in files["run"]}
    counts: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for bag in made_bags(files):
        at = counts[names[run_of[bag["batch"]]]]
        at[0] += is_bad(files, bag)
        at[1] += 1
    row = next(one for one in rows_of(blame_table(reading)) if one["cause"] == "Heat run")
    bad, made = counts.pop(str(row["level"]))
    assert row["verdict"] == "likeliest cause"
    assert (row["contaminated"], row["made"]) == (bad, made) == (11, 22)
    others = [sum(part) for part in zip(*counts.values(), strict=True)]
    assert float(str(row["rate"])) == pytest.approx(50)
    assert float(str(row["other"])) == pytest.approx(100 * others[0] / others[1])
    p = fisher_exact([[bad, made - bad], [others[0], others[1] - others[0]]]).pvalue
    assert float(str(row["p"])) == pytest.approx(p, rel=1e-6)
    assert p < 1e-8


def test_contamination_has_wilsons_interval(farm: tuple[Reading, Files]) -> None:
    reading, files = farm
    bags = made_bags(files)
    bad = sum(is_bad(files, bag) for bag in bags)
    found = totals_of(contamination_table(reading))
    assert (found["contaminated"], found["made"]) == (bad, len(bags))
    interval = binomtest(bad, len(bags)).proportion_ci(0.95, method="wilson")
    assert float(str(found["low"])) == pytest.approx(100 * interval.low, abs=1e-4)
    assert float(str(found["high"])) == pytest.approx(100 * interval.high, abs=1e-4)


def test_materials_follow_the_moving_average(farm: tuple[Reading, Files]) -> None:
    """Each lot bought changes the price of what lies there; each run takes it at that price."""
    reading, files = farm
    day_of = {one["id"]: one["run_on"] for one in files["run"]}
    used_runs = {one["run"] for one in files["batch"]}
    events: list[tuple[str, int, str, Decimal, Decimal, str]] = []
    for one in files["purchase"]:
        if one["ingredient"]:
            mg, price = Decimal(one["amount_mg"]), Decimal(one["price"])
            events.append((one["received_on"], 0, one["ingredient"], mg, price, ""))
    for one in files["run_ingredient"]:
        mg = Decimal(one["amount_mg"])
        events.append((day_of[one["run"]], 1, one["ingredient"], mg, Decimal(0), one["run"]))
    stock: dict[str, tuple[Decimal, Decimal]] = defaultdict(lambda: (Decimal(0), Decimal(0)))
    in_batches, unused = Decimal(0), Decimal(0)
    for _day, _kind, ingredient, mg, price, run in sorted(events, key=lambda one: one[:2]):
        there, worth = stock[ingredient]
        if not run:
            stock[ingredient] = there + mg, worth + price
            continue
        cost = cents(worth * mg / there)
        stock[ingredient] = there - mg, worth - cost
        if run in used_runs:
            in_batches += cost
        else:
            unused += cost
    table = costs_table(reading)
    # A cent a use may fall elsewhere where an average is rounded at another moment.
    assert abs(Decimal(str(totals_of(table)["materials"])) - in_batches) <= CENT * 25
    assert f"${unused}" in " ".join(table.notes) or unused == 0


def test_work_spawn_and_the_price_of_a_good_block(farm: tuple[Reading, Files]) -> None:
    reading, files = farm
    setting = files["cost_setting"][0]
    wage = Decimal(setting["wage_per_hour"])
    hours: dict[str, Decimal] = defaultdict(Decimal)
    kinds = {"lab": "making", "substrate": "making", "inoculation": "making",
             "incubation": "growing", "fruiting": "growing", "picking": "growing",
             "cleaning": "growing"}  # fmt: skip
    begun = min(one["inoculated_on"] for one in files["batch"])[:7]
    before = Decimal(0)
    for one in files["labour"]:
        kind, worked = kinds.get(one["task"], "selling"), Decimal(one["minutes"]) / 60
        if one["day"][:7] >= begun:
            hours[kind] += worked
        elif kind != "selling":
            before += cents(worked * wage)
    table = costs_table(reading)
    found = totals_of(table)
    assert found["making"] == cents(hours["making"] * wage)
    assert found["growing"] == cents(hours["growing"] * wage)
    # What was worked and paid before the first batch is told, not lost.
    for one in files["overhead"]:
        days = (date.fromisoformat(f"{begun}-01") - date.fromisoformat(one["from_on"])).days
        before += cents(Decimal(one["per_week"]) * max(0, days) / 7)
    told = next((note for note in table.notes if "without a block to share" in note), "")
    assert (f"{before:,.2f}" in told) if before else not told

    bought = {one["subject"]: Decimal(one["price"]) for one in files["lab_purchase"]}
    made_mg = {one["id"]: Decimal(one["made_mg"]) for one in files["spawn"]}
    batch_of = {one["id"]: one["batch"] for one in files["bag"]}
    taken: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    for link in files["link"]:
        if link["parent"] in made_mg and link["child"] in batch_of:
            taken[batch_of[link["child"]], link["parent"]] += Decimal(link["amount_mg"])
    spawn = Decimal(0)
    for (_, lot), mg in taken.items():
        rate = Decimal(setting["home_spawn_per_kg"]) / 1_000_000
        spawn += cents(bought[lot] * mg / made_mg[lot] if lot in bought else rate * mg)
    assert found["spawn"] == spawn

    parts = [Decimal(str(found[key])) for key in ("materials", "spawn", "supplies", "making")]
    assert cents(sum(parts, Decimal(0)) / Decimal(str(found["good"]))) == found["per_good"]
    parts += [Decimal(str(found[key])) for key in ("growing", "overhead")]
    whole = sum(parts, Decimal(0))
    assert found["total"] == whole
    pounds = Decimal(str(found["saleable_mg"])) / Decimal("453592.37")
    assert cents(whole / pounds) == found["per_weight"]


def test_the_late_curve_is_aalen_and_johansens(farm: tuple[Reading, Files]) -> None:
    """Days of finding alone: what the curve says at the latest, with running bags censored."""
    reading, files = farm
    batches = {one["id"]: one for one in files["batch"]}
    by_strain: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for bag in made_bags(files):
        batch = batches[bag["batch"]]

        def after(day: str, since: str = batch["inoculated_on"]) -> int:
            return (date.fromisoformat(day[:10]) - date.fromisoformat(since)).days

        ready = bag["colonised_on"] or bag["opened_on"]
        looked = bag["looked_on"] or batch["inoculated_on"]
        if ready:
            seen = (after(ready), "ready")
        elif is_bad(files, bag):
            seen = (after(looked), "bad")
        elif bag["stage"] == "incubating":
            seen = (after(looked), "running")
        else:
            seen = (max(after(looked), after(bag["stage_since"])), "running")
        by_strain[batch["strain"]].append(seen)
    names = {one["id"]: one["name"] for one in files["strain"]}
    table = {str(one["group"]): one for one in rows_of(times_tables(reading)[0])}
    checked = 0
    for strain, bags in by_strain.items():
        row = table[names[strain]]
        alive, ready = 1.0, 0.0
        median = None
        for day in sorted({day for day, _ in bags}):
            at_risk = sum(one >= day for one, _ in bags)
            came = sum(one == (day, "ready") for one in bags)
            lost = sum(one == (day, "bad") for one in bags)
            ready += alive * came / at_risk
            alive *= 1 - (came + lost) / at_risk
            if median is None and ready >= 0.5 - 1e-9:
                median = day
        assert float(str(row["share"])) == pytest.approx(100 * ready, abs=1e-6)
        if median is not None:
            assert str(row["median"]).split("–")[-1] == str(median)
            checked += 1
    assert checked >= 5
    assert rows_of(times_tables(reading, SumQuestion("batch"))[0])
