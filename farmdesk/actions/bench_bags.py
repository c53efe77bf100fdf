"""A bag or a whole batch scanned under a wall card."""

from __future__ import annotations

from collections.abc import Sequence

from farmdesk.actions.bags import ask_early, do_to_bags, judge_and_do, judge_bag
from farmdesk.actions.bench_answers import ALREADY
from farmdesk.actions.bench_pick import pick_bag, pick_batch
from farmdesk.actions.bench_turn import Turn
from farmdesk.domain import cards, rules
from farmdesk.domain.bags import Bag
from farmdesk.domain.stages import LOST
from farmdesk.errors import Problem, Refused, problem
from farmdesk.store.bags import bags_in
from farmdesk.wording.sentences import say


def scan_bag(turn: Turn, bag: Bag) -> None:
    """Do what the card says to one bag."""
    name = turn.name_bag(bag)
    if turn.card.act == cards.PICK:
        pick_bag(turn, bag, name)
        return
    verdict, now = judge_and_do(turn.act, bag, turn.wanted)
    turn.show_bag(now)
    if verdict.outcome == rules.DONE:
        turn.answer.bags = 1
        code = "bag_lost" if now.stage == LOST else verdict.code
        turn.tell(code, name=name, room=turn.answer.room, reason=_reason(turn, now))
    else:
        turn.answer.outcome = ALREADY
        turn.tell(
            verdict.code,
            name=name,
            room=turn.answer.room,
            reason=_reason(turn, now),
            stage=now.stage,
            since=turn.day_text(now.stage_since),
        )


def scan_batch(turn: Turn, batch_id: int) -> None:
    """Do what the card says to every live bag of a batch, in one act."""
    batch = turn.state.batch(turn.act.tx, batch_id)
    turn.answer.subject = batch.name
    if turn.card.act == cards.PICK:
        pick_batch(turn, batch)
        return
    bags = bags_in(turn.act.tx, batch=batch_id)
    if not bags:
        raise Refused(problem("batch_ended", name=batch.name))
    turn.act.ask(*_questions(turn, bags, batch_id))
    done = do_to_bags(turn.act, bags, turn.wanted)
    changed = len(done.changed)
    if not changed:
        turn.answer.outcome = ALREADY
        turn.tell("batch_already", name=batch.name, bags=turn.state.count_bags(len(bags)))
        return
    turn.answer.bags = changed
    turn.show_bag(done.changed[0])
    turn.tell(
        rules.done_code(turn.card.act).replace("bag_", "batch_", 1),
        name=batch.name,
        bags=turn.state.count_bags(changed),
        room=turn.answer.room,
        reason=_reason(turn, done.changed[0]),
    )
    if changed < len(bags):
        others = turn.state.count_bags(len(bags) - changed)
        turn.answer.after.append(say(problem("batch_others", bags=others)))


def _questions(turn: Turn, bags: Sequence[Bag], batch_id: int) -> list[Problem]:
    """What must be asked before a whole batch is treated alike; each kind of question once."""
    batch = turn.state.batch(turn.act.tx, batch_id)
    if turn.card.act == cards.DISCARD and len(bags) > 1:
        reason = turn.state.reasons.get(turn.card.reason or 0)
        return [
            problem(
                "discard_whole_batch",
                name=batch.name,
                bags=turn.state.count_bags(len(bags)),
                reason=reason.name if reason else "",
            )
        ]
    if turn.card.act == cards.OPENED and any(bag.opened_on is None for bag in bags):
        return ask_early(turn.act, batch, batch.name)
    doubtful: dict[str, int] = {}
    for bag in bags:
        verdict = judge_bag(turn.act, bag, turn.wanted)
        if verdict.outcome == rules.ASK:
            doubtful[verdict.code] = doubtful.get(verdict.code, 0) + 1
    return [
        problem(code, name=_some_of(turn, count, batch.name)) for code, count in doubtful.items()
    ]


def _some_of(turn: Turn, count: int, batch_name: str) -> str:
    return say(problem("some_of", bags=turn.state.count_bags(count), name=batch_name))


def _reason(turn: Turn, bag: Bag) -> str:
    found = turn.state.reasons.get(bag.reason or 0)
    return found.name if found else ""
