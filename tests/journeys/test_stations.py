"""Two stations scan on one farm at the same time: every scan is kept, and the farm adds up."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from pathlib import Path

from small_farm import SmallFarm, begin_small

from farmdesk.actions.base import perform
from farmdesk.actions.scanning import Bench
from farmdesk.domain.bags import Bag
from farmdesk.domain.codes import code_of
from farmdesk.domain.stations import Card
from farmdesk.reports.check import check_farm
from farmdesk.store.farm_store import FarmStore, open_farm

BAGS = 60


def begin(store: FarmStore) -> tuple[SmallFarm, str, list[str]]:
    """A farm, its card into the second room, and its bags' codes."""
    farm = begin_small(store, bags=BAGS)
    card = perform(
        store,
        lambda act: act.make("card_made", Card(act.next_id("card"), "move", farm.rooms[1])),
    ).result
    assert card is not None
    return farm, code_of(card.id), [code_of(bag) for bag in farm.bags]


def assert_all_moved(store: FarmStore, farm: SmallFarm) -> None:
    with store.reading() as reading:
        assert {bag.room for bag in reading.all(Bag)} == {farm.rooms[1]}
    assert check_farm(store).is_clean


def test_two_processes_scan_into_one_file(tmp_path: Path) -> None:
    path = tmp_path / "farm.sqlite"
    store = open_farm(path, make=True)
    farm, card, bags = begin(store)
    store.close()
    stations = [
        subprocess.Popen(
            [sys.executable, "-m", "farmdesk", "scan", "--json", "--station", name,
             "--farm", str(path)],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8",
        )
        for name in ("a", "b")
    ]  # fmt: skip
    for station, lines in zip(stations, (bags[::2], bags[1::2]), strict=True):
        assert station.stdin is not None
        station.stdin.write("\n".join([card, *lines]) + "\n")
        station.stdin.flush()
    answers = [station.communicate()[0].splitlines() for station in stations]
    assert [station.returncode for station in stations] == [0, 0]
    told = [json.loads(line) for lines in answers for line in lines]
    assert len(told) == BAGS + 2
    assert {one["outcome"] for one in told} == {"done"}
    store = open_farm(path)
    assert_all_moved(store, farm)
    store.close()


def test_two_benches_scan_on_one_farm(store: FarmStore) -> None:
    farm, card, bags = begin(store)
    outcomes: list[str] = []

    def work(name: str, lines: list[str]) -> None:
        bench = Bench(store, station=name)
        outcomes.extend(bench.scan(line).outcome for line in [card, *lines])

    hands = [
        threading.Thread(target=work, args=("a", bags[::2])),
        threading.Thread(target=work, args=("b", bags[1::2])),
    ]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    assert outcomes == ["done"] * (BAGS + 2)
    assert_all_moved(store, farm)
