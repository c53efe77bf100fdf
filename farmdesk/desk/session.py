"""One farm open at the desk: scans go to its bench, commands are done, other stations are seen."""

from __future__ import annotations

import gc
from dataclasses import replace
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from farmdesk.actions.changes import Changes, changes_since
from farmdesk.actions.scanning import Bench, ScanAnswer
from farmdesk.actions.undo import redo_last, undo_last
from farmdesk.desk.answers import AnswerView
from farmdesk.desk.bench_acts import KEYS, BenchActs
from farmdesk.desk.dialogs import tell
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.opening import open_desk, show_faults
from farmdesk.desk.picture_desk import PictureDesk
from farmdesk.desk.scale_bench import ScaleBench
from farmdesk.desk.station_formats import formats_of
from farmdesk.desk.undo_titles import UndoTitles
from farmdesk.desk.who_works import PersonDialog, guess_person, list_people
from farmdesk.domain.catalogue import Farm, Person
from farmdesk.errors import FarmdeskError, NotWritten, StoreUnavailable, problem
from farmdesk.settings.preferences import save_preferences
from farmdesk.settings.print_offsets import PrintOffsets
from farmdesk.store.farm_store import FarmStore, is_server, open_farm
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_state

if TYPE_CHECKING:
    from farmdesk.desk.application import Desk
    from farmdesk.desk.commands_of_farm import FarmCommands
    from farmdesk.desk.label_desk import LabelDesk

Found = tuple[FarmStore, Farm | None, int, list[Person]]
"""An opened farm: its own row, how far its day book goes, and who works there."""

KEEP_MS = 1000
"""So long after a farm was opened its first page is filled, and what is loaded is set aside."""
WATCH_MS = 1500
"""How often other stations' acts are looked for, and the write-ahead log is emptied."""


