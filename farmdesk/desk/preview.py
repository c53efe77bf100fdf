"""Shows pages before they are printed, drawn from the very values that are printed."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QAction, QColor, QKeySequence, QPainter, QPaintEvent
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.dialogs import tell
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.overflow import OverflowBar
from farmdesk.desk.page_painting import draw_page, print_pages, set_page_size
from farmdesk.errors import FarmdeskError
from farmdesk.paper.pages import Page
from farmdesk.wording.language import tr

EDGE = 16
ZOOMS = (0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0)


class PaperSheet(QWidget):
    """One page as it will look on paper."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._page: Page | None = None
        self._zoom = 1.0
        self.setAccessibleName(tr("Preview of the page"))

    def show_page(self, page: Page | None, zoom: float) -> None:
        """Show a page at a zoom; 1.0 is its real size on this screen."""
        self._page, self._zoom = page, zoom
        self.setFixedSize(self.sizeHint())
        self.update()

    def dots_per_mm(self) -> float:
        """Screen pixels for a millimetre of paper at this zoom."""
        return self.logicalDpiX() / 25.4 * self._zoom

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """The page and a little ground around it."""
        if self._page is None:
            return QSize(300, 200)
        dots = self.dots_per_mm()
        return QSize(
            round(self._page.width_mm * dots) + EDGE * 2,
            round(self._page.height_mm * dots) + EDGE * 2,
        )

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's own name
        """Paint white paper and the page on it."""
        if self._page is None:
            return
        painter = QPainter(self)
        dots = self.dots_per_mm()
        painter.translate(EDGE, EDGE)
        width, height = round(self._page.width_mm * dots), round(self._page.height_mm * dots)
        painter.fillRect(3, 3, width, height, QColor(0, 0, 0, 60))
        painter.fillRect(0, 0, width, height, Qt.GlobalColor.white)
        painter.setClipRect(0, 0, width, height)
        draw_page(painter, self._page, dots_per_mm=dots)


class Preview(QWidget):
    """Pages to leaf through, with print and save; give `on_save_pdf` and `on_printed`."""

    def __init__(
        self, pages: Sequence[Page], *, title: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._title = title
        self._pages = tuple(pages)
        self._at = 0
        self._zoom = 1.0
        self.on_save_pdf: Callable[[], object] | None = None
        self.on_printed: Callable[[int], object] | None = None
        self.on_print: Callable[[], object] | None = None
        """Prints in a way of its own instead of asking for a printer."""
        self.sheet = PaperSheet()
        self._place = QLabel()
        self._bar = OverflowBar(self)
        self.back = self._add_tool(tr("Back"), "PgUp", lambda: self._leaf(-1))
        self.forward = self._add_tool(tr("Forward"), "PgDown", lambda: self._leaf(1))
        self._add_tool(tr("Smaller"), "Alt+-", lambda: self._step_zoom(-1))
        self._add_tool(tr("Larger"), "Alt++", lambda: self._step_zoom(1))
        self._add_tool(tr("Save as PDF …"), "Ctrl+S", self._save)
        self._add_tool(tr("Print …"), "Ctrl+P", self._choose_printer)
        bar = QHBoxLayout()
        bar.addWidget(self._place)
        bar.addWidget(self._bar, 1)
        area = QScrollArea()
        area.setProperty("pans", True)
        area.setAccessibleName(self.sheet.accessibleName())
        area.setWidget(self.sheet)
        area.setAlignment(Qt.AlignmentFlag.AlignCenter)
        column = QVBoxLayout(self)
        column.addLayout(bar)
        column.addWidget(area, 1)
        self.go_to(0)

    @property
    def pages(self) -> tuple[Page, ...]:
        """What is shown and printed."""
        return self._pages

    def set_pages(self, pages: Sequence[Page]) -> None:
        """Show other pages, from the first."""
        self._pages = tuple(pages)
        self.go_to(0)

    @property
    def place(self) -> int:
        """The page shown, from 0."""
        return self._at

    def go_to(self, at: int) -> None:
        """Show one of the pages."""
        self._at = max(0, min(at, len(self._pages) - 1))
        self.sheet.show_page(self._pages[self._at] if self._pages else None, self._zoom)
        place = tr("Page {page} of {pages}").format(page=self._at + 1, pages=len(self._pages))
        self._place.setText(place if self._pages else tr("Nothing to print"))
        self.back.defaultAction().setEnabled(self._at > 0)
        self.forward.defaultAction().setEnabled(self._at + 1 < len(self._pages))

    def set_zoom(self, zoom: float) -> None:
        """Show pages larger or smaller; 1.0 is real size."""
        self._zoom = zoom
        self.go_to(self._at)

    def print_on(self, printer: QPrinter) -> None:
        """Print all pages on a chosen printer."""
        try:
            count = print_pages(self._pages, printer, title=self._title)
        except FarmdeskError as error:
            tell(self.window(), tr("Not printed"), sentence_of(error))
            return
        if self.on_printed is not None:
            self.on_printed(count)

    def _leaf(self, by: int) -> None:
        self.go_to(self._at + by)

    def _step_zoom(self, step: int) -> None:
        nearest = min(range(len(ZOOMS)), key=lambda at: abs(ZOOMS[at] - self._zoom))
        self.set_zoom(ZOOMS[max(0, min(nearest + step, len(ZOOMS) - 1))])

    def _save(self) -> None:
        if self.on_save_pdf is not None:
            self.on_save_pdf()

    def _choose_printer(self) -> None:
        if not self._pages:
            return
        if self.on_print is not None:
            self.on_print()
            return
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        set_page_size(printer, self._pages[0])
        dialog = QPrintDialog(printer, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.accepted.connect(lambda: self.print_on(printer))
        dialog.setWindowModality(Qt.WindowModality.WindowModal)
        dialog.show()

    def _add_tool(self, title: str, key: str, function: Callable[[], object]) -> QToolButton:
        action = QAction(title, self)
        action.setShortcut(QKeySequence(key))
        action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        action.setToolTip(tr("{title} ({key})").format(title=title, key=key))
        action.triggered.connect(lambda _=False: function())
        self.addAction(action)
        return self._bar.add_action(action)


class PreviewDialog(QDialog):
    """A preview over the window."""

    def __init__(self, pages: Sequence[Page], *, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.preview = Preview(pages, title=title, parent=self)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.preview)
        self.resize(900, 640)
