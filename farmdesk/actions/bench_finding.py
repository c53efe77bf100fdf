"""From what was scanned to the thing it names on this farm, or why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from farmdesk.actions.bench_state import BenchState
from farmdesk.domain import cards
from farmdesk.domain.codes import code_of, group_code, kind_of, shown
from farmdesk.domain.scans import CodeScan, NameScan, ReplyScan, Scan, WordsScan
from farmdesk.domain.stations import Card
from farmdesk.domain.things import THINGS
from farmdesk.errors import NotFound, Refused, problem
from farmdesk.store.codes import find_named, why_missing
from farmdesk.store.transaction import Reading

_REPLIES = {cards.YES: True, cards.NO: False}


@dataclass(frozen=True)
class Found:
    """A thing and its kind."""

    kind: str
    thing: Any


def find_scanned(reading: Reading, state: BenchState, scan: Scan) -> Found:
    """The thing that a code, name or words mean.

    Raises NotFound for a name that is not there, Refused for a valid code that is not ours.
    """
    if isinstance(scan, CodeScan):
        return _find_code(reading, state, scan.thing)
    if isinstance(scan, NameScan):
        named = find_named(reading, scan.name, scan.number)
        if named is None:
            whole = scan.name if scan.number is None else f"{scan.name}-{scan.number:03d}"
            raise NotFound(problem("name_not_found", text=whole))
        kind, thing_id = named
        return Found(kind, reading.get(THINGS[kind], thing_id))
    if isinstance(scan, WordsScan):
        return _find_words(state, scan.text)
    raise NotFound(problem("words_not_known", text=""))


def reply_in(scan: Scan, state: BenchState) -> bool | None:
    """Yes or no when the scan is an answer, by word or by card; else None."""
    if isinstance(scan, ReplyScan):
        return scan.is_yes
    if is_card(scan) and isinstance(scan, CodeScan):
        card = state.cards.get(scan.thing)
        return _REPLIES.get(card.act) if card else None
    return None


def key_in(scan: Scan, state: BenchState | None) -> str | None:
    """The key that a card types, None for any other scan."""
    if state is None or not (is_card(scan) and isinstance(scan, CodeScan)):
        return None
    card = state.cards.get(scan.thing)
    return card.key if card is not None and card.act == cards.KEY and not card.retired else None


def is_card(scan: Scan) -> bool:
    """Whether the scan is the code of a wall card."""
    return isinstance(scan, CodeScan) and kind_of(scan.thing) == "card"


def _find_code(reading: Reading, state: BenchState, thing_id: int) -> Found:
    kind = kind_of(thing_id)
    thing: Any = None
    if kind == "card":
        thing = state.cards.get(thing_id)
    elif kind == "crate":
        thing = state.crates.get(thing_id)
    else:
        thing = reading.get(THINGS[kind], thing_id)
    if thing is None:
        why = why_missing(reading, kind, thing_id, state.farm.first_serial)
        raise Refused(problem(why, text=group_code(code_of(thing_id))))
    return Found(kind, thing)


def _find_words(state: BenchState, text: str) -> Found:
    wanted = text.casefold()
    for crate in state.crates.values():
        if crate.name.casefold() == wanted:
            return Found("crate", crate)
    for card in state.cards.values():
        if wanted in _words_of(card) and not card.retired:
            return Found("card", card)
    raise NotFound(problem("words_not_known", text=shown(text)))


def _words_of(card: Card) -> tuple[str, ...]:
    """A card is known by its title, and one without a target by its act; keys have no words."""
    if card.act == cards.KEY:
        return ()
    title = card.title.casefold()
    return (title,) if card.room or card.reason else (title, card.act)
