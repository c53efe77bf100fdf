"""Wall cards follow what they point to: a room, a shelf or a reason is never without its card."""

from __future__ import annotations

from collections.abc import Iterator

from farmdesk.actions.base import Act
from farmdesk.domain.cards import ACTS, DISCARD, KEY, KEYS, MOVE
from farmdesk.domain.catalogue import Reason, Room
from farmdesk.domain.stations import Card

_WITH_TARGET = (MOVE, DISCARD)


def make_plain_cards(act: Act) -> None:
    """One card for each act that needs neither a room nor a reason, and one for each key."""
    for name, title in ACTS.items():
        if name not in _WITH_TARGET:
            act.make("card_made", Card(act.next_id("card"), name, title=title))
    for key, title in KEYS.items():
        act.make("card_made", Card(act.next_id("card"), KEY, title=title, key=key))


def keep_card(act: Act, target: Room | Reason) -> None:
    """Make the cards of a room and its shelves or of a discard reason, or bring them up to date."""
    if isinstance(target, Reason) and target.use != DISCARD:
        return
    known = cards_of(act, target)
    for wanted in _wanted(target):
        found = next((card for card in known if card.shelf == wanted.shelf), None)
        if found is None:
            act.make("card_made", Card(act.next_id("card"), *_fields(wanted)[1:]))
        else:
            act.change("card_changed", found, title=wanted.title, retired=wanted.retired)
    shelves = {card.shelf for card in _wanted(target)}
    for card in known:
        if card.shelf not in shelves:
            act.change("card_changed", card, retired=1)


def cards_of(act: Act, target: Room | Reason) -> list[Card]:
    """The cards that point to a room or its shelves, or to a reason."""
    if isinstance(target, Room):
        return act.tx.all(Card, act=MOVE, room=target.id)
    return act.tx.all(Card, act=DISCARD, reason=target.id)


def _wanted(target: Room | Reason) -> Iterator[Card]:
    """The cards there should be; their ids do not count."""
    if isinstance(target, Reason):
        title = f"{ACTS[DISCARD]}: {target.name}"
        yield Card(0, DISCARD, None, target.id, title, target.retired)
        return
    yield Card(0, MOVE, target.id, None, f"Move to {target.name}", target.retired)
    for shelf in target.shelves.split():
        title = f"Move to {target.name}, {shelf}"
        yield Card(0, MOVE, target.id, None, title, target.retired, shelf)


def _fields(card: Card) -> tuple[int, str, int | None, int | None, str, int, str]:
    return card.id, card.act, card.room, card.reason, card.title, card.retired, card.shelf
