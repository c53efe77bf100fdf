"""Workbooks, read back by openpyxl and by a spreadsheet program where there is one."""

import csv
import datetime as dt
import errno
import os
import shutil
import subprocess
import zipfile
from decimal import Decimal
from pathlib import Path
from typing import IO
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.utils.datetime import to_excel

from farmdesk.errors import NotWritten, Refused
from farmdesk.paper import workbook_assembly
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.sheet_stream import LONGEST_TEXT, day_serial, instant_serial
from farmdesk.paper.sheets import name_sheets
from farmdesk.paper.spreadsheet import Properties, Sheet, write_workbook
from farmdesk.paper.tables import Column, Table, clean_text
from farmdesk.wording.formats import Formats

US = Formats(locale="en_US", mass_unit="kg", zone="America/New_York", currency="USD")
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
ROWS = [
    (
        f"{n:010d}",
        "=SUM(A1:A9)" if n % 2 else "Blue oyster",
        n,
        4_260_000 + n,
        62.5,
        Decimal("1234.50"),
        "2026-11-18",
        f"2026-11-01T05:59:{n % 60:02d}Z",
        n % 2 == 0,
    )
    for n in range(1_234)
]
PICKS = Table("picks", "Picks", COLUMNS, ROWS)
CHART = Chart(
    "stacked", "By week", ["W40", "W41"], [Series("Oyster", [3, 4]), Series("B", [1, None])]
)


def local(text: str) -> dt.datetime:
    """A day or clock time without a zone, as spreadsheets know them."""
    return dt.datetime.fromisoformat(text)


def write(path: Path, *sheets: Sheet, formats: Formats = US) -> openpyxl.Workbook:
    write_workbook(sheets, path, formats=formats)
    return openpyxl.load_workbook(path)


def test_values_types_and_looks_come_back(tmp_path: Path) -> None:
    sheet = write(tmp_path / "w.xlsx", Sheet("Picks", [PICKS]))["Picks"]
    assert [cell.value for cell in sheet[1]][:6] == [
        "Lot",
        "Species",
        "Bags",
        "Picked (kg)",
        "BE",
        "Amount (USD)",
    ]
    assert sheet.max_row == len(ROWS) + 1
    for number, row in enumerate(ROWS, start=2):
        values = [cell.value for cell in sheet[number]]
        assert values[0:3] == list(row[0:3])
        assert values[3] == row[3] / 1_000_000
        assert values[4:6] == [0.625, 1234.5]
        assert values[6] == local("2026-11-18")
        assert values[7] == local(f"2026-11-01T01:59:{(number - 2) % 60:02d}")
        assert values[8] is row[8]
    third = sheet[3]
    assert [cell.data_type for cell in third] == ["s", "s", "n", "n", "n", "n", "d", "d", "b"]
    assert [cell.number_format for cell in third][:8] == [
        "@",
        "General",
        "#,##0",
        "#,##0.00",
        "0.0%",
        "#,##0.00",
        "yyyy-mm-dd",
        "yyyy-mm-dd hh:mm",
    ]


def test_heading_stays_filters_and_prints_on_each_page(tmp_path: Path) -> None:
    sheet = write(tmp_path / "w.xlsx", Sheet("Picks", [PICKS]))["Picks"]
    assert sheet.freeze_panes == "A2"
    (table,) = sheet.tables.values()
    assert (table.ref, table.autoFilter.ref) == (f"A1:I{len(ROWS) + 1}",) * 2
    assert table.column_names == [cell.value for cell in sheet[1]]
    assert sheet.print_area.startswith("'Picks'!$A$1:$I$")
    assert sheet.print_title_rows == "$1:$1"
    assert sheet.page_setup.orientation == "landscape"
    assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
    assert all(cell.font.bold for cell in sheet[1])
    assert all(8 <= sheet.column_dimensions[letter].width <= 48 for letter in "ABCDEFGHI")


