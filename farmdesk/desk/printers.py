"""The printers of this computer: which there are, and pages put on one with its correction."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtPrintSupport import QPrinter, QPrinterInfo

from farmdesk.desk.page_painting import NO_OFFSET, print_pages, set_page_size
from farmdesk.errors import DeviceTrouble, problem
from farmdesk.paper.pages import Page
from farmdesk.settings.print_offsets import Offset

PDF = ""
"""Stands for a PDF file where a printer's name is asked."""


def printer_names() -> list[str]:
    """The printers that this computer knows, the usual one first."""
    names: list[str] = QPrinterInfo.availablePrinterNames()
    usual = QPrinterInfo.defaultPrinterName()
    return sorted(names, key=lambda name: (name != usual, name.casefold()))


def open_printer(name: str) -> QPrinter:
    """A printer by its name; raises DeviceTrouble when it is not there."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setPrinterName(name)
    if name not in printer_names() or not printer.isValid():
        raise DeviceTrouble(problem("printer_not_there", printer=name))
    return printer


def print_on(
    printer: QPrinter, pages: Sequence[Page], *, title: str, offset: Offset = NO_OFFSET
) -> int:
    """Print pages at their real size, moved by the printer's correction; how many there were."""
    if pages:
        set_page_size(printer, pages[0])
    return print_pages(pages, printer, title=title, offset=offset)