class Session(QObject):
    """Opens farms for a desk, one at a time; strip and bench view listen to its answers."""

    answered = Signal(object, object)
    """An answer as it is shown (AnswerView), and as the bench gave it (ScanAnswer)."""
    meaning_changed = Signal(str)

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.desk = desk
        self.window = desk.window
        self.store: FarmStore | None = None
        self.bench: Bench | None = None
        self.person: Person | None = None
        self._farm: Farm
        self._seen = 0
        self._watching = False
        self._watch = QTimer(self)
        self._watch.setInterval(WATCH_MS)
        self._watch.timeout.connect(self.look_for_changes)
        self._watch.timeout.connect(self._keep_lists)
        self._keep = QTimer(self)
        self._keep.setSingleShot(True)
        self._keep.setInterval(KEEP_MS)
        self._keep.timeout.connect(_keep_what_is_loaded)
        self._lists_trouble = ""
        show_faults(self.window, desk.workplace)
        strip = self.window.strip
        strip.line_entered.connect(self._scan)
        strip.yes_answered.connect(partial(self.reply, True))
        strip.no_answered.connect(partial(self.reply, False))
        self.answered.connect(strip.show_answer)
        self.meaning_changed.connect(strip.set_meaning)
        self.bench_acts = BenchActs(self)
        self.scale_bench = ScaleBench(self, desk.devices.scale)
        self.pictures = PictureDesk(self)
        self.window.command_asked.connect(self._do_command)
        self.undo_titles = UndoTitles(self)

    @property
    def station(self) -> str:
        """This computer's name among the farm's stations."""
        return self.desk.preferences.station or "desk"

    @property
    def farm_locale(self) -> str:
        """The locale whose decimal sign the bench reads weights with."""
        return self._farm.locale

    @cached_property
    def commands(self) -> FarmCommands:
        """The commands of the menus, loaded at the first one."""
        from farmdesk.desk.commands_of_farm import (  # noqa: PLC0415 - labels and checks load late
            FarmCommands,
        )

        return FarmCommands(self)

    @cached_property
    def label_desk(self) -> LabelDesk:
        """What prints labels that cards ask for, loaded at the first one."""
        from farmdesk.desk.label_desk import LabelDesk  # noqa: PLC0415 - printing loads late

        return LabelDesk(self)

    def _do_command(self, key: str) -> None:
        if key in KEYS:
            self.bench_acts.do(key)
        elif key == "person" and self.store is not None:
            self.desk.workplace.read(list_people, self.store, then=self._ask_person)
        else:
            self.commands.do(key)

    def _ask_person(self, people: list[Person]) -> None:
        self.window.open_dialog(PersonDialog(people, self.person, self.use_person))

    def use_person(self, person: Person | None) -> None:
        """From now on this person works here; the acts before keep whose they were."""
        self.person = person
        initials = person.initials if person is not None else ""
        self.desk.preferences = replace(self.desk.preferences, initials=initials)
        if self.store is not None:
            self._make_bench(self.store)
            self._make_context(self.store, self._farm)

    def _ask_how_to_begin(self, where: str) -> None:
        from farmdesk.desk.first_start import FirstStart  # noqa: PLC0415 - seldom wanted

        FirstStart(self, where).ask()

    # ---- opening and closing

    def open(self, where: str) -> None:
        """Open the farm there; where there is none, ask how to begin."""
        if not is_server(where) and not _has_farm(Path(where)):
            self._ask_how_to_begin(where)
            return
        self.desk.workplace.do(
            _open_and_read, where, then=partial(self._opened, where), failed=self._not_opened
        )

    def _opened(self, where: str, found: Found) -> None:
        store, farm, seen, people = found
        if farm is None:
            store.close()
            self._ask_how_to_begin(where)
            return
        self._leave_farm()
        self.store, self._seen = store, seen
        if store.is_sqlite:  # an address may hold a password: it is not kept
            self.desk.preferences = replace(self.desk.preferences, last_farm=where)
        self.person = guess_person(people, self.desk.preferences.initials)
        self._make_bench(store)
        self._make_context(store, farm)
        self._watch.start()
        self._keep.start()

    def _make_bench(self, store: FarmStore) -> None:
        self.bench = Bench(
            store,
            station=self.station,
            person=self.person.id if self.person is not None else None,
            card_minutes=self.desk.preferences.card_minutes,
        )
        self.desk.router.read_reply = self.bench.reply_of
        self.desk.router.sound = self.bench_acts.sounds.play
        self.desk.workplace.do(self.bench.meaning, then=self._show_meaning)

    def _make_context(self, store: FarmStore, farm: Farm) -> None:
        self._farm = farm
        store.formats = formats_of(farm, self.desk.preferences)
        self.context = open_desk(
            self.window,
            store,
            workplace=self.desk.workplace,
            refresher=self.desk.refresher,
            formats=store.formats,
            station=self.station,
            person=self.person,
            preferences=self.desk.preferences,
            print_offsets=PrintOffsets(self.desk.kept.with_name("print_offsets.json")),
            scale=self.desk.devices.scale,
        )
        who = self.person.name if self.person is not None else tr("nobody named (Ctrl+Shift+P)")
        self.window.set_station_text(f"{farm.name}  ·  {self.station}  ·  {who}")

    def _not_opened(self, error: FarmdeskError) -> None:
        tell(self.window, tr("The farm cannot be opened"), sentence_of(error))

    def _leave_farm(self) -> None:
        self._watch.stop()
        self._keep.stop()
        if self.store is not None:
            self.desk.workplace.settled()
            self.store.close()
            self.store = None

    def close(self) -> None:
        """Leave the farm tidy and keep this computer's preferences."""
        self.bench_acts.close()
        self.pictures.close()
        theme = self.window.theme
        geometry = bytes(self.window.saveGeometry().toBase64().data()).decode()
        self.desk.preferences = replace(
            self.desk.preferences,
            theme=self.desk.kept_theme(theme.scheme),
            text_scale=round(theme.scale * 100),
            window=geometry,
        )
        try:
            save_preferences(self.desk.preferences, self.desk.kept)
        except NotWritten as error:
            self.window.say(sentence_of(error))
        self._keep_lists()
        self._leave_farm()

    def _keep_lists(self) -> None:
        """Write how lists look soon after a change: a desk that is killed forgets seconds."""
        memory = self.window.list_memory
        try:
            if memory is not None:
                memory.save()
        except NotWritten as error:
            if (trouble := sentence_of(error)) != self._lists_trouble:
                self._lists_trouble = trouble
                self.window.say(trouble)

    # ---- scans

    def _scan(self, line: str) -> None:
        if self.bench is not None:
            self.desk.workplace.do(self.bench.scan, line, then=self._answered)
        else:
            self.desk.window.say(
                tr("No farm is open, so that code was not used. Open a farm first.")
            )

    def reply(self, yes: bool) -> None:
        """Answer the question that waits."""
        if self.bench is not None:
            self.desk.workplace.do(self.bench.answer, yes, then=self._answered)

    def _answered(self, answer: ScanAnswer) -> None:
        self.answered.emit(view_of(answer), answer)
        if answer.print_wanted is not None and self.store is not None:
            self.label_desk.print_wanted(answer)
        if self.bench is not None:
            self._show_meaning(self.bench.meaning())
        self.look_for_changes()

    def _show_meaning(self, meaning: str) -> None:
        self.meaning_changed.emit(meaning)

    # ---- what others do, and undo

    def look_for_changes(self) -> None:
        """Read what any station has done since, and tell the pages."""
        if self.store is not None and not self._watching:
            self._watching = True
            self.desk.workplace.read(
                _changes_and_checkpoint,
                self.store,
                self._seen,
                then=self._changed,
                failed=self._not_seen,
            )

    def _changed(self, changes: Changes | None) -> None:
        self._watching = False
        if changes is not None:
            self._seen = max(self._seen, changes.last_number)
            if "farm" in changes.kinds and self.store is not None:
                self.desk.workplace.read(_read_farm, self.store, then=self._farm_changed)
            self.desk.refresher.broadcast(changes.kinds)

    def _farm_changed(self, farm: Farm) -> None:
        """Units, language or zone were changed: the pages are made again with the new ones."""
        if self.store is None:
            return
        if formats_of(farm, self.desk.preferences) != self.context.formats:
            self._make_context(self.store, farm)

    def preferences_changed(self) -> None:
        """Station, units or devices were chosen anew: bench and pages are made again."""
        if self.store is not None:
            self._make_bench(self.store)
            self._make_context(self.store, self._farm)

    def _not_seen(self, error: FarmdeskError) -> None:
        self._watching = False
        self.window.say(sentence_of(error))

    def undo(self) -> None:
        """Take back this station's last act, and say what it was."""
        self.context.act(partial(undo_last, station=self.station), then=self.tell_last)

    def redo(self) -> None:
        """Do again what was taken back last, and say what it was."""
        self.context.act(partial(redo_last, station=self.station), then=self.tell_last)

    def tell_last(self, _entries: object = None) -> None:
        """Say on strip and bench view what this station did last."""
        self.desk.workplace.read(_last_sentence, self.store, self.station, then=self._show_told)

    def _show_told(self, sentence: str) -> None:
        if not self.window.strip.is_asking:
            view = AnswerView("done", sentence)
            self.window.strip.show_answer(view)
            self.bench_acts.show_answer(view)
        self.window.say(sentence)


