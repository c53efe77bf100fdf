"""The door to documents: their parts, and how one is written as PDF."""

from __future__ import annotations

from pathlib import Path

from farmdesk.paper.document_parts import (
    Address,
    AddressPair,
    Block,
    Columns,
    Details,
    Document,
    Figure,
    Figures,
    Heading,
    Note,
    PageBreak,
    PageSize,
    Paragraph,
    SignLines,
    TotalsBox,
)
from farmdesk.paper.safe_files import write_safely
from farmdesk.wording.formats import Formats

__all__ = [
    "Address",
    "AddressPair",
    "Block",
    "Columns",
    "Details",
    "Document",
    "Figure",
    "Figures",
    "Heading",
    "Note",
    "PageBreak",
    "PageSize",
    "Paragraph",
    "SignLines",
    "TotalsBox",
    "write_document",
]


def write_document(
    document: Document,
    path: Path,
    *,
    formats: Formats,
    page: PageSize = "A4",
) -> int:
    """Write a document as PDF and give its number of pages; the same document, the same bytes.

    Raises NotWritten, and Refused (`too_many_rows`).
    """
    from farmdesk.paper.document_layout import lay_out  # noqa: PLC0415 - reportlab loads late

    laid = lay_out(document, formats=formats, page=page)
    with write_safely(path) as draft:
        draft.write_bytes(laid.pdf)
    return laid.pages
