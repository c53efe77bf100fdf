"""Scans from standard input, answered line by line."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from small_farm import SmallFarm, begin_small
from typer.testing import CliRunner

from farmdesk.actions.base import perform
from farmdesk.cli.app import app
from farmdesk.cli.scan import read_lines, run_scan
from farmdesk.domain.cards import MOVE
from farmdesk.domain.codes import code_of
from farmdesk.domain.stations import Card
from farmdesk.store.farm_store import open_farm


class Place:
    """A farm in a file with one card, and the command run on it."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "farm.sqlite"
        store = open_farm(self.path, make=True)
        self.farm: SmallFarm = begin_small(store)
        done = perform(
            store,
            lambda act: act.make(
                "card_made",
                Card(act.next_id("card"), MOVE, self.farm.rooms[1], title="Move to Mist"),
            ),
        )
        store.close()
        assert done.result is not None
        self.card = code_of(done.result.id)
        self.bags = [code_of(bag) for bag in self.farm.bags]

    def run(self, text: str | bytes, *options: str) -> tuple[int, list[str]]:
        result = CliRunner().invoke(
            app, ["scan", "--farm", str(self.path), *options], input=text, catch_exceptions=False
        )
        return result.exit_code, result.stdout.splitlines()


@pytest.fixture
def place(tmp_path: Path) -> Place:
    return Place(tmp_path)


def test_each_line_has_one_answer(place: Place) -> None:
    status, answers = place.run(f"{place.card}\n{place.bags[0]}\n{place.bags[0]}\n")
    assert status == 0
    assert answers == [
        "Scans now mean: Move to Mist.",
        "OY01-0001-001 moved to Mist.",
        "OY01-0001-001 is in Mist already.",
    ]


def test_json_answers_have_the_promised_fields(place: Place) -> None:
    status, answers = place.run(f"{place.card}\n{place.bags[0]}", "--json", "--station", "door")
    assert status == 0
    moved = json.loads(answers[1])
    assert moved["code"] == place.bags[0]
    assert moved["outcome"] == "done"
    assert moved["subject"] == "OY01-0001-001"
    assert (moved["stage"], moved["room"], moved["count"]) == ("incubating", "Mist", 1)
    assert isinstance(moved["entry"], int)
    assert moved["message"].endswith(".")


def test_the_card_holds_in_the_next_run_of_the_same_station(place: Place) -> None:
    place.run(place.card, "--station", "door")
    assert place.run(place.bags[0], "--station", "door")[1] == ["OY01-0001-001 moved to Mist."]
    assert "incubating since" in place.run(place.bags[1], "--station", "bench")[1][0]


@pytest.mark.parametrize(
    "line", [b"\n", b"\xff\xfe\x00\x81\n", b"x" * 300_000 + b"\n", b"6000000000\n", b"540 g\n"]
)
def test_a_bad_line_is_answered_and_ends_with_status_one(place: Place, line: bytes) -> None:
    status, answers = place.run(line + place.bags[0].encode())
    assert status == 1
    assert len(answers) == 2
    assert answers[1].startswith("OY01-0001-001: incubating")


def test_a_question_left_open_ends_with_status_one(place: Place) -> None:
    store = open_farm(place.path)
    perform(
        store,
        lambda act: act.make("card_made", Card(act.next_id("card"), "spent", title="Spent")),
    )
    store.close()
    assert place.run(f"spent\n{place.bags[0]}\n")[0] == 1
    assert place.run(f"spent\n{place.bags[0]}\nshow\n")[0] == 1
    status, answers = place.run(f"spent\n{place.bags[0]}\nyes\n")
    assert status == 0
    assert answers[-1] == "OY01-0001-001 is spent."


def test_no_line_is_no_trouble(place: Place) -> None:
    assert place.run("") == (0, [])


def test_a_missing_farm_ends_calmly(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["scan", "--farm", str(tmp_path / "none.sqlite")])
    assert result.exit_code == 3


def test_lines_are_cut_while_they_are_read() -> None:
    stream = io.BytesIO(b"\xef\xbb\xbfone\r\n" + b"x" * 200_000 + b"\nthree")
    lines = list(read_lines(stream))
    assert [lines[0], lines[2]] == ["one", "three"]
    assert len(lines[1]) < 5_000


def test_answers_are_written_as_they_come(place: Place) -> None:
    store = open_farm(place.path)
    out = io.StringIO()
    seen: list[int] = []

    def lines() -> object:
        for line in (place.card, place.bags[0]):
            seen.append(len(out.getvalue().splitlines()))
            yield line

    assert run_scan(store, lines(), out, station="door", as_json=False)  # type: ignore[arg-type]
    store.close()
    assert seen == [0, 1]
