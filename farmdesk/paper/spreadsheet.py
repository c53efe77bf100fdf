"""The door to workbooks: their sheets, and how they are written as XLSX."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from farmdesk.paper.sheets import Properties, Sheet
from farmdesk.wording.formats import Formats

__all__ = ["Properties", "Sheet", "write_workbook"]


def write_workbook(
    sheets: Sequence[Sheet],
    path: Path,
    *,
    formats: Formats,
    properties: Properties | None = None,
    page: Literal["A4", "letter"] = "A4",
) -> None:
    """Write the sheets as one XLSX file; masses in the farm's unit, instants on its clock.

    Raises NotWritten, and Refused (`too_many_rows`: sheet, limit) where a sheet cannot hold a
    table; nothing half-written is left then.
    """
    from farmdesk.paper.workbook_assembly import assemble  # noqa: PLC0415 - openpyxl loads late

    assemble(sheets, path, formats=formats, properties=properties or Properties(), page=page)
