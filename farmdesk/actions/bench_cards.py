"""Wall cards: bringing one into force, and the cards that act at once."""

from __future__ import annotations

from collections.abc import Sequence

from farmdesk.actions.bench_answers import ALREADY
from farmdesk.actions.bench_pick import tell_waiting
from farmdesk.actions.bench_turn import Turn
from farmdesk.actions.undo import undo_last
from farmdesk.domain import cards
from farmdesk.domain.codes import DIGITS, code_of
from farmdesk.domain.events import Entry
from farmdesk.domain.stations import Card
from farmdesk.errors import Refused, problem
from farmdesk.store.names import names_of
from farmdesk.store.picks import last_weighed
from farmdesk.wording.happenings import can_tell, name_things, tell_happening
from farmdesk.wording.language import tr


def use_card(turn: Turn, card: Card) -> None:
    """Bring a card into force at this station, or do at once what it says."""
    turn.answer.subject = card.title
    turn.answer.code = code_of(card.id)
    if card.retired:
        raise Refused(problem("card_retired", title=card.title))
    if card.act == cards.UNDO:
        _take_back(turn)
        return
    if card.act == cards.LABEL:
        _ask_label(turn)
        return
    if card.act in (cards.YES, cards.NO):
        raise Refused(problem("nothing_asked"))
    turn.answer.is_card = True
    turn.answer.room = turn.state.place_name(card.room, card.shelf)
    if turn.card.id == card.id:
        turn.answer.outcome = ALREADY
        turn.tell("card_still", title=card.title)
    else:
        turn.tell("card_set", title=card.title)
    turn.act.change(
        "station_card_set", turn.station(), card=card.id, card_since=turn.act.happened_at
    )
    tell_waiting(turn)


def _ask_label(turn: Turn) -> None:
    """Ask the desk for the label of the pick that this station weighed last."""
    pick = last_weighed(turn.act.tx, turn.state.station_name)
    if pick is None:
        raise Refused(problem("no_pick_weighed"))
    turn.answer.subject = pick.name
    turn.answer.print_wanted = pick.id
    turn.tell("label_wanted", pick=pick.name, net=turn.state.mass(pick.net_mg or 0))


def _take_back(turn: Turn) -> None:
    entries = undo_last(turn.act, station=turn.act.who.station)
    turn.tell("undone", what=_what_was(turn, entries))


def _what_was(turn: Turn, entries: Sequence[Entry]) -> str:
    """The first thing taken back in words, and how many others with it."""
    scannable = [one for one in entries if one.thing in DIGITS]
    told = scannable or list(entries)
    first = told[0]
    subjects = {one.subject for one in told if one.thing == first.thing}
    names = names_of(turn.act.tx, [first.subject]) if scannable else {}
    name = names.get(first.subject, "")
    turn.answer.subject = name
    facts = {"name": name} | {
        cell: turn.state.mass(value)
        for cell, value in (first.after or {}).items()
        if cell.endswith("_mg") and isinstance(value, int)
    }
    what = f"{name_things(first.thing)} {name}".strip()
    if name and can_tell(first.kind, facts):
        what = tell_happening(first.kind, first.thing, facts)
    if len(subjects) == 1:
        return what
    return tr("{what}, and {count} more").format(what=what, count=len(subjects) - 1)