def test_several_tables_totals_and_notes_stand_below_each_other(tmp_path: Path) -> None:
    small = Table(
        "s",
        "Sales",
        [Column("who", "Customer"), Column("kg", "Weight", "mass")],
        [("Cafe Alder", 2_000_000)],
        notes=("As weighed.",),
        totals=("Total", 2_000_000),
    )
    sheet = write(tmp_path / "w.xlsx", Sheet("Both", [small, small]))["Both"]
    block = [("Sales", None), ("Customer", "Weight (kg)"), ("Cafe Alder", 2), ("Total", 2)]
    expected = [*block, (None, None), ("As weighed.", None), (None, None)]
    assert list(sheet.iter_rows(values_only=True)) == [*expected, *expected[:-1]]
    assert sheet["A4"].font.bold
    assert sheet.freeze_panes is None


@pytest.mark.parametrize(
    ("unit", "expected"),
    [("kg", 0.45359237), ("g", 453.59237), ("lb", 1.0), ("oz", 16.0), ("lb_oz", 1.0)],
)
def test_masses_in_the_farms_unit(tmp_path: Path, unit: str, expected: float) -> None:
    """1 lb = 453.59237 g = 16 oz: NIST Handbook 44, appendix C."""
    table = Table("m", "M", [Column("m", "M", "mass")], [(453_592_370,)])
    sheet = write(tmp_path / "w.xlsx", Sheet("M", [table]), formats=Formats(mass_unit=unit))["M"]
    assert sheet["A2"].value == pytest.approx(expected * 1000, rel=1e-12)
    assert sheet["A1"].value == f"M ({'lb' if unit == 'lb_oz' else unit})"


def test_days_are_counted_as_spreadsheets_count_them() -> None:
    """1 January 2008 is 39448 (published with the DATEVALUE function; from memory)."""
    assert day_serial("2008-01-01") == 39448
    assert day_serial("1900-03-01") == 61
    assert day_serial("1900-02-28") is None
    assert day_serial("2026-02-30") is None
    assert day_serial("yesterday!") is None


@given(
    st.datetimes(local("1980-01-01"), local("2100-01-01")),
    st.sampled_from(
        ["America/New_York", "Europe/Berlin", "Australia/Lord_Howe", "Asia/Kathmandu", "UTC"]
    ),
)
def test_instants_are_the_farms_clock(moment: dt.datetime, zone: str) -> None:
    moment = moment.replace(microsecond=0, tzinfo=dt.UTC)
    iso = moment.strftime("%Y-%m-%dT%H:%M:%SZ")
    local = moment.astimezone(ZoneInfo(zone)).replace(tzinfo=None)
    assert instant_serial(iso, ZoneInfo(zone)) == pytest.approx(to_excel(local), abs=1e-8)


@given(st.lists(st.datetimes(local("2026-01-01"), local("2027-01-01")), max_size=30))
@settings(max_examples=25, deadline=None)
def test_the_quick_way_for_instants_is_the_same(
    tmp_path_factory: pytest.TempPathFactory, moments: list[dt.datetime]
) -> None:
    zone = "Australia/Lord_Howe"
    utc = [one.replace(microsecond=0, tzinfo=dt.UTC) for one in moments]
    rows = [(one.strftime("%Y-%m-%dT%H:%M:%SZ"),) for one in utc]
    table = Table("t", "T", [Column("at", "At", "instant")], rows)
    path = tmp_path_factory.mktemp("instants") / "w.xlsx"
    sheet = write(path, Sheet("T", [table]), formats=Formats(zone=zone))["T"]
    read = [cell.value for cell in sheet["A"][1:]]
    assert read == [one.astimezone(ZoneInfo(zone)).replace(tzinfo=None) for one in utc]


HOSTILE = [
    "=1+1",
    "@x",
    "<b>&amp;</b>",
    "]]>",
    "a\x00b\x07",
    "\ud800 lone",
    "_x000A_",
    " spaces ",
    "two\nlines",
    "שלום 🍄 'quoted' \"text\"",
    "\ufffe",
    "",
]


