"""What stands behind the bench view: the station's last acts, its open pick, its sounds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from farmdesk.actions.scanning import ScanAnswer
from farmdesk.actions.undo import STATION_ONLY, undo_act
from farmdesk.desk.answers import ACTS, ActLine, AnswerView
from farmdesk.desk.sounds import Sounds, open_sounds
from farmdesk.domain.catalogue import Crate
from farmdesk.domain.harvest import Pick
from farmdesk.domain.stations import Station
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.history import latest_acts
from farmdesk.store.picks import bags_in_pick, last_weighed
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.bench_view import BenchView
    from farmdesk.desk.session import Session
    from farmdesk.reports.day_book import DayBookLine

LOOKED_AT = 40
"""So many acts are looked through for the last five that are not only wall cards."""
KEYS = ("bench_view", "mute")


@dataclass(frozen=True)
class BenchFacts:
    """What the bench view shows besides the answer."""

    lines: tuple[DayBookLine, ...]
    pick: Pick | None = None
    crate: str = ""
    bags: int = 0
    weighed: Pick | None = None


def read_bench(store: FarmStore, station: str) -> BenchFacts:
    """The last acts of a station, its open pick and the pick it weighed last."""
    from farmdesk.reports.day_book import day_book  # noqa: PLC0415 - only for the bench view

    with store.reading() as reading:
        heads = latest_acts(reading, limit=LOOKED_AT, station=station)
        page = day_book(reading, station=station, limit=LOOKED_AT)
        only_cards = {head.act for head in heads if head.kind.startswith(STATION_ONLY)}
        lines = tuple(line for line in page.lines if line.act not in only_cards)[:ACTS]
        facts = BenchFacts(lines)
        here = reading.first(Station, name=station)
        pick = reading.get(Pick, here.pick) if here is not None and here.pick else None
        if pick is None or pick.status != "open":
            return facts
        crate = reading.get(Crate, pick.crate) if pick.crate else None
        bags = len(bags_in_pick(reading, pick.id))
        weighed = last_weighed(reading, station)
        name = crate.name if crate else ""
        return replace(facts, pick=pick, crate=name, bags=bags, weighed=weighed)


def pick_text(facts: BenchFacts, formats: Formats) -> str:
    """The open pick and the last weight in one line; nothing when there is no open pick."""
    if facts.pick is None:
        return ""
    bags = formats.count(facts.bags, "bag", "bags")
    parts = [
        tr("Open pick {name}").format(name=facts.pick.name),
        tr("crate {crate}").format(crate=facts.crate) if facts.crate else "",
        bags,
    ]
    if facts.weighed is not None and facts.weighed.net_mg is not None:
        parts.append(
            tr("last weight {net_mg} ({name})").format(
                net_mg=formats.mass(facts.weighed.net_mg), name=facts.weighed.name
            )
        )
    return "  ·  ".join(part for part in parts if part)


def act_line(line: DayBookLine, formats: Formats) -> ActLine:
    """A day book line as the bench view shows it."""
    state = f" ({line.state})" if line.state else ""
    return ActLine(
        act=line.act,
        time=formats.instant(line.happened_at),
        text=f"{line.sentence}{state}",
        can_undo=not line.is_undone and not line.is_undo,
    )


class BenchActs(QObject):
    """Opens the bench view for a session and keeps it up to date while it is in sight."""

    def __init__(self, session: Session, sounds: Sounds | None = None) -> None:
        super().__init__(session)
        self._session = session
        wants = session.desk.preferences
        self.sounds = sounds or open_sounds(volume=wants.sound_volume, is_muted=wants.is_muted)
        self.view: BenchView | None = None
        self._meaning = ""
        self._last: AnswerView | None = None
        session.answered.connect(self._answered)
        session.meaning_changed.connect(self._set_meaning)
        session.desk.refresher.broadcasted.connect(self._changed)
        session.window.theme_changed.connect(self._set_theme)

    def do(self, key: str) -> None:
        """Do one of the bench's commands."""
        if key == "mute":
            self.mute()
        elif self._session.store is None:
            self._session.window.say(tr("Open a farm first (Ctrl+O)."))
        else:
            self.show()

    def show(self) -> BenchView:
        """Fill the screen with the bench view."""
        view = self.view or self._make()
        view.set_meaning(self._meaning)
        view.set_muted(self.sounds.is_muted)
        if self._last is not None:
            view.show_answer(self._last)
        self._session.window.strip.is_covered = True
        view.showFullScreen()
        view.setFocus()
        self.refresh()
        return view

    def mute(self) -> None:
        """Sounds off, or on again."""
        self.sounds.is_muted = not self.sounds.is_muted
        desk = self._session.desk
        desk.preferences = replace(desk.preferences, is_muted=self.sounds.is_muted)
        self._session.window.say(
            tr("Sounds are off.") if self.sounds.is_muted else tr("Sounds are on.")
        )
        if self.view is not None:
            self.view.set_muted(self.sounds.is_muted)

    def refresh(self) -> None:
        """Read the last acts and the open pick again."""
        session = self._session
        if self.view is not None and self.view.isVisible() and session.store is not None:
            session.desk.workplace.read(
                read_bench, session.store, session.station, then=self._show_facts
            )

    def close(self) -> None:
        """Leave the bench view and stop the sounds."""
        if self.view is not None:
            self.view.close()
        self.sounds.close()

    def _make(self) -> BenchView:
        from farmdesk.desk.bench_view import BenchView  # noqa: PLC0415 - not every farm opens it

        session = self._session
        view = self.view = BenchView(session.window.theme, session.window)
        view.line_entered.connect(session.window.strip.enter_line)
        view.replied.connect(session.reply)
        view.undo_asked.connect(self._undo)
        view.redo_asked.connect(session.redo)
        view.mute_asked.connect(self.mute)
        view.left.connect(self._leave)
        return view

    def _answered(self, view: AnswerView, _answer: ScanAnswer) -> None:
        self.show_answer(view)

    def _leave(self) -> None:
        self._session.window.strip.is_covered = False
        self._session.window.activateWindow()

    def show_answer(self, view: AnswerView) -> None:
        """Show and sound what came of a scan, or of an undo."""
        self._last = view
        self.sounds.play(view.outcome)
        if self.view is not None:
            self.view.show_answer(view)

    def show_scale(self, text: str) -> None:
        """Say what the scale shows now; nothing when none is in use."""
        if self.view is not None:
            self.view.set_scale(text)

    def _set_meaning(self, meaning: str) -> None:
        self._meaning = meaning
        if self.view is not None:
            self.view.set_meaning(meaning)

    def _set_theme(self, theme: object) -> None:
        if self.view is not None:
            self.view.set_theme(theme)  # type: ignore[arg-type]

    def _changed(self, _kinds: object) -> None:
        self.refresh()

    def _show_facts(self, facts: BenchFacts) -> None:
        if self.view is not None:
            formats = self._session.context.formats
            self.view.set_acts([act_line(line, formats) for line in facts.lines])
            self.view.set_pick(pick_text(facts, formats))

    def _undo(self, act: str) -> None:
        session = self._session
        session.context.act(partial(undo_act, wanted=act), then=session.tell_last, parent=self.view)