def view_of(answer: ScanAnswer) -> AnswerView:
    """A bench's answer as the strip shows it."""
    return AnswerView(
        outcome=answer.outcome,
        sentence=answer.message,
        subject=answer.subject,
        stage=say_state(answer.stage),
        room=answer.room,
        count_text=count_of(answer),
        asks=answer.outcome == "ask",
    )


def count_of(answer: ScanAnswer) -> str:
    """How far the batch is under this card, or how many bags were done under it."""
    if answer.batch_bags:
        return tr("{done} of {bags} in the batch").format(
            done=answer.done_of_batch, bags=answer.batch_bags
        )
    return tr("{count} under this card").format(count=answer.count) if answer.count else ""


def _keep_what_is_loaded() -> None:
    """What is loaded now stays: the collector need not walk it in the middle of a scan."""
    gc.collect()
    gc.freeze()


def _has_farm(path: Path) -> bool:
    try:
        return path.is_dir() or path.stat().st_size > 0
    except FileNotFoundError:
        return False
    except OSError:
        return True


def _open_and_read(where: str) -> Found:
    store = open_farm(where, make=is_server(where))
    with store.reading() as reading:
        farm, seen = reading.first(Farm), reading.last_number()
    return store, farm, seen, list_people(store)


def _read_farm(store: FarmStore) -> Farm:
    with store.reading() as reading:
        found = reading.first(Farm)
    if found is None:
        raise StoreUnavailable(problem("farm_not_begun"))
    return found


def _last_sentence(store: FarmStore, station: str) -> str:
    from farmdesk.reports.day_book import day_book  # noqa: PLC0415 - only after an undo

    with store.reading() as reading:
        lines = day_book(reading, station=station, limit=1).lines
    return lines[0].sentence if lines else ""


def _changes_and_checkpoint(store: FarmStore, seen: int) -> Changes | None:
    changes = changes_since(store, seen)
    if changes is not None:
        store.checkpoint()
    return changes
