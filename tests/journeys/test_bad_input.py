"""Bad input on the command line: a clear sentence, the right status, and an untouched farm."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from click.testing import Result
from small_farm import begin_small
from typer.testing import CliRunner

from farmdesk.cli.app import app
from farmdesk.reports.check import check_farm
from farmdesk.store.farm_store import open_farm

REFUSED, WRONG_LINE, UNAVAILABLE = 1, 2, 3


def run(*words: str, text: str | bytes = "", env: dict[str, str] | None = None) -> Result:
    """A command as a person gives it; a fault of the program fails the test."""
    return CliRunner().invoke(
        app, list(words), input=text, env=env or {"FARMDESK_FARM": ""}, catch_exceptions=False
    )


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    path = tmp_path / "farm.sqlite"
    store = open_farm(path, make=True)
    begin_small(store)
    store.close()
    return path


def last_number(path: Path) -> int:
    store = open_farm(path)
    try:
        with store.reading() as reading:
            number = reading.last_number()
        assert check_farm(store).is_clean
        return number
    finally:
        store.close()


@pytest.mark.parametrize(
    ("line", "part"),
    [
        (b"9999999999", "is not a whole code"),
        (b"OY99-0001-001", "There is no"),
        (b"", "was empty"),
        (b"   ", "was empty"),
        (b"x" * 10_000, "longer than"),
        (b"\x00\x01\xff\xfe", "signs that no label has"),
        (b"-5 kg", "below zero"),
        (b"540 g", "no pick card is in force"),
        ("\U0001f4a5".encode(), "is no code"),
        (b"=1+1", "is no code"),
        ("\u202e\u05d0\u05d1".encode(), "no"),
    ],
)
def test_a_bad_line_is_answered_and_changes_nothing(farm: Path, line: bytes, part: str) -> None:
    before = last_number(farm)
    result = run("scan", "--farm", str(farm), text=line + b"\n")
    assert result.exit_code == REFUSED
    assert len(result.stdout.splitlines()) == 1
    assert part in result.stdout
    assert last_number(farm) == before


def no_database(path: Path) -> None:
    path.write_text("This is a letter, and no database at all.", encoding="utf-8")


def cut_off(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:50_000])


def from_the_future(path: Path) -> None:
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()


def foreign(path: Path) -> None:
    path.unlink()
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE songs (title)")
    connection.close()


def folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


@pytest.mark.parametrize(
    ("spoil", "part"),
    [
        (Path.unlink, "There is no farm"),
        (no_database, "is not a farm's file"),
        (cut_off, "is damaged"),
        (from_the_future, "newer Farmdesk"),
        (foreign, "no farm of Farmdesk"),
        (folder, "is a folder"),
    ],
)
@pytest.mark.parametrize("words", [("check",), ("trace", "OY01-0001"), ("scan",)])
def test_a_farm_that_cannot_be_opened_is_said_so(farm: Path, spoil, part, words) -> None:
    spoil(farm)
    before = farm.read_bytes() if farm.is_file() else None
    result = run(*words, "--farm", str(farm))
    assert result.exit_code == UNAVAILABLE
    assert part in result.stderr
    assert (farm.read_bytes() if farm.is_file() else None) == before


@pytest.mark.parametrize("address", ["postgresql://a@@:::/x", "postgresql://a:b@c:port/x"])
def test_a_wrong_address_is_said_without_its_password(address: str) -> None:
    result = run("check", "--farm", address)
    assert result.exit_code == UNAVAILABLE
    assert "no server's address" in result.stderr
    assert "a:b@" not in result.stderr


def test_the_typed_farm_wins_over_the_environment(farm: Path, tmp_path: Path) -> None:
    other = str(tmp_path / "none.sqlite")
    env = {"FARMDESK_FARM": str(farm)}
    assert run("check", env=env).exit_code == 0
    assert run("--farm", other, "check", env=env).exit_code == UNAVAILABLE
    assert run("check", "--farm", other, env=env).exit_code == UNAVAILABLE


def test_a_farm_in_the_hands_of_another_program_is_said_to_be_busy(
    farm: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = sqlite3.connect

    def impatient(*words, **more) -> sqlite3.Connection:
        return _Impatient(plain(*words, **more | {"timeout": 0}))  # type: ignore[return-value]

    other = plain(farm, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    monkeypatch.setattr("farmdesk.store.farm_store.sqlite3.connect", impatient)
    try:
        result = run("labels", "OY01-0001", "--stock", "a4-3x8-margins", "--out",
                     str(farm.with_name("l.pdf")), "--farm", str(farm))  # fmt: skip
    finally:
        other.close()
    assert result.exit_code == UNAVAILABLE
    assert "busy in another program" in result.stderr
    last_number(farm)


class _Impatient:
    """A connection that will not be told to wait."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection

    def execute(self, statement: str, *values: object) -> sqlite3.Cursor:
        if statement.startswith("PRAGMA busy_timeout"):
            statement = "PRAGMA busy_timeout=0"
        return self._connection.execute(statement, *values)

    def __getattr__(self, name: str) -> object:
        return getattr(self._connection, name)


def test_an_empty_code_has_no_trace(farm: Path) -> None:
    result = run("trace", "", "--farm", str(farm))
    assert result.exit_code == REFUSED
    assert "was empty" in result.stderr


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (("labels", "OY01-0001", "--stock", "nope", "--out", "l.pdf"), REFUSED),
        (("labels", "OY01-0001", "--stock", "nope", "--out", "l.doc"), WRONG_LINE),
        (("week", "2026-W99", "--out", "w.xlsx"), REFUSED),
        (("week", "--out", "nowhere/w.xlsx"), REFUSED),
        (("backup", "nowhere/b.sqlite"), REFUSED),
        (("backup", "farm.sqlite"), REFUSED),
        (("restore", "none.sqlite"), UNAVAILABLE),
    ],
)
def test_refused_papers_leave_no_file(farm: Path, monkeypatch, words, status) -> None:
    monkeypatch.chdir(farm.parent)
    before = last_number(farm)
    result = run(*words, "--farm", str(farm))
    assert result.exit_code == status
    assert result.stderr
    assert [one.name for one in farm.parent.iterdir()] == ["farm.sqlite"]
    assert last_number(farm) == before


def put(name: str, change) -> object:
    def spoil(place: Path) -> None:
        path = place / name
        path.write_bytes(change(path.read_bytes()))

    return spoil


@pytest.mark.parametrize(
    "spoil",
    [
        put("species.csv", lambda text: text.replace(b"scientific", b"latin", 1)),
        put("species.csv", lambda text: text.replace(b"Oyster", b"Oyst\xe9r", 1)),
        put("bag.csv", lambda text: text + b"not,a,row\n"),
        put("daybook.csv", lambda text: text + b"not,a,row\n"),
    ],
)
def test_a_bad_import_makes_no_farm(farm: Path, tmp_path: Path, spoil) -> None:
    place, other = tmp_path / "out", tmp_path / "again.sqlite"
    assert run("export", str(place), "--farm", str(farm)).exit_code == 0
    spoil(place)
    result = run("import", str(place), "--farm", str(other))
    assert result.exit_code == REFUSED
    assert ".csv" in result.stderr
    assert not list(tmp_path.glob("again.sqlite*"))


def test_an_import_from_nowhere_makes_no_farm(tmp_path: Path) -> None:
    other = tmp_path / "again.sqlite"
    result = run("import", str(tmp_path / "nowhere"), "--farm", str(other))
    assert result.exit_code == REFUSED
    assert not list(tmp_path.glob("again.sqlite*"))
