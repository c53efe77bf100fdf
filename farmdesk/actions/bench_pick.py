"""Scans under the pick card: crates, the bags that are picked into them, and the weight."""

from __future__ import annotations

from farmdesk.actions.bags import ask_early, find_again, say_ended
from farmdesk.actions.bench_answers import ALREADY
from farmdesk.actions.bench_turn import Turn
from farmdesk.actions.picks import add_bag, start_pick, weigh_pick
from farmdesk.domain import cards, rules
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Crate
from farmdesk.domain.harvest import Pick
from farmdesk.domain.stages import LOST
from farmdesk.errors import NotUnderstood, Refused, problem
from farmdesk.quantities.mass import read_mass
from farmdesk.store.picks import bags_in_pick, bags_to_pick, pick_being_filled, picking_facts
from farmdesk.wording.sentences import say


def pick_bag(turn: Turn, bag: Bag, name: str) -> None:
    """Put one bag into the pick that is being filled; the first bag begins one."""
    verdict = rules.judge(cards.PICK, bag)
    if verdict.outcome == rules.REFUSE:
        raise Refused(say_ended(turn.act, bag, verdict.code))
    if verdict.outcome == rules.ASK:
        since = turn.day_text(bag.stage_since)
        turn.act.ask(problem(verdict.code, name=name, since=since))
    if bag.opened_on is None:
        turn.act.ask(*ask_early(turn.act, turn.state.batch(turn.act.tx, bag.batch), name))
    pick, is_new, flush = _put(turn, bag)
    turn.show_bag(turn.act.need(Bag, bag.id))
    if is_new:
        turn.answer.bags = 1
        turn.tell("bag_picked", name=name, pick=pick.name, flush=flush)
    else:
        turn.answer.outcome = ALREADY
        turn.tell("bag_picked_already", name=name, pick=pick.name)


def pick_batch(turn: Turn, batch: Batch) -> None:
    """Put the opened bags of a batch into the pick; all live ones when none is opened."""
    bags = bags_to_pick(turn.act.tx, batch.id)
    if not bags:
        raise Refused(problem("batch_ended", name=batch.name))
    if any(bag.opened_on is None for bag in bags):
        turn.act.ask(*ask_early(turn.act, batch, batch.name))
    added = 0
    for bag in bags:
        pick, is_new, _ = _put(turn, bag)
        added += is_new
    turn.answer.bags = added
    turn.show_bag(turn.act.need(Bag, bags[0].id))
    if added:
        count = turn.state.count_bags(added)
        turn.tell("batch_picked", name=batch.name, bags=count, pick=pick.name)
    else:
        turn.answer.outcome = ALREADY
        turn.tell("bag_picked_already", name=batch.name, pick=pick.name)


def use_crate(turn: Turn, crate: Crate) -> None:
    """Take a crate for the pick: before its bags, or while they are scanned."""
    turn.answer.subject = crate.name
    name = turn.state.crate_name(crate)
    if turn.card.act != cards.PICK:
        tare = turn.state.mass(crate.tare_mg)
        raise Refused(problem("crate_without_pick_card", crate=name, tare=tare))
    if crate.retired:
        raise Refused(problem("crate_retired", crate=name))
    pick = turn.open_pick()
    station = turn.station()
    if station.crate == crate.id and (pick is None or pick.crate == crate.id):
        turn.answer.outcome = ALREADY
        turn.tell("crate_still", crate=name)
        return
    filling = list(pick_being_filled(turn.act.tx, crate.id))
    if filling and (pick is None or filling != [pick.name]):
        raise Refused(problem("crate_in_use", field="crate", crate=crate.name, pick=filling[0]))
    if pick is None:
        turn.tell("crate_taken", crate=name)
    else:
        _move_to_crate(turn, pick, crate)
    turn.act.change("station_crate_set", station, crate=crate.id)


def weigh(turn: Turn, text: str) -> None:
    """Close the pick that is being filled with the reading of a scale."""
    try:
        reading = read_mass(
            text, decimal_comma=turn.state.formats.decimal_comma, zero_allowed=False
        )
    except NotUnderstood as error:
        raise Refused(*error.problems) from error
    turn.answer.subject = reading.typed
    if turn.card.act != cards.PICK:
        raise Refused(problem("weight_without_card", text=reading.typed))
    pick = turn.open_pick()
    if pick is None:
        raise Refused(problem("weight_without_bags", text=reading.typed))
    turn.answer.subject = pick.name
    turn.act.ask(*reading.doubts)
    weighed = weigh_pick(turn.act, pick, gross_mg=reading.mg, typed=reading.typed)
    turn.act.change("station_pick_weighed", turn.station(), pick=None, crate=None)
    _tell_weighed(turn, weighed)


def tell_waiting(turn: Turn) -> None:
    """Remind of a pick that still waits for its weight when another card comes into force."""
    pick = turn.open_pick()
    if pick is not None:
        bags = turn.state.count_bags(len(bags_in_pick(turn.act.tx, pick.id)))
        turn.answer.after.append(say(problem("pick_still_open", pick=pick.name, bags=bags)))


def _put(turn: Turn, bag: Bag) -> tuple[Pick, bool, int]:
    """(the pick, whether the bag is new in it, its flush)."""
    pick = turn.open_pick()
    if pick is None:
        station = turn.station()
        facts = picking_facts(turn.act.tx, bag.id)
        pick = start_pick(turn.act, species=facts.species, crate=station.crate, room=bag.room)
        turn.state.station = turn.act.change("station_pick_begun", station, pick=pick.id)
    if bag.stage == LOST:
        bag = find_again(turn.act, bag)
    link = add_bag(turn.act, pick, bag)
    return pick, link is not None, link.flush if link else 0


def _move_to_crate(turn: Turn, pick: Pick, crate: Crate) -> None:
    if pick.crate is not None and pick.crate != crate.id:
        old = turn.state.crate_name(turn.state.crates[pick.crate])
        bags = turn.state.count_bags(len(bags_in_pick(turn.act.tx, pick.id)))
        turn.act.ask(
            problem(
                "crate_swapped",
                name=pick.name,
                pick=pick.name,
                bags=bags,
                old=old,
                crate=turn.state.crate_name(crate),
            )
        )
    turn.act.change("pick_crate_set", pick, crate=crate.id)
    turn.tell("crate_for_pick", pick=pick.name, crate=turn.state.crate_name(crate))


def _tell_weighed(turn: Turn, pick: Pick) -> None:
    bags = len(bags_in_pick(turn.act.tx, pick.id))
    facts = {
        "pick": pick.name,
        "net": turn.state.mass(pick.net_mg or 0),
        "gross": turn.state.mass(pick.gross_mg or 0),
        "tare": turn.state.mass(pick.tare_mg or 0),
        "bags": turn.state.count_bags(bags),
        "shelf": turn.day_text(pick.shelf_on),
    }
    turn.tell("pick_weighed" if pick.shelf_on else "pick_weighed_undated", **facts)
