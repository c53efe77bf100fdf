"""An incubation walk: everything looked at in one act, what is wrong named by exception."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from farmdesk.actions.bags import BagAct, do_to_bags, name_of_bag, say_ended
from farmdesk.actions.base import Act
from farmdesk.domain import cards
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Room
from farmdesk.domain.stages import ALIVE, COLONISED, INCUBATING, is_alive
from farmdesk.errors import Refused, problem
from farmdesk.store.bags import bags_in

_IN_INCUBATION = (INCUBATING, COLONISED)


@dataclass(frozen=True)
class WalkResult:
    """How many bags a walk found fine, seen today already, contaminated and slow."""

    looked_at: int
    already: int
    discarded: int
    slow: int

    @property
    def is_new(self) -> bool:
        """Whether the walk changed anything; the same walk on the same day does not."""
        return bool(self.looked_at or self.discarded or self.slow)


def walk(
    act: Act,
    *,
    batch: int | None = None,
    room: int | None = None,
    contaminated: Mapping[int, int] | None = None,
    slow: Collection[int] = (),
) -> WalkResult:
    """Note that a batch or room was walked and what was found; all others were fine.

    Contaminated bags (id to reason) are discarded, slow ones marked, every other live bag was
    looked at. Of a batch those in incubation count, of a room all that are alive. Raises Refused
    for an exception that is not among them.
    """
    bad = dict(contaminated or {})
    bags = _bags_walked(act, batch, room)
    by_id = {bag.id: bag for bag in bags}
    _check_exceptions(act, by_id, [*bad, *slow])
    discarded = 0
    for reason in sorted(set(bad.values())):
        some = [by_id[one] for one, why in bad.items() if why == reason and one in by_id]
        discarded += len(do_to_bags(act, some, BagAct(cards.DISCARD, reason=reason)).changed)
    lagging = [by_id[one] for one in sorted(set(slow)) if one in by_id and one not in bad]
    marked = do_to_bags(act, lagging, BagAct(cards.SLOW)).changed
    seen = {bag.id for bag in marked} | set(bad)
    fine = [bag for bag in bags if bag.id not in seen]
    looked = do_to_bags(act, fine, BagAct(cards.LOOK)).changed
    return WalkResult(len(looked), len(fine) - len(looked), discarded, len(marked))


def _bags_walked(act: Act, batch: int | None, room: int | None) -> list[Bag]:
    if batch is None and room is None:
        raise Refused(problem("walk_of_nothing", field="batch"))
    if batch is not None:
        act.need(Batch, batch)
        return bags_in(act.tx, batch=batch, room=room, stages=_IN_INCUBATION)
    act.need(Room, room or 0)
    return bags_in(act.tx, room=room, stages=ALIVE)


def _check_exceptions(act: Act, walked: Mapping[int, Bag], wanted: Sequence[int]) -> None:
    """An exception must be among the bags walked, or have ended already (then it is done)."""
    problems = []
    for one in wanted:
        if one in walked:
            continue
        bag = act.need(Bag, one)
        if is_alive(bag.stage):
            problems.append(problem("bag_not_walked", field="bags", name=name_of_bag(act, bag)))
        elif bag.stage != "discarded":
            problems.append(say_ended(act, bag, f"bag_is_{bag.stage}"))
    if problems:
        raise Refused(*problems)
