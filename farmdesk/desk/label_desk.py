"""The label that a card asks for: printed at once on the label printer, or offered to be saved."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from farmdesk.actions.base import Who
from farmdesk.actions.labelling import PrintJob, prepare_labels, record_job, stocks_of
from farmdesk.actions.scanning import ScanAnswer
from farmdesk.desk.answers import AnswerView
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.print_labels import LabelsDialog
from farmdesk.desk.printers import open_printer, print_on
from farmdesk.desk.station_formats import usual_stock
from farmdesk.errors import FarmdeskError
from farmdesk.settings.preferences import Preferences
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.session import Session


class LabelDesk(QObject):
    """Prints for a session; without a label printer in the preferences it opens the dialog."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self.open_printer = open_printer

    def print_wanted(self, answer: ScanAnswer) -> None:
        """Print the label of what the answer names."""
        session = self._session
        printer = session.desk.preferences.printer
        if not printer:
            session.window.open_dialog(LabelsDialog(session.context, answer.subject))
            return
        session.desk.workplace.read(
            _prepare, session.context.farm, answer.subject, session.desk.preferences,
            then=partial(self._print, printer), failed=self._failed,
        )  # fmt: skip

    def _print(self, printer: str, job: PrintJob) -> None:
        session = self._session
        offset = session.context.print_offsets.find(printer, job.stock)
        try:
            title = tr("Labels of {name}").format(name=job.stock)
            print_on(self.open_printer(printer), job.pages, title=title, offset=offset)
        except FarmdeskError as error:
            self._failed(error)
            return
        who = Who(session.station, session.person.id if session.person else None)
        session.desk.workplace.do(
            partial(record_job, who=who), session.context.farm, job, then=self._printed,
            failed=self._failed,
        )  # fmt: skip

    def _printed(self, _done: object) -> None:
        self._session.window.say(tr("The label is printed."))
        self._session.look_for_changes()

    def _failed(self, error: FarmdeskError) -> None:
        sentence = sentence_of(error)
        self._session.answered.emit(
            AnswerView("refused", sentence), ScanAnswer("", "refused", sentence)
        )


def _prepare(store: FarmStore, name: str, preferences: Preferences) -> PrintJob:
    """One label on the stock that is usual at this computer."""
    with store.reading() as reading:
        names = [one.name for one in stocks_of(reading)]
    stock = usual_stock([(one, one) for one in names], preferences) or names[0]
    return prepare_labels(store, [name], stock=stock, copies=1)
