"""Opens the desk for a farm: the ways that pages act, ask and speak. Load it after the paint."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtWidgets import QWidget

from farmdesk.actions.base import Act, Done, Who
from farmdesk.actions.base import perform as perform_act
from farmdesk.desk.acting import perform
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import ask, tell
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.refresh import Refresher
from farmdesk.desk.scale_link import ScaleLink
from farmdesk.desk.window import DeskWindow
from farmdesk.desk.workplace import Workplace, tell_if_there
from farmdesk.domain.catalogue import Person
from farmdesk.domain.events import new_act_id
from farmdesk.errors import FarmdeskError
from farmdesk.settings.preferences import Preferences
from farmdesk.settings.print_offsets import PrintOffsets
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

ResultT = TypeVar("ResultT")


class FarmAct:
    """Does acts on one farm for one person at one station; is `DeskContext.act`."""

    def __init__(
        self,
        farm: FarmStore,
        who: Who,
        *,
        window: DeskWindow,
        workplace: Workplace,
        refresher: Refresher,
    ) -> None:
        self._farm = farm
        self._who = who
        self._window = window
        self._workplace = workplace
        self._refresher = refresher

    def __call__(
        self,
        action: Callable[[Act], ResultT],
        *,
        then: Callable[[ResultT], object] | None = None,
        failed: Callable[[FarmdeskError], object] | None = None,
        no: Callable[[], object] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        """Do the action; its id is made here, so that a repeat of it counts once."""
        act_id = new_act_id()

        def run(confirmed: frozenset[str]) -> Done[ResultT]:
            return perform_act(self._farm, action, who=self._who, act=act_id, confirmed=confirmed)

        def finish(done: Done[ResultT]) -> None:
            tell_if_there(then, done.result)
            self._refresher.broadcast(done.changes.kinds)

        def read_back(
            sentence: str, yes: Callable[[], object], on_no: Callable[[], object]
        ) -> None:
            ask(parent or self._window, sentence, yes=yes, no=on_no)

        perform(self._workplace, run, read_back, then=finish, failed=failed, no=no)


def open_desk(  # noqa: PLR0913 - all that a station has
    window: DeskWindow,
    farm: FarmStore,
    *,
    workplace: Workplace,
    refresher: Refresher,
    formats: Formats,
    station: str,
    person: Person | None,
    preferences: Preferences | None = None,
    print_offsets: PrintOffsets | None = None,
    scale: ScaleLink | None = None,
) -> DeskContext:
    """Open the window for a farm and give the context that its pages have."""
    who = Who(station, person.id if person is not None else None)

    def show_error(error: FarmdeskError) -> None:
        tell(window, tr("That was not done"), sentence_of(error))

    context = DeskContext(
        workplace=workplace,
        refresher=refresher,
        strip=window.strip,
        farm=farm,
        formats=formats,
        station=station,
        person=person,
        go_to=window.show_place,
        open_dialog=window.open_dialog,
        say=window.say,
        show_error=show_error,
        act=FarmAct(farm, who, window=window, workplace=workplace, refresher=refresher),
        preferences=preferences or Preferences(),
        print_offsets=print_offsets or PrintOffsets(),
        scale=scale,
    )
    window.use_context(context)
    return context


def show_faults(window: DeskWindow, workplace: Workplace) -> None:
    """Show errors that nobody else shows: calm ones as a sentence, faults with details. Once."""
    workplace.refused.connect(
        lambda error: tell(window, tr("That was not done"), sentence_of(error))
    )
    workplace.crashed.connect(
        lambda line, details: tell(
            window,
            tr("Something went wrong in Farmdesk"),
            tr(
                "{line}\n\nWhat was written to the farm before is safe. Copy the details "
                "if you report this."
            ).format(line=line),
            details=details,
        )
    )
