"""A stream of scans is killed with -9 at random points: what was acknowledged is there, whole."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from pathlib import Path

import pytest
from small_farm import SmallFarm, begin_small

from farmdesk.actions.base import perform
from farmdesk.domain.bags import Bag
from farmdesk.domain.codes import code_of
from farmdesk.domain.stations import Card
from farmdesk.reports.check import check_farm
from farmdesk.store.farm_store import open_farm

BAGS = 60
PARTS = 2


def farm_with_cards(path: Path) -> tuple[SmallFarm, list[int]]:
    store = open_farm(path, make=True)
    farm = begin_small(store, bags=BAGS)

    def cards(act) -> list[int]:
        return [
            act.make("card_made", Card(act.next_id("card"), "move", room, None, "Move")).id
            for room in farm.rooms
        ]

    done = perform(store, cards)
    store.close()
    return farm, done.result or []


def scan_and_kill(path: Path, lines: list[str], after: int) -> list[dict[str, object]]:
    """Feed lines, kill when `after` answers have come; the answers that came at all."""
    process = subprocess.Popen(
        [sys.executable, "-m", "farmdesk", "scan", "--json", "--farm", str(path)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8",
    )  # fmt: skip
    assert process.stdin is not None
    assert process.stdout is not None
    answers = []
    process.stdin.write("\n".join(lines) + "\n")
    process.stdin.flush()
    for answer in process.stdout:
        answers.append(answer)
        if len(answers) == after:
            process.kill()
            break
    answers += process.stdout.readlines()
    process.wait()
    process.stdin.close()
    process.stdout.close()
    whole = [line for line in answers if line.endswith("\n")]
    return [json.loads(line) for line in whole]


@pytest.mark.parametrize("part", range(PARTS))
def test_no_acknowledged_scan_is_lost(tmp_path: Path, part: int) -> None:
    chance = random.Random(part)
    path = tmp_path / "farm.sqlite"
    farm, cards = farm_with_cards(path)
    for turn in range(15):
        lines = [code_of(cards[turn % 2])] + [code_of(bag) for bag in farm.bags]
        answers = scan_and_kill(path, lines, chance.randint(1, BAGS))
        acknowledged = [one for one in answers if one["outcome"] == "done" and one["entry"]]
        store = open_farm(path)
        with store.reading() as reading:
            numbers = {entry.number for entry in reading.entries()}
            assert {one["entry"] for one in acknowledged} <= numbers
            for one in answers[1:]:
                bag = reading.get(Bag, int(str(one["code"])) // 100)
                assert bag is not None
                assert bag.room == farm.rooms[turn % 2]
        verdict = check_farm(store)
        store.close()
        assert verdict.is_clean, verdict.differences[:5]
