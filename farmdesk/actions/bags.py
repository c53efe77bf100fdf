"""What is done to bags: moved, colonised, opened, rested, spent, discarded, looked at, slow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from farmdesk.actions.base import Act
from farmdesk.domain import cards, rules
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Reason, Room
from farmdesk.domain.codes import bag_name
from farmdesk.domain.rules import Verdict
from farmdesk.domain.stages import COLONISED, FRUITING, INCUBATING, LOST, RESTING, SPENT
from farmdesk.errors import Problem, Refused, problem
from farmdesk.store.bags import shortest_incubation
from farmdesk.wording.formats import Formats


@dataclass(frozen=True)
class BagAct:
    """An act on bags as a card or form means it: where a move goes, why a discard is."""

    name: str
    room: int | None = None
    reason: int | None = None
    note: str = ""
    shelf: str = ""


@dataclass(frozen=True)
class BagsDone:
    """What became of several bags: those changed (as they are now) and those left out, by why."""

    changed: tuple[Bag, ...] = ()
    left_out: Mapping[str, tuple[Bag, ...]] = field(default_factory=dict)


def move_bag(act: Act, bag: Bag, *, room: int) -> Bag:
    """Move a bag to a room."""
    act.need(Room, room)
    return do_to_bag(act, bag, BagAct(cards.MOVE, room=room))


def mark_colonised(act: Act, bag: Bag) -> Bag:
    """Note that a bag is grown through."""
    return do_to_bag(act, bag, BagAct(cards.COLONISED))


def open_bag(act: Act, bag: Bag) -> Bag:
    """Open a bag for fruiting; asks when it was inoculated only just now."""
    return do_to_bag(act, bag, BagAct(cards.OPENED))


def rest_bag(act: Act, bag: Bag) -> Bag:
    """Let a bag rest between flushes."""
    return do_to_bag(act, bag, BagAct(cards.REST))


def spend_bag(act: Act, bag: Bag, *, note: str = "") -> Bag:
    """Note that a bag has given what it had."""
    return do_to_bag(act, bag, BagAct(cards.SPENT, note=note))


def discard_bag(act: Act, bag: Bag, reason: int, *, note: str = "") -> Bag:
    """Throw a bag out for a reason; the reason "lost" keeps it as one that may be found."""
    return do_to_bag(act, bag, BagAct(cards.DISCARD, reason=reason, note=note))


def look_at(act: Act, bag: Bag) -> Bag:
    """Note that a bag was looked at and is fine."""
    return do_to_bag(act, bag, BagAct(cards.LOOK))


def mark_slow(act: Act, bag: Bag) -> Bag:
    """Mark a bag that is behind the others."""
    return do_to_bag(act, bag, BagAct(cards.SLOW))


def find_again(act: Act, bag: Bag) -> Bag:
    """Give a lost bag that turned up the last stage that its days tell of."""
    fields = _found_fields(act, bag)
    return act.change("bag_found", bag, note="", **fields)


def do_to_bag(act: Act, bag: Bag, wanted: BagAct) -> Bag:
    """Do a card's act to one bag; as it is when it is so already. Raises Refused, Asked."""
    return judge_and_do(act, bag, wanted)[1]


def judge_and_do(act: Act, bag: Bag, wanted: BagAct) -> tuple[Verdict, Bag]:
    """Do a card's act to one bag, and say whether it was done or is so already."""
    verdict = judge_bag(act, bag, wanted)
    if verdict.outcome == rules.ALREADY:
        return verdict, bag
    if verdict.outcome == rules.REFUSE:
        raise Refused(say_ended(act, bag, verdict.code))
    questions = list(_questions(act, bag, wanted, verdict))
    if questions:
        act.ask(*questions)
        verdict = Verdict(rules.DONE, rules.done_code(wanted.name))
    if act.happened_at != act.now:
        _refuse_before_inoculation(act, bag)
    fields = _fields(act, bag, wanted)
    return verdict, act.change(_HAPPENINGS[wanted.name], bag, note=wanted.note, **fields)


def do_to_bags(act: Act, bags: Sequence[Bag], wanted: BagAct) -> BagsDone:
    """Do a card's act to many bags at once; those it does not fit are left out, by why.

    Bags that would be asked about singly are left out too, unless that question is confirmed;
    the caller asks for the whole. Raises Refused for a day before their inoculation.
    """
    if act.happened_at != act.now:
        for one in {bag.batch: bag for bag in bags}.values():
            _refuse_before_inoculation(act, one)
    groups: dict[tuple[tuple[str, object], ...], list[Bag]] = {}
    left_out: dict[str, list[Bag]] = {}
    for bag in bags:
        verdict = judge_bag(act, bag, wanted)
        is_meant = verdict.outcome == rules.ASK and verdict.code in act.confirmed
        if verdict.outcome == rules.DONE or is_meant:
            fields = tuple(_fields(act, bag, wanted).items())
            groups.setdefault(fields, []).append(bag)
        else:
            left_out.setdefault(verdict.code, []).append(bag)
    changed: list[Bag] = []
    for fields, same in groups.items():
        changed += act.change_many(_HAPPENINGS[wanted.name], same, note=wanted.note, **dict(fields))
    return BagsDone(tuple(changed), {code: tuple(some) for code, some in left_out.items()})


