"""Tables as values, and as CSV."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.errors import NotWritten
from farmdesk.paper.csv_tables import guard_text, unguard_text, write_csv
from farmdesk.paper.tables import (
    Column,
    Table,
    clean_text,
    show_heading,
    show_value,
    split_in_columns,
)
from farmdesk.wording.formats import Formats

US = Formats(locale="en_US", mass_unit="kg", zone="America/New_York", currency="USD")
GERMAN = Formats(locale="de_DE", mass_unit="kg", zone="Europe/Berlin", currency="EUR")

COLUMNS = (
    Column("lot", "Lot", "code"),
    Column("species", "Species"),
    Column("bags", "Bags", "integer"),
    Column("picked_mg", "Picked", "mass"),
    Column("be", "BE", "percent"),
    Column("amount", "Amount", "money"),
    Column("day", "Day", "day"),
    Column("weighed_at", "Weighed at", "instant"),
    Column("is_grade_a", "Grade A", "flag"),
)
ROW = (
    "0000000017",
    "Blue oyster",
    12,
    4_260_000,
    62.5,
    Decimal("1234.50"),
    "2026-11-18",
    "2026-11-18T15:04:05Z",
    True,
)


def rows_of(path: Path) -> list[list[str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.reader(stream))


def write(table: Table, folder: Path) -> list[list[str]]:
    write_csv(table, folder / "table.csv")
    return rows_of(folder / "table.csv")


def test_csv_holds_real_values(tmp_path: Path) -> None:
    rows = write(Table("picks", "Picks", COLUMNS, [ROW, (None,) * 9]), tmp_path)
    assert rows == [
        ["lot", "species", "bags", "picked_kg", "be", "amount", "day", "weighed_at", "is_grade_a"],
        [
            "0000000017",
            "Blue oyster",
            "12",
            "4.26",
            "62.5",
            "1234.50",
            "2026-11-18",
            "2026-11-18T15:04:05Z",
            "true",
        ],
        [""] * 9,
    ]


@pytest.mark.parametrize(
    "text",
    ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "＝1", '=HYPERLINK("http://x","y")'],
)
def test_csv_text_is_never_a_formula(tmp_path: Path, text: str) -> None:
    """The first signs to guard against: OWASP, "CSV Injection" (from memory)."""
    for kind in ("text", "code", "day", "number"):
        rows = write(Table("t", "T", [Column("a", "A", kind)], [(text,), ("safe",)]), tmp_path)
        assert rows[1][0].startswith("'")
        assert unguard_text(rows[1][0]) == clean_text(text)
        assert rows[2] == ["safe"]


def test_csv_numbers_stay_numbers(tmp_path: Path) -> None:
    columns = [Column("a", "A", "number"), Column("m_mg", "M", "mass"), Column("c", "C", "money")]
    rows = write(
        Table("t", "T", columns, [(-1.5, -7, Decimal("-1E+2")), (float("nan"), 2_000_001, None)]),
        tmp_path,
    )
    assert rows[1] == ["-1.5", "-0.000007", "-100"]
    assert rows[2] == ["", "2.000001", ""]


@given(st.text())
def test_guarding_loses_nothing(text: str) -> None:
    assert unguard_text(guard_text(text)) == clean_text(text)


@given(st.lists(st.integers(-(10**12), 10**12), min_size=1, max_size=40))
def test_csv_masses_are_exact(tmp_path_factory: pytest.TempPathFactory, masses: list[int]) -> None:
    table = Table("t", "T", [Column("m_mg", "M", "mass")], [(mg,) for mg in masses])
    rows = write(table, tmp_path_factory.mktemp("masses"))
    assert [Decimal(row[0]) * 1_000_000 for row in rows[1:]] == masses


@given(st.lists(st.text(max_size=12), min_size=1, max_size=30))
def test_csv_text_comes_back(tmp_path_factory: pytest.TempPathFactory, texts: list[str]) -> None:
    table = Table("t", "T", [Column("a", "A"), Column("b", "B")], [(one, "x") for one in texts])
    rows = write(table, tmp_path_factory.mktemp("texts"))
    assert [unguard_text(row[0]) for row in rows[1:]] == [clean_text(one) for one in texts]


def test_rows_may_come_only_once_and_in_any_number(tmp_path: Path) -> None:
    rows = write(
        Table("t", "T", [Column("n", "N", "integer")], ((n,) for n in range(3001))), tmp_path
    )
    assert [row[0] for row in rows[1:]] == [str(n) for n in range(3001)]


def test_a_row_that_does_not_fit_is_our_mistake(tmp_path: Path) -> None:
    two = [Column("a", "A"), Column("b", "B")]
    with pytest.raises(ValueError, match="values in a row"):
        list(split_in_columns(Table("t", "T", two, [("x",)])))
    with pytest.raises(ValueError, match="argument 2"):
        list(split_in_columns(Table("t", "T", two, [("x", "y"), ("x",)])))
    with pytest.raises(ValueError, match="all different"):
        Table("t", "T", [Column("a", "A"), Column("a", "B")], [])
    with pytest.raises(ValueError, match="totals"):
        Table("t", "T", two, [], totals=("x",))
    write_csv(Table("t", "T", two, [("old", "old")]), tmp_path / "t.csv")
    with pytest.raises(ValueError, match="argument 2"):
        write_csv(Table("t", "T", two, [("x", "y"), ("x",)]), tmp_path / "t.csv")
    assert rows_of(tmp_path / "t.csv")[1] == ["old", "old"]


def test_csv_into_no_folder(tmp_path: Path) -> None:
    with pytest.raises(NotWritten):
        write_csv(Table("t", "T", [Column("a", "A")], []), tmp_path / "none" / "t.csv")


def test_values_as_read_in_two_countries() -> None:
    shown = [show_value(value, column, US) for value, column in zip(ROW, COLUMNS, strict=True)]
    assert shown[:6] == ["0000000017", "Blue oyster", "12", "4.26", "62.5%", "$1,234.50"]
    assert shown[6] == "Nov 18, 2026"
    assert shown[7].replace("\u202f", " ") == "Nov 18, 2026, 10:04 AM"
    assert shown[8] == "yes"
    german = [show_value(value, column, GERMAN) for value, column in zip(ROW, COLUMNS, strict=True)]
    assert german[3] == "4,26"
    assert german[5].replace("\xa0", " ") == "1.234,50 €"
    assert german[7].endswith("16:04")


def test_masses_of_pounds_and_ounces_say_their_unit_in_each_cell() -> None:
    picked = COLUMNS[3]
    mixed = Formats(mass_unit="lb_oz")
    assert show_heading(picked, US) == "Picked (kg)"
    assert show_heading(picked, mixed) == "Picked"
    assert show_value(4_260_000, picked, mixed) == "9 lb 6.3 oz"


def test_what_is_not_known_is_said() -> None:
    assert show_value(None, COLUMNS[2], US) == "–"
    assert show_value(float("inf"), Column("n", "N", "number"), US) == "–"
    assert show_value("unknown", COLUMNS[6], US) == "unknown"
