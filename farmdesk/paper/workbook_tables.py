"""Tables of a sheet as spreadsheets know them: a name, headings that filter, striped rows."""

from __future__ import annotations

import re
from collections.abc import Sequence

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.filters import AutoFilter
from openpyxl.worksheet.table import Table as NamedTable
from openpyxl.worksheet.table import TableColumn, TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

_SIGNS = re.compile(r"[^A-Za-z0-9_]")
_STYLE = TableStyleInfo(name="TableStyleLight1", showRowStripes=True)


class TableNames:
    """Gives each table of a workbook a name of its own that formulas can use."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def add_table(
        self, at: Worksheet, name: str, headings: Sequence[str], *, first: int, last: int
    ) -> bool:
        """Make a named table of the rows from the headings' to the last; whether it could be.

        A table without a row, or with two headings alike, is none to a spreadsheet.
        """
        folded = [one.casefold() for one in headings]
        if last <= first or len(set(folded)) != len(folded) or not all(headings):
            return False
        ref = f"A{first}:{get_column_letter(len(headings))}{last}"
        table = NamedTable(displayName=self._name(name), ref=ref, tableStyleInfo=_STYLE)
        for number, heading in enumerate(headings, start=1):
            table.tableColumns.append(TableColumn(id=number, name=heading))
        table.autoFilter = AutoFilter(ref=ref)
        at.add_table(table)
        return True

    def _name(self, wanted: str) -> str:
        """Letters, digits and strokes, never like a cell: 'picked_species_1' if taken."""
        base = f"fd_{_SIGNS.sub('_', wanted)}"[:200]
        name, number = base, 1
        while name.casefold() in self._taken:
            number += 1
            name = f"{base}_{number}"
        self._taken.add(name.casefold())
        return name
