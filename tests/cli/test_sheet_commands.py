"""`farmdesk week`, `labels` and `cards` as scripts use them."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import openpyxl
import pytest
from trading_farm import begin_trading
from typer.testing import CliRunner

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.cli.app import app
from farmdesk.domain.stations import Printing
from farmdesk.store.farm_store import open_farm

run = CliRunner()


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    path = tmp_path / "farm.sqlite"
    store = open_farm(path, make=True)
    begin_trading(store)
    store.close()
    return path


@pytest.mark.parametrize("ending", ["xlsx", "pdf", "csv"])
def test_a_week_is_written_in_the_form_of_its_ending(farm: Path, ending: str) -> None:
    out = farm.parent / f"week.{ending}"
    done = run.invoke(app, ["week", "2026-W47", "--out", str(out), "--farm", str(farm)])
    assert done.exit_code == 0, done.output
    assert "Week 2026-W47 is in" in done.output
    starts = {"xlsx": b"PK", "pdf": b"%PDF", "csv": b"week,section"}
    assert out.read_bytes().startswith(starts[ending])


def test_without_a_week_it_is_this_one(farm: Path) -> None:
    out = farm.parent / "week.xlsx"
    done = run.invoke(app, ["week", "--out", str(out), "--farm", str(farm)])
    assert done.exit_code == 0, done.output
    shown = openpyxl.load_workbook(out)
    assert shown.properties.title.startswith("Nine Alders, week ")
    assert shown.properties.title[-8:] in done.output


@pytest.mark.parametrize(
    ("week", "status", "said"),
    [("2026-W54", 1, "53"), ("soon", 1, "soon"), ("2026-47", 1, "2026-47")],
)
def test_a_week_that_is_none_is_said_and_nothing_written(
    farm: Path, week: str, status: int, said: str
) -> None:
    out = farm.parent / "week.pdf"
    done = run.invoke(app, ["week", week, "--out", str(out), "--farm", str(farm)])
    assert done.exit_code == status
    assert said in done.output
    assert not out.exists()


def test_another_ending_is_a_wrong_command_line(farm: Path) -> None:
    done = run.invoke(app, ["week", "--out", "week.docx", "--farm", str(farm)])
    assert done.exit_code == 2
    assert "should end in" in done.output


def test_a_farm_that_is_not_there_ends_with_three(tmp_path: Path) -> None:
    where = str(tmp_path / "none.sqlite")
    done = run.invoke(app, ["week", "--out", str(tmp_path / "w.csv"), "--farm", where])
    assert done.exit_code == 3
    assert "There is no farm at" in done.output


def test_a_farm_that_is_not_begun_says_so(tmp_path: Path) -> None:
    where = tmp_path / "empty.sqlite"
    open_farm(where, make=True).close()
    done = run.invoke(app, ["week", "--out", str(tmp_path / "w.csv"), "--farm", str(where)])
    assert done.exit_code == 1
    assert "not been begun" in done.output


@pytest.fixture
def seeded(tmp_path: Path) -> Path:
    """A farm with the shipped label stocks and wall cards."""
    path = tmp_path / "seeded.sqlite"
    store = open_farm(path, make=True)
    perform(store, partial(begin_farm, name="Nine Alders"))
    store.close()
    return path


def test_labels_of_a_batch_are_printed_and_recorded(farm: Path) -> None:
    out = farm.parent / "labels.pdf"
    command = ["labels", "OY01-0001", "--stock", "a4-3x8", "--out", str(out), "--farm", str(farm)]
    first = run.invoke(app, command)
    assert first.exit_code == 0, first.output
    assert "4 labels on 1 page: " in first.output
    assert "printed before" in run.invoke(app, command).output
    store = open_farm(farm)
    with store.reading() as reading:
        printings = reading.all(Printing)
    store.close()
    assert [one.reprint for one in printings] == [0, 0, 0, 0, 1, 1, 1, 1]


def test_a_code_that_is_nothing_here_is_said(farm: Path) -> None:
    out = farm.parent / "labels.pdf"
    command = ["labels", "OY01-0999", "--stock", "a4-3x8", "--out", str(out), "--farm", str(farm)]
    done = run.invoke(app, command)
    assert done.exit_code == 1
    assert "OY01-0999" in done.output
    assert not out.exists()


def test_wall_cards_are_printed(seeded: Path) -> None:
    out = seeded.parent / "cards.pdf"
    done = run.invoke(app, ["cards", "--out", str(out), "--farm", str(seeded)])
    assert done.exit_code == 0, done.output
    assert out.read_bytes().startswith(b"%PDF")
    assert "cards on" in done.output


@pytest.mark.parametrize("command", ["week", "labels", "cards"])
def test_help_has_an_example(command: str) -> None:
    shown = run.invoke(app, [command, "--help"])
    assert shown.exit_code == 0
    assert f"Example: farmdesk {command}" in " ".join(shown.output.split())
