"""A workbook put together: openpyxl's frame, and each sheet's rows streamed into it."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Sequence
from dataclasses import replace
from itertools import chain, islice, zip_longest
from pathlib import Path
from typing import IO

from openpyxl.chart import BarChart, LineChart
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from farmdesk.errors import Refused, problem
from farmdesk.paper.charts import Chart, spell_bounds
from farmdesk.paper.safe_files import write_safely
from farmdesk.paper.sheet_stream import (
    Maker,
    Place,
    make_cells,
    row_of,
    text_cell,
    write_rows,
)
from farmdesk.paper.sheets import LAST_ROW, Properties, Sheet, name_sheets
from farmdesk.paper.tables import Column, Table, clean_text
from farmdesk.paper.workbook_charts import CHART_ROWS, build_charts, figures_sheet
from farmdesk.paper.workbook_frame import (
    Frame,
    Role,
    heading_of,
    mass_unit,
    set_up_print,
    set_widths,
    width_of,
)
from farmdesk.paper.workbook_tables import TableNames
from farmdesk.quantities.mass import amount_in
from farmdesk.quantities.times import find_zone, from_iso
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_SAMPLE = 200
_CHART_COLUMNS = 9
"""Columns of ordinary width that a chart covers."""
_ROWS_WITH_CHART_BELOW = 45
_LEVEL = 4
_SAME_TIME = (1980, 1, 1, 0, 0, 0)
_DIMENSION = re.compile(rb"<dimension [^>]*/>")
_ROWS = re.compile(rb"<sheetData\s*/>|<sheetData></sheetData>")


def assemble(
    sheets: Sequence[Sheet],
    path: Path,
    *,
    formats: Formats,
    properties: Properties,
    page: str,
) -> None:
    """Write the workbook; see `spreadsheet.write_workbook`."""
    bounds = {"low": tr("at least"), "high": tr("at most")}
    charts = [spell_bounds(chart, **bounds) for sheet in sheets for chart in sheet.charts]
    every = [*sheets, figures_sheet(charts)] if charts else list(sheets)
    if not every:
        raise ValueError("a workbook needs a sheet")
    frame = Frame(name_sheets(sheet.title for sheet in every), formats)
    _describe(frame, properties)
    assembly = _Assembly(frame, formats)
    for sheet, at in zip(every, frame.sheets, strict=True):
        assembly.add(sheet, at, page=page)
    assembly.hang(charts)
    with (
        write_safely(path) as draft,
        zipfile.ZipFile(draft, "w", zipfile.ZIP_DEFLATED, compresslevel=_LEVEL) as archive,
    ):
        assembly.write(archive)


class _Assembly:
    """The writing of one workbook."""

    def __init__(self, frame: Frame, formats: Formats) -> None:
        self._frame = frame
        self._formats = formats
        self._mass_factor = float(1 / amount_in(1, mass_unit(formats)))
        self._zone = find_zone(formats.zone)
        self._sheets: list[tuple[Sheet, Worksheet]] = []
        self._charts: list[list[BarChart | LineChart]] = []
        self._names = TableNames()

    def add(self, sheet: Sheet, at: Worksheet, *, page: str) -> None:
        """Take a sheet and set up all of it that needs no rows but a sample."""
        tables = [self._measured(table) for table in sheet.tables]
        tables = _with_equal_widths(tables)
        widths = max((table.columns for table in tables), key=len, default=())
        set_widths(at, [column.width or 0 for column in widths])
        is_alone = len(tables) == 1
        set_up_print(at, sheet.title, page=page, repeat_first_row=is_alone)
        if is_alone:
            at.freeze_panes = "A2"
        self._sheets.append((replace(sheet, tables=tables), at))

    def hang(self, charts: Sequence[Chart]) -> None:
        """Give each sheet its charts, which point at the last sheet's figures."""
        built = iter(build_charts(charts, self._sheets[-1][1])) if charts else iter(())
        for sheet, at in self._sheets:
            own = list(islice(built, len(sheet.charts)))
            for chart in own:
                at.add_chart(chart, "A1")
            self._charts.append(own)

    def write(self, archive: zipfile.ZipFile) -> None:
        """Write the sheets, then every other part with what is known by then."""
        parts = self._frame.parts()
        names = [at.path.lstrip("/") for at in self._frame.sheets]
        for index, name in enumerate(names):
            with archive.open(_entry(name), "w", force_zip64=True) as sink:
                sink.write(_split_at_rows(parts[name])[0] + b"<sheetData>")
                self._write_rows(sink, index)
                parts = self._frame.parts()
                end = _split_at_rows(parts[name])[1]
                sink.write(b"</sheetData>" + _with_texts_kept(end, self._sheets[index][0]))
        for name, data in parts.items():
            if name not in names:
                archive.writestr(_entry(name), data)

    def _write_rows(self, sink: IO[bytes], index: int) -> None:
        """Write a sheet's rows and settle what depends on how many there are."""
        sheet, at = self._sheets[index]
        is_alone = len(sheet.tables) == 1
        row = 1
        for table in sheet.tables:
            first = row if is_alone else row + 1
            row, last_data = self._write_table(sink, table, row, is_alone=is_alone)
            headings = [clean_text(heading_of(one, self._formats)) for one in table.columns]
            named = self._names.add_table(at, table.name, headings, first=first, last=last_data)
            if is_alone and not named:
                at.auto_filter.ref = f"A1:{get_column_letter(len(headings))}{last_data}"
        if self._charts[index] and row <= _ROWS_WITH_CHART_BELOW:
            at.page_setup.fitToHeight = 1
        _place_charts(self._charts[index], sheet, row)
        at.print_area = _printed(len(self._charts[index]), sheet, row)

    def _write_table(
        self, sink: IO[bytes], table: Table, row: int, *, is_alone: bool
    ) -> tuple[int, int]:
        """Write a table from a row on; give the next free row and the last row of data."""
        if not is_alone:
            sink.write(self._line(table.title, row, "title"))
            row += 1
        sink.write(row_of(self._headings(table, row), row).encode())
        makers = [
            self._maker(column, get_column_letter(number))
            for number, column in enumerate(table.columns, start=1)
        ]
        room = LAST_ROW - (1 if table.totals else 0) - len(table.notes) - 2
        row = write_rows(sink, table, row + 1, makers=makers, last=room)
        if row > room + 1:
            raise Refused(problem("too_many_rows", sheet=table.title, limit=room - 1))
        last_data = row - 1
        if table.totals is not None:
            sink.write(row_of(self._totals(table, row), row).encode())
            row += 1
        for number, note in enumerate(table.notes, start=row + 1):
            sink.write(self._line(note, number, "note"))
            row = number
        return row + 1 + (1 if table.notes else 0), last_data

    def _measured(self, table: Table) -> Table:
        """The table with a width for each column, from its first rows."""
        rows = iter(table.rows)
        sample = list(islice(rows, _SAMPLE))
        seen = [*sample, table.totals] if table.totals is not None else sample
        columns = []
        for index, column in enumerate(table.columns):
            values = [row[index] for row in seen if index < len(row)]
            width = width_of(column, values, self._formats)
            columns.append(replace(column, width=width))
        return replace(table, columns=columns, rows=chain(sample, rows))

    def _maker(self, column: Column, letter: str, role: Role = "body") -> Maker:
        place = Place(
            letter,
            self._frame.style(role, column),
            self._frame.style(role, column, as_text=True),
        )
        return make_cells(column, place, mass_factor=self._mass_factor, zone=self._zone)

    def _headings(self, table: Table, row: int) -> str:
        return "".join(
            text_cell(
                heading_of(column, self._formats),
                f"{get_column_letter(number)}{row}",
                self._frame.style("heading", column, as_text=True),
            )
            for number, column in enumerate(table.columns, start=1)
        )

    def _totals(self, table: Table, row: int) -> str:
        cells = []
        for number, column in enumerate(table.columns, start=1):
            letter = get_column_letter(number)
            value = (table.totals or ())[number - 1]
            made = self._maker(column, letter, "total")([value], [str(row)])[0]
            empty = f'<c r="{letter}{row}" s="{self._frame.style("total", column)}"/>'
            cells.append(made or empty)
        return "".join(cells)

    def _line(self, text: str, row: int, role: Role) -> bytes:
        return row_of(text_cell(text, f"A{row}", self._frame.style(role)), row).encode()