def judge_bag(act: Act, bag: Bag, wanted: BagAct) -> Verdict:
    """What becomes of a card's act on a bag, by the table of rules."""
    if wanted.name == cards.DISCARD and bag.stage == LOST and _ending(act, wanted) == LOST:
        return Verdict(rules.ALREADY, "bag_lost_already")
    day = act.day if wanted.name == cards.LOOK else ""
    return rules.judge(wanted.name, bag, day=day, room=wanted.room, shelf=wanted.shelf)


def name_of_bag(act: Act, bag: Bag) -> str:
    """A bag's name for people."""
    return bag_name(act.need(Batch, bag.batch).name, bag.number)


def say_ended(act: Act, bag: Bag, code: str) -> Problem:
    """The problem that a bag has ended, with since when and why."""
    facts = {"name": name_of_bag(act, bag), "since": _day_text(act, bag.stage_since)}
    if bag.reason is not None:
        facts["reason"] = act.need(Reason, bag.reason).name
        return (
            problem(f"{code}_for", **facts)
            if code == "bag_is_discarded"
            else problem(code, **facts)
        )
    return problem(code, **facts)


def ask_early(act: Act, batch: Batch, name: str) -> list[Problem]:
    """The question whether bags of a batch inoculated just now are really to be opened."""
    shortest = shortest_incubation(act.tx, batch.id)
    if not rules.is_early(batch.inoculated_on, act.day, shortest):
        return []
    return [
        problem(
            "opened_early",
            name=name,
            inoculated=_day_text(act, batch.inoculated_on),
            days=shortest,
        )
    ]


_HAPPENINGS: Mapping[str, str] = {
    cards.MOVE: "bag_moved",
    cards.COLONISED: "bag_colonised",
    cards.PINS: "bag_pinned",
    cards.OPENED: "bag_opened",
    cards.REST: "bag_rested",
    cards.SPENT: "bag_spent",
    cards.DISCARD: "bag_discarded",
    cards.LOOK: "bag_looked_at",
    cards.SLOW: "bag_marked_slow",
}


def _questions(act: Act, bag: Bag, wanted: BagAct, verdict: Verdict) -> list[Problem]:
    if verdict.outcome == rules.ASK:
        since = _day_text(act, bag.stage_since)
        return [problem(verdict.code, name=name_of_bag(act, bag), stage=bag.stage, since=since)]
    if wanted.name == cards.OPENED and bag.opened_on is None:
        batch = act.need(Batch, bag.batch)
        return ask_early(act, batch, bag_name(batch.name, bag.number))
    return []


def _fields(act: Act, bag: Bag, wanted: BagAct) -> dict[str, object]:
    """The fields that the act sets; a lost bag that is found gets its stage back on the way."""
    found = _found_fields(act, bag) if bag.stage == LOST else {}
    if wanted.name == cards.MOVE:
        since = bag.room_since if bag.room == wanted.room else act.happened_at
        place = {"room": wanted.room, "room_since": since, "shelf": wanted.shelf}
        if wanted.shelf and not bag.grew_shelf and bag.stage == INCUBATING:
            place |= {"grew_room": wanted.room, "grew_shelf": wanted.shelf}
        return {**found, **place}
    looked = max(act.day, bag.looked_on or "")
    if wanted.name == cards.LOOK:
        return {**found, "looked_on": looked}
    if wanted.name == cards.PINS:
        return {**found, "pinned_on": bag.pinned_on or act.day, "looked_on": looked}
    if wanted.name == cards.SLOW:
        return {**found, "slow": 1, "looked_on": looked}
    return {**found, **_stage_fields(act, bag, wanted), "looked_on": looked}


def _found_fields(act: Act, bag: Bag) -> dict[str, object]:
    return {
        "stage": rules.stage_when_found(bag),
        "stage_since": act.happened_at,
        "reason": None,
    }


def _stage_fields(act: Act, bag: Bag, wanted: BagAct) -> dict[str, object]:
    since = {"stage_since": act.happened_at}
    if wanted.name == cards.COLONISED:
        return {**since, "stage": COLONISED, "colonised_on": act.day}
    if wanted.name == cards.OPENED:
        return {**since, "stage": FRUITING, "opened_on": bag.opened_on or act.day}
    if wanted.name == cards.DISCARD:
        return {**since, "stage": _ending(act, wanted), "reason": wanted.reason}
    return {**since, "stage": RESTING if wanted.name == cards.REST else SPENT}


def _ending(act: Act, wanted: BagAct) -> str:
    if wanted.reason is None:
        raise Refused(problem("discard_without_reason", field="reason"))
    reason = act.need(Reason, wanted.reason)
    if reason.use != cards.DISCARD:
        raise Refused(problem("reason_not_for_bags", field="reason", reason=reason.name))
    return rules.ending_of(reason.code)


def _refuse_before_inoculation(act: Act, bag: Bag) -> None:
    batch = act.need(Batch, bag.batch)
    if act.day < batch.inoculated_on:
        raise Refused(
            problem(
                "before_inoculation",
                field="happened_at",
                name=bag_name(batch.name, bag.number),
                inoculated=_day_text(act, batch.inoculated_on),
            )
        )


def _day_text(act: Act, day: str) -> str:
    return Formats(locale=act.farm.locale, zone=act.farm.zone).day(day) if day else ""