def texts_in(path: Path, part: str) -> list[str]:
    """The texts as the format says them: '_x005F_' stands for a plain underscore."""
    with zipfile.ZipFile(path) as archive:
        tree = ElementTree.fromstring(archive.read(part))
    space = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
    return [(one.text or "").replace("_x005F_", "_") for one in tree.iter(f"{space}t")]


def test_hostile_text_stays_text_and_breaks_nothing(tmp_path: Path) -> None:
    table = Table("t", HOSTILE[2], [Column("a", HOSTILE[0])], [(one,) for one in HOSTILE])
    sheet = write(tmp_path / "w.xlsx", Sheet(HOSTILE[2], [table]))
    cells = list(sheet.worksheets[0]["A"])
    assert all(cell.data_type in ("s", "n") and cell.data_type != "f" for cell in cells)
    shown = texts_in(tmp_path / "w.xlsx", "xl/worksheets/sheet1.xml")
    assert shown == [HOSTILE[0], *map(clean_text, HOSTILE)]


@given(st.lists(st.text(max_size=15), min_size=1, max_size=20))
@settings(max_examples=40, deadline=None)
def test_any_text_comes_back(tmp_path_factory: pytest.TempPathFactory, texts: list[str]) -> None:
    path = tmp_path_factory.mktemp("texts") / "w.xlsx"
    table = Table("t", "T", [Column("a", "A")], [(one,) for one in texts])
    write_workbook([Sheet("T", [table])], path, formats=US)
    assert texts_in(path, "xl/worksheets/sheet1.xml")[1:] == [clean_text(one) for one in texts]


def test_too_long_a_text_is_cut_where_programs_would_call_the_file_broken(tmp_path: Path) -> None:
    table = Table("t", "T", [Column("a", "A")], [("x" * 40_000,)])
    value = write(tmp_path / "w.xlsx", Sheet("T", [table]))["T"]["A2"].value
    assert len(value) == LONGEST_TEXT
    assert value.endswith("x…")


def test_sheet_names_are_short_safe_and_different() -> None:
    names = name_sheets(
        ["Week [47]: a/b", "week  47   a b", "'", "x" * 40, "x" * 41, "History", ""]
    )
    assert names[0] == "Week 47 a b"
    assert names[1] == "week 47 a b 2"
    assert names[2] == "Sheet"
    assert len({name.casefold() for name in names}) == len(names)
    assert all(0 < len(name) <= 31 and not set("[]:*?/\\") & set(name) for name in names)
    assert "history" not in {name.casefold() for name in names}


def test_charts_point_at_their_figures(tmp_path: Path) -> None:
    line = Chart("line", "Yield", ["W1", "W2", "W3"], [Series("BE", [1.5, 2.5, 3.5])], "%")
    book = write(tmp_path / "w.xlsx", Sheet("A", [PICKS], [CHART]), Sheet("B", [PICKS], [line]))
    assert book.sheetnames == ["A", "B", "Chart figures"]
    figures = book["Chart figures"]
    (first,), (second,) = book["A"]._charts, book["B"]._charts
    assert first.grouping == "stacked"
    for chart, expected in ((first, [3, 4]), (second, [1.5, 2.5, 3.5])):
        area = chart.series[0].val.numRef.f.split("!")[1].replace("$", "")
        assert [row[0].value for row in figures[area]] == expected
        name = chart.series[0].tx.strRef.f.split("!")[1].replace("$", "")
        assert figures[name].value in ("Oyster", "BE")


def test_more_rows_than_a_sheet_holds_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workbook_assembly, "LAST_ROW", 100)
    path = tmp_path / "w.xlsx"
    path.write_bytes(b"old")
    with pytest.raises(Refused) as caught:
        write_workbook([Sheet("Picks", [PICKS])], path, formats=US)
    assert caught.value.problems[0].code == "too_many_rows"
    assert caught.value.problems[0].facts["limit"] == 97
    assert [one.name for one in tmp_path.iterdir()] == ["w.xlsx"]
    assert path.read_bytes() == b"old"
    few = Table("few", "Few", COLUMNS, ROWS[:97])
    assert write(path, Sheet("Few", [few]))["Few"].max_row == 98


