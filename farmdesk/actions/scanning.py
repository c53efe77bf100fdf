"""The bench: one station's scans, each answered with one sentence."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial

from farmdesk.actions.base import Act, Done, Who, perform
from farmdesk.actions.bench_answers import (
    ALREADY,
    ASK,
    DONE,
    REFUSED,
    UNKNOWN,
    Answering,
    ScanAnswer,
)
from farmdesk.actions.bench_bags import scan_bag, scan_batch
from farmdesk.actions.bench_cards import use_card
from farmdesk.actions.bench_count import RunningCount
from farmdesk.actions.bench_finding import Found, find_scanned, is_card, key_in, reply_in
from farmdesk.actions.bench_keys import TypedWeight
from farmdesk.actions.bench_pick import use_crate, weigh
from farmdesk.actions.bench_show import KIND_WORDS, Looking
from farmdesk.actions.bench_state import KEPT, BenchState, describe_meaning, load_state
from farmdesk.actions.bench_turn import Turn
from farmdesk.domain import cards
from farmdesk.domain.codes import DIGITS, code_of, shown
from farmdesk.domain.scans import ReplyScan, Scan, WeightScan, read_scan
from farmdesk.domain.stations import Card, Station
from farmdesk.errors import (
    Asked,
    FarmdeskError,
    NotFound,
    NotUnderstood,
    Refused,
    StoreUnavailable,
    problem,
)
from farmdesk.quantities.times import now_utc, to_iso
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.transaction import Reading
from farmdesk.wording.sentences import say, say_error

__all__ = ["Bench", "ScanAnswer"]

_SHOW = Card(0, cards.SHOW, title="")


@dataclass(frozen=True)
class _Question:
    """A scan that waits for yes or no."""

    scan: Scan
    line: str
    scan_id: str | None
    confirmed: frozenset[str]
    name: str


class Bench:
    """One station's scans. The card in force is kept in the farm, so a new process goes on."""

    def __init__(
        self,
        store: FarmStore,
        *,
        station: str,
        person: int | None = None,
        card_minutes: int = 30,
        clock: Callable[[], datetime] = now_utc,
    ) -> None:
        self.store = store
        self.station = station
        self.who = Who(station, person)
        self.card_life = timedelta(minutes=card_minutes)
        self.clock = clock
        self._state: BenchState | None = None
        self._question: _Question | None = None
        self._last_use: datetime | None = None
        self._counted = RunningCount()
        self._typed = TypedWeight(self.card_life)
        self._meaning: str | None = None

    def scan(self, line: str, *, scan_id: str | None = None) -> ScanAnswer:
        """Answer one line; never raises for a bad one. The same `scan_id` counts once."""
        try:
            scan = read_scan(line)
            reply = self._reply_in(scan)
        except NotUnderstood as error:
            return ScanAnswer(shown(line.strip()), UNKNOWN, say_error(error), count=self._count)
        except FarmdeskError as error:
            return ScanAnswer(shown(line.strip()), REFUSED, say_error(error), count=self._count)
        if reply is not None:
            return self.answer(reply)
        dropped, self._question = self._question, None
        key = key_in(scan, self._state)
        if key is None:
            answer = self._do_fresh(scan, line, scan_id)
        else:
            answer = self._press(key, line, scan_id)
        if dropped is not None:
            left = say(problem("question_dropped", name=dropped.name))
            answer = replace(answer, message=f"{left} {answer.message}", left_open=True)
        return answer

    def reply_of(self, line: str) -> bool | None:
        """Yes or no when a line is a reply, by word or by card; None for anything else.

        Reads no farm: a bench that has done nothing yet knows no cards.
        """
        try:
            scan = read_scan(line)
        except NotUnderstood:
            return None
        return None if self._state is None else reply_in(scan, self._state)

    def answer(self, yes: bool) -> ScanAnswer:
        """Answer the question that the last scan asked."""
        question, self._question = self._question, None
        if question is None:
            return ScanAnswer("", REFUSED, say(problem("nothing_asked")), count=self._count)
        if yes:
            return self._do(question)
        left = say(problem("left_as_it_was"))
        return ScanAnswer(
            shown(question.line.strip()), ALREADY, left, question.name, count=self._count
        )

    @property
    def is_asking(self) -> bool:
        """Whether a question waits for yes or no."""
        return self._question is not None

    def meaning(self) -> str:
        """What the next scan will do, as the strip shows it; reads the farm only at first."""
        if self._meaning is None or self._state is None:
            self._read_again()
        elif self._card_in_force(self._state, self.clock()) is None:
            return say(problem("meaning_none"))
        return self._meaning or ""

    @property
    def _count(self) -> int:
        return self._counted.bags

    # ---- one scan

    def _do_fresh(self, scan: Scan, line: str, scan_id: str | None) -> ScanAnswer:
        """A scan that is no key: what the keys had typed is dropped, so no digits are left over."""
        left = self._typed.take(self.clock())
        answer = self._do(_Question(scan, line, scan_id, frozenset(), shown(line.strip())))
        if left:
            told = say(problem("keys_dropped", text=left))
            answer = replace(answer, message=f"{told} {answer.message}")
        return answer

    def _press(self, key: str, line: str, scan_id: str | None) -> ScanAnswer:
        """A key card: types, or enters what was typed as the weight it is."""
        moment, state = self.clock(), self._state
        if key != cards.ENTER:
            comma = state is not None and state.formats.decimal_comma
            self._typed.press(key, moment, decimal_comma=comma)
            text = self._typed.text
            told = problem("keys_so_far", text=text) if text else problem("keys_cleared")
            return ScanAnswer(
                shown(line.strip()), DONE, say(told), text, count=self._count, typed=text
            )
        text = self._typed.take(moment)
        if not text:
            message = say(problem("keys_nothing"))
            return ScanAnswer(shown(line.strip()), REFUSED, message, count=self._count)
        answer = self._do(_Question(WeightScan(text), text, scan_id, frozenset(), text))
        if answer.outcome in (REFUSED, UNKNOWN):
            self._typed.text = text
            answer = replace(answer, typed=text)
        return answer

    def _do(self, asked: _Question) -> ScanAnswer:
        answer = Answering(shown(asked.line.strip()))
        moment = self.clock()
        station_before = self._state.station if self._state else None
        try:
            if self._looks_up(asked.scan, moment, answer):
                return answer.finish(count=self._count)
            done = perform(
                self.store,
                partial(self._take, asked.scan, answer, moment),
                who=self.who,
                act=asked.scan_id,
                now=to_iso(moment),
                confirmed=asked.confirmed,
            )
        except FarmdeskError as error:
            if self._state is not None:
                self._state.station = station_before
            given = self._not_done(asked, answer, error)
        else:
            given = self._done(done, answer, moment)
        if self._meaning is None and self._state is not None:
            with suppress(StoreUnavailable):
                self._read_again()
        return given

    def _looks_up(self, scan: Scan, moment: datetime, answer: Answering) -> bool:
        """Answer without writing when nothing but looking up can be meant."""
        known = self._state and self._card_in_force(self._state, moment)
        if isinstance(scan, WeightScan) or is_card(scan) or (known and known.act != cards.SHOW):
            return False
        with self.store.reading() as reading:
            state = self._fresh(reading, reading.last_number() + 1)
            card = self._card_in_force(state, moment)
            if card is not None and card.act != cards.SHOW:
                return False
            found = find_scanned(reading, state, scan)
            if found.kind == "card":
                return False
            self._say_ran_out(state, card, answer)
            Looking(reading, state, answer, to_iso(moment)).show(found.kind, found.thing)
        return True

    def _take(self, scan: Scan, answer: Answering, moment: datetime, act: Act) -> None:
        state = self._fresh(act.tx, act.tx.next_number())
        act.know_farm(state.farm)
        card = self._card_in_force(state, moment)
        turn = Turn(act, state, card or _SHOW, answer, self._counted.batches)
        if isinstance(scan, WeightScan):
            self._say_ran_out(state, card, answer)
            weigh(turn, scan.text)
            return
        found = find_scanned(act.tx, state, scan)
        if found.kind == "card":
            use_card(turn, found.thing)
        elif turn.card.act == cards.SHOW:
            self._say_ran_out(state, card, answer)
            Looking(act.tx, state, answer, act.now).show(found.kind, found.thing)
        else:
            _act_on(turn, found)

    def _done(self, done: Done[None], answer: Answering, moment: datetime) -> ScanAnswer:
        if done.repeated:
            answer.outcome, answer.bags = ALREADY, 0
            name = answer.subject or answer.code
            answer.message = say(problem("scan_counted_already", name=name))
        self._follow(done)
        if self._state is not None and self._card_in_force(self._state, moment):
            self._last_use = moment
        self._counted.follow(done.entries)
        if answer.is_card and answer.outcome != ALREADY:
            self._counted.begin()
        entry = done.entries[0].number if done.entries else None
        done_of_batch, batch_bags = self._counted.add(answer, entry)
        if done.entries:
            self._keep_card(moment)
        given = answer.finish(count=self._count, entry=entry)
        return replace(given, done_of_batch=done_of_batch, batch_bags=batch_bags)

    def _follow(self, done: Done[None]) -> None:
        """Keep what is known here up to date with what this bench has just done."""
        kinds = done.changes.kinds
        if done.repeated or kinds & KEPT or "link" in kinds or self._state is None:
            # What is done is done: trouble in reading again must not hide it.
            self._state = self._meaning = None
            with suppress(StoreUnavailable):
                self._read_again()
        elif done.entries:
            self._state.next_number = done.changes.last_number + 1

    def _not_done(self, asked: _Question, answer: Answering, error: FarmdeskError) -> ScanAnswer:
        answer.message = say_error(error)
        if isinstance(error, Asked):
            codes = tuple(one.code for one in error.problems)
            name = answer.subject or asked.name
            confirmed = asked.confirmed.union(codes)
            self._question = replace(asked, confirmed=confirmed, name=name)
            answer.outcome = ASK
            return answer.finish(count=self._count, questions=codes)
        answer.outcome = UNKNOWN if isinstance(error, NotFound | NotUnderstood) else REFUSED
        return answer.finish(count=self._count)

    # ---- what is known

    def _reply_in(self, scan: Scan) -> bool | None:
        if isinstance(scan, ReplyScan):
            return scan.is_yes
        if not is_card(scan):
            return None
        if self._state is None:
            self._read_again()
        return None if self._state is None else reply_in(scan, self._state)

    def _fresh(self, reading: Reading, next_number: int) -> BenchState:
        self._counted.look(reading, next_number - 1)
        state = self._state
        if state is None or not state.is_fresh(reading, next_number):
            state = self._state = load_state(reading, self.station, next_number)
            self._meaning = None
        return state

    def _read_again(self) -> None:
        moment = self.clock()
        with self.store.reading() as reading:
            next_number = reading.last_number() + 1
            self._counted.look(reading, next_number - 1)
            self._state = state = load_state(reading, self.station, next_number)
            card = self._card_in_force(state, moment)
            self._meaning = describe_meaning(reading, state, card)

    def _card_in_force(self, state: BenchState, moment: datetime) -> Card | None:
        """The card that counts now; None when there is none or its time has run out."""
        card, since = state.card, state.card_since
        if card is None or since is None:
            return None
        used = max(since, self._last_use) if self._last_use else since
        return card if moment - used <= self.card_life else None

    def _say_ran_out(self, state: BenchState, card: Card | None, answer: Answering) -> None:
        old = state.card
        if card is None and old is not None and old.act != cards.SHOW:
            minutes = int(self.card_life.total_seconds() // 60)
            answer.before.append(say(problem("card_ran_out", title=old.title, minutes=minutes)))

    def _keep_card(self, moment: datetime) -> None:
        """Renew a card that is in use, so that another process finds it in force."""
        state = self._state
        if state is None or state.station is None or state.card_since is None:
            return
        if 2 * (moment - state.card_since) <= self.card_life:
            return
        if self._card_in_force(state, moment) is None:
            return
        now = to_iso(moment)
        with suppress(FarmdeskError):
            perform(self.store, partial(_renew_card, state.station.id, now), who=self.who, now=now)
            self._read_again()


def _renew_card(station_id: int, now: str, act: Act) -> None:
    act.change("station_card_kept", act.need(Station, station_id), card_since=now)


def _act_on(turn: Turn, found: Found) -> None:
    """Do what the card says to what was found."""
    if found.kind == "bag":
        scan_bag(turn, found.thing)
        return
    if found.kind in DIGITS:
        turn.answer.code = code_of(found.thing.id)
    if found.kind == "batch":
        scan_batch(turn, found.thing.id)
    elif found.kind == "crate":
        use_crate(turn, found.thing)
    else:
        turn.answer.subject = found.thing.name
        kind = KIND_WORDS[found.kind]
        raise Refused(
            problem("card_not_for_this", name=found.thing.name, kind=kind, title=turn.card.title)
        )
