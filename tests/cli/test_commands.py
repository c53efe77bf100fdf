"""The command line as scripts use it: answers, exit statuses, files."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from small_farm import begin_small
from typer.testing import CliRunner, Result

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.actions.inoculation import SpawnUse, inoculate
from farmdesk.actions.lab import register_spawn
from farmdesk.cli.app import app
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Room
from farmdesk.domain.codes import code_of
from farmdesk.domain.stations import Card
from farmdesk.store.farm_store import open_farm


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """A farm with the shipped catalogue and one batch of six."""
    path = tmp_path / "farm.sqlite"
    store = open_farm(path, make=True)
    perform(store, lambda act: begin_farm(act, name="Nine Alders", first_serial=4000))
    spawn = perform(
        store, lambda act: register_spawn(act, strain=1, bags=1, each_mg=2_300_000)
    ).result
    assert spawn is not None
    perform(
        store,
        lambda act: inoculate(
            act, strain=1, spawn=[SpawnUse(spawn[0].id, 750_000)], bags=6, room=1,
            block_mg=2_500_000, dry_mg=950_000,
        ),
    )  # fmt: skip
    store.close()
    return path


def run(*words: object, text: str = "") -> Result:
    return CliRunner().invoke(app, [str(word) for word in words], input=text)


def codes_of(path: Path) -> tuple[list[str], str]:
    """The codes of all bags, and of the card of a fruiting room."""
    store = open_farm(path)
    with store.reading() as reading:
        bags = [code_of(bag.id) for bag in reading.all(Bag)]
        room = reading.first(Room, use="fruiting")
        assert room is not None
        card = reading.first(Card, act="move", room=room.id)
        assert card is not None
    store.close()
    return bags, code_of(card.id)


def test_every_command_explains_itself_with_an_example() -> None:
    names = (
        "demo", "labels", "cards", "scan", "week", "trace", "check", "backup", "restore",
        "export", "import",
    )  # fmt: skip
    for name in names:
        result = run(name, "--help")
        assert result.exit_code == 0
        assert "Example" in result.output, name
        assert "--farm" in result.output, name


def test_scans_move_bags_and_every_answer_is_an_object(farm: Path) -> None:
    bags, card = codes_of(farm)
    result = run("scan", "--farm", farm, "--json", text="\n".join([card, *bags]) + "\n")
    answers = [json.loads(line) for line in result.output.splitlines()]
    assert result.exit_code == 0, result.output
    assert [one["outcome"] for one in answers] == ["done"] * 7
    for one in answers:
        assert {"code", "outcome", "message", "subject", "stage", "room", "entry"} <= set(one)
    assert len({one["room"] for one in answers[1:]}) == 1
    again = run("scan", "--farm", farm, "--json", text=bags[0] + "\n")
    assert json.loads(again.output)["outcome"] == "already"


def test_a_wrong_line_is_answered_and_told_by_the_status(farm: Path) -> None:
    result = run("scan", "--farm", farm, "--json", text="6000400099\nnonsense\n")
    assert result.exit_code == 1
    assert all(json.loads(line)["outcome"] in ("refused", "unknown")
               for line in result.output.splitlines())  # fmt: skip


def test_labels_cards_week_trace_and_check(farm: Path, tmp_path: Path) -> None:
    labels = run("labels", "OY01-0001", "--farm", farm, "--stock", "a4-3x8", "--out",
                 tmp_path / "labels.pdf", "--start", "5")  # fmt: skip
    assert labels.exit_code == 0, labels.output
    assert (tmp_path / "labels.pdf").read_bytes().startswith(b"%PDF")
    cards = run("cards", "--farm", farm, "--out", tmp_path / "cards.pdf")
    assert cards.exit_code == 0, cards.output
    for ending in ("xlsx", "pdf", "csv"):
        week = run("week", "--farm", farm, "--out", tmp_path / f"week.{ending}")
        assert week.exit_code == 0, week.output
        assert (tmp_path / f"week.{ending}").stat().st_size > 100
    trace = json.loads(run("trace", "OY01-0001-003", "--farm", farm, "--json").output)
    assert {one["kind"] for one in trace["back"]} == {"batch", "spawn"}
    assert all(set(one) >= {"code", "kind", "amount_mg"} for one in trace["back"])
    check = run("check", "--farm", farm, "--json")
    assert check.exit_code == 0
    assert json.loads(check.output)["clean"] is True


def test_a_spoiled_farm_fails_the_check(farm: Path) -> None:
    store = open_farm(farm)
    with store.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE bag SET stage = 'sold' WHERE number = 3")
    store.close()
    assert run("check", "--farm", farm).exit_code == 1


def test_export_and_import_are_equal_to_the_byte(farm: Path, tmp_path: Path) -> None:
    assert run("export", tmp_path / "one", "--farm", farm).exit_code == 0
    again = tmp_path / "again.sqlite"
    assert run("import", tmp_path / "one", "--farm", again).exit_code == 0
    assert run("export", tmp_path / "two", "--farm", again).exit_code == 0
    one = {path.name: path.read_bytes() for path in (tmp_path / "one").iterdir()}
    assert one == {path.name: path.read_bytes() for path in (tmp_path / "two").iterdir()}
    refused = run("import", tmp_path / "one", "--farm", again)
    assert refused.exit_code == 1


def test_backup_and_restore(farm: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite"
    assert run("backup", copy, "--farm", farm).exit_code == 0
    new = tmp_path / "new.sqlite"
    assert run("restore", copy, "--farm", new).exit_code == 0
    assert run("check", "--farm", new).exit_code == 0


def test_a_missing_farm_ends_with_its_own_status(tmp_path: Path) -> None:
    result = run("check", "--farm", tmp_path / "none.sqlite")
    assert result.exit_code == 3
    assert run("check", "--nonsense").exit_code == 2


def test_the_farm_may_stand_before_the_command_or_in_the_environment(tmp_path: Path) -> None:
    path = tmp_path / "farm.sqlite"
    store = open_farm(path, make=True)
    begin_small(store)
    store.close()
    assert run("--farm", path, "check").exit_code == 0
    done = subprocess.run(
        [sys.executable, "-m", "farmdesk", "check"], check=False, capture_output=True,
        env=os.environ | {"FARMDESK_FARM": str(path)},
    )  # fmt: skip
    assert done.returncode == 0


def test_the_demo_farm_is_built_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[str] = []
    monkeypatch.setattr("farmdesk.cli.files.open_desk", lambda where: opened.append(where) or 0)
    path = tmp_path / "demo.sqlite"
    assert run("demo", "--farm", path).exit_code == 0
    assert run("demo", "--farm", path).exit_code == 1
    again = run("demo", "--farm", path, "--open")
    assert again.exit_code == 0
    assert "already" in again.output
    assert opened == [str(path)]