def test_a_full_disk_leaves_the_old_workbook(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "w.xlsx"
    path.write_bytes(b"old")
    real = zipfile.ZipFile.open

    def fill_up(archive: zipfile.ZipFile, *args: object, **options: object) -> IO[bytes]:
        stream = real(archive, *args, **options)
        written = stream.write

        def write_some(data: bytes) -> int:
            if archive.fp is not None and archive.fp.tell() > 20_000:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return written(data)

        stream.write = write_some
        return stream

    monkeypatch.setattr(zipfile.ZipFile, "open", fill_up)
    with pytest.raises(NotWritten) as caught:
        write_workbook([Sheet("Picks", [PICKS])], path, formats=US)
    assert caught.value.problems[0].facts["reason"] == os.strerror(errno.ENOSPC)
    assert [one.name for one in tmp_path.iterdir()] == ["w.xlsx"]
    assert path.read_bytes() == b"old"


def test_properties_and_every_part_is_sound_xml(tmp_path: Path) -> None:
    path = tmp_path / "w.xlsx"
    about = Properties("Week 2026-W47", "Farm", "2026-11-23T06:00:00Z")
    write_workbook([Sheet("Picks & <b>", [PICKS], [CHART])], path, formats=US, properties=about)
    book = openpyxl.load_workbook(path)
    assert (book.properties.title, book.properties.creator) == ("Week 2026-W47", "Farm")
    assert book.properties.created == local("2026-11-23T06:00:00")
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        assert len(set(archive.namelist())) == len(archive.namelist())
        for name in archive.namelist():
            ElementTree.fromstring(archive.read(name))


def test_sheet_elements_stand_in_the_order_of_the_standard(tmp_path: Path) -> None:
    """ECMA-376 part 1, 18.3.1.99 (worksheet): the order of a sheet's parts; from memory."""
    order = ["sheetPr", "dimension", "sheetViews", "sheetFormatPr", "cols", "sheetData"]
    order += ["autoFilter", "pageMargins", "pageSetup", "headerFooter", "ignoredErrors", "drawing"]
    order += ["tableParts"]
    path = tmp_path / "w.xlsx"
    write_workbook([Sheet("Picks", [PICKS], [CHART])], path, formats=US)
    with zipfile.ZipFile(path) as archive:
        tree = ElementTree.fromstring(archive.read("xl/worksheets/sheet1.xml"))
    places = [order.index(one.tag.split("}")[1]) for one in tree]
    assert places == sorted(places)
    assert order.index("drawing") in places


def test_a_spreadsheet_program_reads_the_same(tmp_path: Path) -> None:
    """By LibreOffice where it is installed; by openpyxl's quick reader everywhere."""
    path = tmp_path / "w.xlsx"
    table = Table("t", "T", COLUMNS[:4], [row[:4] for row in ROWS[:50]])
    write_workbook([Sheet("T", [table], [CHART])], path, formats=US)
    expected = [[row[0], row[1], row[2], f"{row[3] / 1e6:.2f}"] for row in ROWS[:50]]
    quick = openpyxl.load_workbook(path, read_only=True)
    rows = list(quick["T"].iter_rows(min_row=2, max_row=51, max_col=4, values_only=True))
    quick.close()
    assert [[a, b, c, f"{d:.2f}"] for a, b, c, d in rows] == expected
    program = shutil.which("soffice")
    if program is not None:
        command = [
            program,
            "--headless",
            "--norestore",
            f"-env:UserInstallation={(tmp_path / 'p').as_uri()}",
        ]
        subprocess.run(
            [*command, "--convert-to", "csv", "--outdir", str(tmp_path), str(path)],
            check=True,
            capture_output=True,
            timeout=240,
        )
        with (tmp_path / "w.csv").open(encoding="utf-8", newline="") as stream:
            read = list(csv.reader(stream))[1:51]
        assert [
            [a, b, int(c), f"{float(d):.2f}"] for a, b, c, d in (r[:4] for r in read)
        ] == expected
