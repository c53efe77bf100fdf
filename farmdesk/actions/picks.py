"""Picking: bags into a crate, the crate onto the scale, and the weight shared over the bags."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.pick_shares import (
    doubts_of_weight,
    find_shelf_dates,
    net_of,
    share_over_bags,
    shown_mass,
)
from farmdesk.arithmetic.flushes import FlushProposal, PickedBefore, propose_flush
from farmdesk.domain.bags import Bag, Batch, Link
from farmdesk.domain.catalogue import Crate, Room, Species
from farmdesk.domain.codes import bag_name, name_for
from farmdesk.domain.harvest import Pick
from farmdesk.domain.stages import FRUITING, RESTING, is_alive
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.times import day_start, from_iso, local_day
from farmdesk.store.picks import (
    PickingFacts,
    bags_in_pick,
    bags_to_pick,
    pick_being_filled,
    picking_facts,
)
from farmdesk.store.transaction import Reading

OPEN, WEIGHED = "open", "weighed"
MOST_FLUSHES = 20


def start_pick(
    act: Act,
    *,
    species: int,
    crate: int | None = None,
    room: int | None = None,
    picked_at: str | None = None,
    note: str = "",
) -> Pick:
    """Begin a pick; bags are added and then it is weighed.

    `picked_at` is an instant or a day, the act's own when left out. Raises Refused when the
    crate holds a pick that is not weighed yet, or the time has not come.
    """
    kind = act.need(Species, species)
    when = _instant_of(act, picked_at)
    found = [*check_text("note", note, needed=False, long=True), *_check_crate(act, crate)]
    if found:
        raise Refused(*found)
    if room is not None:
        act.need(Room, room)
    pick_id = act.next_id("pick")
    return act.make(
        "pick_started",
        Pick(
            id=pick_id,
            name=name_for("pick", act.running("pick", pick_id), kind.code),
            species=species,
            crate=crate,
            picked_at=when,
            room=room,
            person=act.who.person,
            note=note.strip(),
        ),
    )


def add_bag(act: Act, pick: Pick, bag: Bag, *, flush: int | None = None) -> Link | None:
    """Put what was picked from a bag into an open pick; None when the bag is in it already.

    The flush is proposed from the bag's history unless given. Raises Refused for a pick that is
    weighed, a bag of another species, one that has ended, or a day before its inoculation.
    """
    if act.tx.first(Link, child=pick.id, parent=bag.id) is not None:
        return None
    facts = picking_facts(act.tx, bag.id)
    day = local_day(pick.picked_at, act.farm.zone)
    problems = tuple(_check_bag(act, pick, bag, facts, day, flush))
    if problems:
        raise Refused(*problems)
    number = flush or _propose(bag, facts, day).flush
    if pick.flush != number and not bags_in_pick(act.tx, pick.id):
        act.change("pick_flush_set", pick, flush=number)
    link = act.make("bag_into_pick", Link(pick.id, bag.id, flush=number))
    act.change(
        "bag_picked",
        bag,
        stage=FRUITING,
        stage_since=bag.stage_since if bag.stage == FRUITING else pick.picked_at,
        opened_on=bag.opened_on or day,
        flush=max(bag.flush, number),
        picked_on=max(bag.picked_on or day, day),
    )
    return link


def weigh_pick(
    act: Act,
    pick: Pick,
    *,
    gross_mg: int,
    tare_mg: int | None = None,
    typed: str = "",
    grade: str = "A",
) -> Pick:
    """Weigh an open pick and share the net weight over its bags.

    The tare is the crate's unless given. Raises Refused when that cannot be; Asked when the
    weight looks like a slip.
    """
    if pick.status != OPEN:
        raise Refused(problem("pick_weighed_already", pick=pick.name))
    found = _check_texts(grade=grade, typed=typed)
    if found:
        raise Refused(*found)
    tare = _tare_of(act, pick) if tare_mg is None else tare_mg
    net = net_of(act, gross_mg=gross_mg, tare_mg=tare)
    bags = bags_in_pick(act.tx, pick.id)
    if not bags:
        raise Refused(problem("pick_without_bags", pick=pick.name))
    act.ask(*doubts_of_weight(act, net, bags))
    share_over_bags(act, pick.id, net, bags)
    dates = find_shelf_dates(act, pick.species, picked_at=pick.picked_at)
    return act.change(
        "pick_weighed",
        pick,
        status=WEIGHED,
        gross_mg=gross_mg,
        tare_mg=tare,
        net_mg=net,
        left_mg=net,
        typed=typed.strip(),
        grade=grade.strip(),
        shelf_on=dates.shelf_on,
        sell_by=dates.sell_by,
    )


def record_pick(  # noqa: PLR0913 - the fields of the picking form, each by name
    act: Act,
    *,
    gross_mg: int,
    bags: Sequence[int] = (),
    batch: int | None = None,
    crate: int | None = None,
    tare_mg: int | None = None,
    grade: str = "A",
    flush: int | None = None,
    typed: str = "",
    picked_at: str | None = None,
    room: int | None = None,
    note: str = "",
) -> Pick:
    """A whole pick in one act: from named bags, or from the opened bags of a batch."""
    picked = [act.need(Bag, one) for one in dict.fromkeys(bags)]
    if batch is not None:
        named = set(bags)
        act.need(Batch, batch)
        picked += [bag for bag in bags_to_pick(act.tx, batch) if bag.id not in named]
    if not picked:
        raise Refused(problem("pick_names_no_bags", field="bags"))
    species = picking_facts(act.tx, picked[0].id).species
    pick = start_pick(act, species=species, crate=crate, room=room, picked_at=picked_at, note=note)
    for bag in picked:
        add_bag(act, pick, bag, flush=flush)
    now = act.need(Pick, pick.id)
    return weigh_pick(act, now, gross_mg=gross_mg, tare_mg=tare_mg, typed=typed, grade=grade)


def correct_pick(
    act: Act,
    pick: Pick,
    *,
    why: str,
    gross_mg: int | None = None,
    tare_mg: int | None = None,
    grade: str | None = None,
    typed: str | None = None,
) -> Pick:
    """Correct a weight or a grade; the day book keeps the old and the new with the reason.

    Raises Refused when more has left already than the new weight would allow.
    """
    found = [*check_text("why", why, needed=True, long=True)]
    found += _check_texts(grade=grade or "", typed=typed or "")
    if found:
        raise Refused(*found)
    if pick.status != WEIGHED or pick.gross_mg is None or pick.net_mg is None:
        raise Refused(problem("pick_not_weighed", pick=pick.name))
    gross = pick.gross_mg if gross_mg is None else gross_mg
    tare = (pick.tare_mg or 0) if tare_mg is None else tare_mg
    net = net_of(act, gross_mg=gross, tare_mg=tare)
    left = pick.left_mg + net - pick.net_mg
    if left < 0:
        gone = shown_mass(act, pick.net_mg - pick.left_mg)
        facts = {"pick": pick.name, "gone": gone, "net": shown_mass(act, net)}
        raise Refused(problem("correction_below_gone", field="gross_mg", **facts))
    bags = bags_in_pick(act.tx, pick.id)
    act.ask(*doubts_of_weight(act, net, bags))
    share_over_bags(act, pick.id, net, bags, note=why.strip())
    return act.change(
        "pick_corrected",
        pick,
        note=why.strip(),
        gross_mg=gross,
        tare_mg=tare,
        net_mg=net,
        left_mg=left,
        grade=pick.grade if grade is None else grade.strip(),
        typed=pick.typed if typed is None else typed.strip(),
    )


def cancel_pick(act: Act, pick: Pick) -> None:
    """Take an open pick away again that no bag is in, so that its crate is free."""
    if pick.status != OPEN or bags_in_pick(act.tx, pick.id):
        raise Refused(problem("pick_not_empty", pick=pick.name))
    act.take_away("pick_cancelled", pick)


def propose_bag_flush(reading: Reading, bag: Bag, day: str) -> FlushProposal:
    """The flush that a pick from a bag on a day would belong to."""
    return _propose(bag, picking_facts(reading, bag.id), day)


def _propose(bag: Bag, facts: PickingFacts, day: str) -> FlushProposal:
    last = None
    if bag.picked_on is not None and bag.flush:
        last = PickedBefore(bag.picked_on, bag.flush)
    return propose_flush(
        last,
        picked_on=day,
        rest_days_low=facts.rest_days_low,
        is_resting=bag.stage == RESTING,
    )


def _check_bag(
    act: Act, pick: Pick, bag: Bag, facts: PickingFacts, day: str, flush: int | None
) -> Iterator[Problem]:
    name = bag_name(facts.batch_name, facts.number)
    if pick.status != OPEN:
        yield problem("pick_weighed_already", pick=pick.name)
    if facts.species != pick.species:
        wanted = act.need(Species, pick.species).name
        yield problem(
            "pick_of_other_species",
            field="bags",
            bag=name,
            species=facts.species_name,
            pick=pick.name,
            wanted=wanted,
        )
    if not is_alive(bag.stage):
        yield problem("picked_bag_ended", field="bags", bag=name, stage=bag.stage)
    if day < facts.inoculated_on:
        yield problem(
            "picked_before_inoculation",
            field="picked_at",
            bag=name,
            day=day,
            inoculated_on=facts.inoculated_on,
        )
    if flush is not None and not 1 <= flush <= MOST_FLUSHES:
        yield problem("flush_out_of_range", field="flush", flush=flush, most=MOST_FLUSHES)


def _check_crate(act: Act, crate: int | None) -> list[Problem]:
    if crate is None:
        return []
    name = act.need(Crate, crate).name
    filling = pick_being_filled(act.tx, crate)
    return [problem("crate_in_use", field="crate", crate=name, pick=one) for one in filling]


def _check_texts(**texts: str) -> list[Problem]:
    return [one for field, text in texts.items() for one in check_text(field, text, needed=False)]


def _tare_of(act: Act, pick: Pick) -> int:
    return act.need(Crate, pick.crate).tare_mg if pick.crate is not None else 0


def _instant_of(act: Act, picked_at: str | None) -> str:
    """The instant of picking: the act's own, or from an instant or a day that was entered."""
    if picked_at is None or picked_at == act.day:
        return act.happened_at
    is_day = len(picked_at) == len("2026-01-31")
    when = day_start(picked_at, act.farm.zone) if is_day else picked_at
    from_iso(when)
    if when > act.now:
        raise Refused(problem("picked_in_future", field="picked_at", picked_at=picked_at))
    return when