def _describe(frame: Frame, properties: Properties) -> None:
    about = frame.book.properties
    about.title = clean_text(properties.title)
    about.creator = clean_text(properties.author)
    if properties.made_at is not None:
        about.created = from_iso(properties.made_at).replace(tzinfo=None)


def _with_equal_widths(tables: Sequence[Table]) -> list[Table]:
    """Tables below each other share the columns of the sheet, so the widest counts."""
    ranks = zip_longest(*([column.width or 0 for column in table.columns] for table in tables))
    widths = [max(width or 0 for width in rank) for rank in ranks]
    return [
        replace(
            table,
            columns=[
                replace(column, width=width)
                for column, width in zip(table.columns, widths, strict=False)
            ],
        )
        for table in tables
    ]


def _split_at_rows(part: bytes) -> tuple[bytes, bytes]:
    """What stands before and after the rows; the guess of how many there are is left out."""
    before, after = _ROWS.split(_DIMENSION.sub(b"", part), maxsplit=1)
    return before, after


def _with_texts_kept(end: bytes, sheet: Sheet) -> bytes:
    """The sheet's end, with a word that texts of digits are meant and deserve no warning."""
    letters = {
        get_column_letter(number)
        for table in sheet.tables
        for number, column in enumerate(table.columns, start=1)
        if not column.is_figure
    }
    if not letters:
        return end
    areas = " ".join(f"{letter}1:{letter}{LAST_ROW}" for letter in sorted(letters))
    mark = f'<ignoredErrors><ignoredError sqref="{areas}" numberStoredAsText="1"/></ignoredErrors>'
    place = next(one for one in (b"<drawing ", b"<tableParts", b"</worksheet>") if one in end)
    return end.replace(place, mark.encode() + place, 1)


def _place_charts(charts: Sequence[BarChart | LineChart], sheet: Sheet, free_row: int) -> None:
    """Below a short table, so that both are printed one under the other; beside a long one."""
    widest = max((len(table.columns) for table in sheet.tables), default=0)
    for number, chart in enumerate(charts):
        if free_row <= _ROWS_WITH_CHART_BELOW:
            chart.anchor = f"A{free_row + 1 + number * CHART_ROWS}"
        else:
            chart.anchor = f"{get_column_letter(widest + 2)}{2 + number * CHART_ROWS}"


def _printed(charts: int, sheet: Sheet, free_row: int) -> str:
    """The cells that are printed: the tables, and the charts below or beside them."""
    columns = max((len(table.columns) for table in sheet.tables), default=1)
    rows = max(free_row - 1, 1)
    if charts and free_row <= _ROWS_WITH_CHART_BELOW:
        return (
            f"A1:{get_column_letter(max(columns, _CHART_COLUMNS))}{rows + charts * CHART_ROWS + 1}"
        )
    if charts:
        columns += 1 + _CHART_COLUMNS
    return f"A1:{get_column_letter(columns)}{rows}"


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, _SAME_TIME)
    entry.compress_type = zipfile.ZIP_DEFLATED
    return entry
