"""The frame of a workbook by openpyxl: styles, widths, panes, print set-up; no rows."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from babel.numbers import get_currency_precision
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.header_footer import HeaderFooterItem
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from farmdesk.paper.tables import Column, clean_text
from farmdesk.quantities.mass import amount_in
from farmdesk.wording.formats import Formats

Role = Literal["body", "heading", "total", "title", "note"]

WIDEST = 48.0
_NARROWEST = 8.0
_PAPERS = {"A4": 9, "letter": 1}
_CODES = {
    "day": "yyyy-mm-dd",
    "instant": "yyyy-mm-dd hh:mm",
    "code": "@",
    "flag": '"yes";"yes";"no"',
}
_FONTS = {
    "body": Font(name="Calibri", size=11),
    "heading": Font(name="Calibri", size=11, bold=True),
    "total": Font(name="Calibri", size=11, bold=True),
    "title": Font(name="Calibri", size=14, bold=True),
    "note": Font(name="Calibri", size=10, color="FF595959"),
}
_HAIR = Side(style="thin", color="FF7F7F7F")
_BORDERS = {"heading": Border(bottom=_HAIR), "total": Border(top=_HAIR)}
_HEADING_FILL = PatternFill("solid", fgColor="FFEDEFEA")


class Frame:
    """A workbook without rows, and the style numbers that streamed cells refer to."""

    def __init__(self, names: Sequence[str], formats: Formats) -> None:
        self.book = Workbook()
        self.book.remove(self.book.worksheets[0])
        self.sheets: list[Worksheet] = [self.book.create_sheet(name) for name in names]
        self._formats = formats
        self._styles: dict[tuple[str, str, bool, bool], int] = {}

    def style(self, role: Role, column: Column | None = None, *, as_text: bool = False) -> int:
        """The number of the style for a role in a column; `as_text` for words in it."""
        is_right = column is not None and column.is_figure and not (as_text and role == "body")
        keeps_look = column is not None and (not as_text or column.kind == "code")
        code = number_format(column, self._formats) if column and keeps_look else "General"
        wraps = column is not None and (role == "heading" or column.width == WIDEST)
        return self._style_number(role, code, is_right=is_right, wraps=wraps)

    def parts(self) -> dict[str, bytes]:
        """The files inside the workbook as openpyxl writes them now, by name."""
        stream = io.BytesIO()
        self.book.save(stream)
        with zipfile.ZipFile(stream) as archive:
            return {name: archive.read(name) for name in archive.namelist()}

    def _style_number(self, role: Role, code: str, *, is_right: bool, wraps: bool) -> int:
        key = (role, code, is_right, wraps)
        if key not in self._styles:
            cell = WriteOnlyCell(self.sheets[0])
            cell.font = _FONTS[role]
            cell.number_format = code
            cell.alignment = Alignment(
                horizontal="right" if is_right else "left",
                vertical="bottom" if role == "heading" else "top",
                indent=1 if is_right else 0,
                wrap_text=wraps,
            )
            if role in _BORDERS:
                cell.border = _BORDERS[role]
            if role == "heading":
                cell.fill = _HEADING_FILL
            self._styles[key] = cell.style_id
        return self._styles[key]


def number_format(column: Column, formats: Formats) -> str:
    """The spreadsheet's code for a column's look; days the ISO way, clear in any country."""
    decimals = _decimals_of(column, formats)
    places = "." + "0" * decimals if decimals else ""
    if column.kind in ("integer", "number", "money", "mass"):
        return f"#,##0{places}"
    if column.kind == "percent":
        return f"0{places}%"
    return _CODES.get(column.kind, "General")


def mass_unit(formats: Formats) -> str:
    """The one unit that masses are written in: pounds and ounces become pounds."""
    return "lb" if formats.mass_unit == "lb_oz" else formats.mass_unit


def heading_of(column: Column, formats: Formats) -> str:
    """A column's heading with the unit of its bare numbers."""
    unit = column.unit
    if column.kind == "mass":
        unit = mass_unit(formats)
    elif column.kind == "money":
        unit = formats.currency
    elif column.kind == "percent":
        unit = ""
    return f"{column.title} ({unit})" if unit else column.title


def width_of(column: Column, values: Sequence[object], formats: Formats) -> float:
    """A width in characters that shows the heading and a sample of values, within reason."""
    if column.width is not None:
        return column.width
    heading = heading_of(column, formats)
    words = max((len(word) for word in heading.split()), default=0)
    longest = max((_length_of(value, column, formats) for value in values), default=0)
    wish = max(longest, words, min(len(heading), 14)) + 3.0
    return min(WIDEST, max(_NARROWEST, wish))


def set_widths(sheet: Worksheet, widths: Sequence[float]) -> None:
    """Set the columns' widths from the left."""
    for number, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(number)].width = width


def set_up_print(sheet: Worksheet, title: str, *, page: str, repeat_first_row: bool) -> None:
    """Landscape, as wide as the paper, the heading row on each page, page numbers."""
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = _PAPERS[page]
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_margins.left = sheet.page_margins.right = 0.5
    sheet.page_margins.top = sheet.page_margins.bottom = 0.75
    if repeat_first_row:
        sheet.print_title_rows = "1:1"
    shown = clean_text(title)[:120].replace("&", "&&")
    header, footer = HeaderFooterItem(), HeaderFooterItem()
    header.left.text, footer.right.text = shown, "&P / &N"
    sheet.oddHeader, sheet.oddFooter = header, footer


def _decimals_of(column: Column, formats: Formats) -> int:
    if column.digits is None and column.kind == "money":
        return get_currency_precision(formats.currency)
    if column.kind == "mass":
        return column.mass_decimals(mass_unit(formats))
    return column.decimals


def _length_of(value: object, column: Column, formats: Formats) -> int:
    """Characters that the programs will show, counted without loading a locale's data."""
    if value is None:
        return 0
    if column.kind in ("day", "instant"):
        return 10 if column.kind == "day" else 16
    if column.is_figure and isinstance(value, int | float | Decimal | Fraction):
        unit = float(amount_in(1, mass_unit(formats))) if column.kind == "mass" else 1.0
        return len(f"{float(value) * unit:,.{_decimals_of(column, formats)}f}")
    return max((len(line) for line in str(value).split("\n")), default=0)
