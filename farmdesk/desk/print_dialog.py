"""A dialog that shows what will be printed, on which printer, and keeps the rest out of the way."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFileDialog, QPushButton, QWidget

from farmdesk.actions.base import Who
from farmdesk.actions.labelling import PrintedLabels, PrintJob, record_job, write_job
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import CheckField, ChoiceField, TextField
from farmdesk.desk.preview import Preview
from farmdesk.desk.printers import PDF, open_printer, print_on, printer_names
from farmdesk.desk.workplace import Errand
from farmdesk.errors import FarmdeskError, NotUnderstood
from farmdesk.settings.print_offsets import Offset
from farmdesk.wording.language import tr

_FORM_CHARACTERS, _PREVIEW_CHARACTERS = 34, 26
Prepare = Callable[[], PrintJob]


class PrintDialog(FormDialog):
    """Subclasses add their fields, then call `add_printer_fields` and `look`.

    `prepare` says what to print; it is asked again whenever a field changed.
    """

    def __init__(self, context: DeskContext, title: str, sentence: str, file_name: str) -> None:
        super().__init__(title, sentence=sentence, save_title=tr("Print"))
        self.context = context
        self.job: PrintJob | None = None
        self.open_printer = open_printer
        self.show_file: Callable[[Path], object] = _show_file
        self.choose_file: Callable[[str], str] = self._ask_file
        self._file_name = file_name
        self._errand: Errand | None = None
        self._waits = False
        self.preview = Preview((), title=title, parent=self)
        self.preview.set_zoom(0.5)
        self.preview.on_print = self.try_save
        self.preview.on_save_pdf = self.save_pdf
        self._split()

    def add_printer_fields(self) -> None:
        """The printer, and for a PDF the file."""
        names = printer_names()
        wanted = self.context.preferences.printer
        usual = wanted if wanted in names else names[0] if names else PDF
        choices = [*((name, name) for name in names), (PDF, tr("A PDF file"))]
        self.printer = self.form.add(
            ChoiceField("printer", tr("Printer"), choices, required=True, value=usual)
        )
        self.file = self.form.add(
            TextField("out", tr("PDF file"), value=str(Path.home() / self._file_name))
        )
        self.browse = QPushButton(tr("Choose the file …"))
        self.browse.setAutoDefault(False)
        self.browse.clicked.connect(self._browse)
        self.form.add_widget(self.browse)
        self.shows = self.form.add(CheckField("show", tr("Show it when written"), value=True))
        self.printer.changed.connect(self._printer_chosen)
        self._printer_chosen()

    def prepare(self) -> Prepare:
        """What makes the pages, in a worker; raises NotUnderstood while a field is wrong."""
        raise NotUnderstood()

    def count_text(self, count: int) -> str:
        """So many of what is printed, in words."""
        return self.context.formats.count(count, "label", "labels")

    def offset(self) -> Offset:
        """How far this print is moved on paper."""
        return Offset()

    def take_reply(self, yes: bool) -> None:
        """The card Yes prints what is shown, No leaves it: a card may have opened the dialog."""
        (self.try_save if yes else self.reject)()

    def look(self) -> None:
        """Make the pages again and show them."""
        if self._errand is not None:
            self._errand.drop()
        self.job = None
        try:
            prepare = self.prepare()
        except NotUnderstood:
            self.preview.set_pages(())
            return
        self._errand = self.context.workplace.read(
            prepare, then=self._looked, failed=self._not_prepared
        )

    def _looked(self, job: PrintJob) -> None:
        self._errand = None
        self.job = job
        self.form.show_on_top("")
        self.preview.set_pages(job.pages)
        if self._waits:
            self._waits = False
            self.try_save()

    def _not_prepared(self, error: FarmdeskError) -> None:
        self._errand = None
        self._waits = False
        self.preview.set_pages(())
        self.form.show_error(error)

    # ---- printing

    def save(self, values: dict[str, Any]) -> None:
        """Print the pages shown; those still being made are printed when they are."""
        if self.job is None:
            self._waits = self._errand is not None
            if not self._waits:
                self.look()
            return
        if values["printer"] == PDF:
            self.write(Path(values["out"] or str(Path.home() / self._file_name)))
            return
        try:
            printer = self.open_printer(values["printer"])
            print_on(printer, self.job.pages, title=self.windowTitle(), offset=self.offset())
        except FarmdeskError as error:
            self.form.show_error(error)
            return
        self._keep(record_job, self.job)

    def save_pdf(self) -> None:
        """Ask for a file and write the pages there instead of printing them."""
        name = self.choose_file(self.file.text()) if self.job is not None else ""
        if name:
            self.write(Path(name))

    def write(self, path: Path) -> None:
        """Write the pages to a PDF file, unmoved."""
        if self.job is not None:
            self._keep(write_job, self.job, path.expanduser())

    def _keep(self, function: Callable[..., PrintedLabels], *args: Any) -> None:
        context = self.context
        self._set_busy(busy=True)
        context.workplace.do(
            function,
            context.farm,
            *args,
            who=Who(context.station, context.person.id if context.person else None),
            then=self._printed,
            failed=self._show_failure,
        )

    def _printed(self, done: PrintedLabels) -> None:
        context = self.context
        context.refresher.broadcast({"printing"})
        count = self.count_text(done.count)
        told = tr("{labels} printed.").format(labels=count)
        if done.path is not None:
            told = tr("{labels} in {path}.").format(labels=count, path=done.path)
        if done.reprinted:
            again = context.formats.number(done.reprinted)
            told = tr("{told} {n} had a label before.").format(told=told, n=again)
        context.say(told)
        if done.path is not None and self.shows.value():
            self.show_file(done.path)
        self._finish(done)

    # ---- what it looks like

    def _split(self) -> None:
        self.column.removeWidget(self.form)
        row = self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        row.setSpacing(16)
        letter = self.fontMetrics().averageCharWidth()
        self.form.setMinimumWidth(letter * _FORM_CHARACTERS)
        self.preview.setMinimumWidth(letter * _PREVIEW_CHARACTERS)
        row.addWidget(self.form, 2)
        row.addWidget(self.preview, 3)
        self.column.insertLayout(self.column.indexOf(self.sentence) + 1, row, 1)

    def open(self) -> None:
        """Show the dialog wide enough for the form and the page beside it."""
        super().open()
        screen = self.screen().availableGeometry()
        wide = max(self.width(), self.fontMetrics().averageCharWidth() * 130)
        self.resize(
            min(wide, screen.width() - 40), min(max(self.height(), 600), screen.height() - 80)
        )

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's own name
        """Where the dialog is too narrow for both, the page stands below the form."""
        super().resizeEvent(event)
        characters = _FORM_CHARACTERS + _PREVIEW_CHARACTERS + 12
        is_narrow = self.width() < self.fontMetrics().averageCharWidth() * characters
        across, down = QBoxLayout.Direction.LeftToRight, QBoxLayout.Direction.TopToBottom
        self._row.setDirection(down if is_narrow else across)

    def _printer_chosen(self) -> None:
        is_file = self.printer.chosen() == PDF
        parts: tuple[QWidget, ...] = (self.file, self.browse, self.shows)
        for part in parts:
            part.setVisible(is_file)
        self.file.required = is_file

    def _browse(self) -> None:
        name = self.choose_file(self.file.text())
        if name:
            self.file.set_value(name if name.lower().endswith(".pdf") else f"{name}.pdf")

    def _ask_file(self, start: str) -> str:
        name, _ = QFileDialog.getSaveFileName(self, tr("PDF file"), start, tr("PDF (*.pdf)"))
        return str(name)


def _show_file(path: Path) -> None:
    QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))
