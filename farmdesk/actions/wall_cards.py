"""Wall cards follow what they point to: a room or a reason is never without its card."""

from __future__ import annotations

from farmdesk.actions.base import Act
from farmdesk.domain.cards import ACTS, DISCARD, MOVE
from farmdesk.domain.catalogue import Reason, Room
from farmdesk.domain.stations import Card

_WITH_TARGET = (MOVE, DISCARD)


def make_plain_cards(act: Act) -> None:
    """One card for each act that needs neither a room nor a reason."""
    for name, title in ACTS.items():
        if name not in _WITH_TARGET:
            act.make("card_made", Card(act.next_id("card"), name, title=title))


def keep_card(act: Act, target: Room | Reason) -> None:
    """Make the card of a room or discard reason, or bring it up to date after a change."""
    if isinstance(target, Reason) and target.use != DISCARD:
        return
    title = _title_for(target)
    found = find_card(act, target)
    if found is None:
        room = target.id if isinstance(target, Room) else None
        reason = None if isinstance(target, Room) else target.id
        name = MOVE if isinstance(target, Room) else DISCARD
        act.make("card_made", Card(act.next_id("card"), name, room, reason, title, target.retired))
    else:
        act.change("card_changed", found, title=title, retired=target.retired)


def find_card(act: Act, target: Room | Reason) -> Card | None:
    """The card that points to a room or reason, or None."""
    if isinstance(target, Room):
        return act.tx.first(Card, act=MOVE, room=target.id)
    return act.tx.first(Card, act=DISCARD, reason=target.id)


def _title_for(target: Room | Reason) -> str:
    if isinstance(target, Room):
        return f"Move to {target.name}"
    return f"{ACTS[DISCARD]}: {target.name}"
