"""Looking things up by their code: one sentence about each kind of thing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from farmdesk.actions.bench_answers import Answering
from farmdesk.actions.bench_state import BenchState
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Crate
from farmdesk.domain.codes import DIGITS, code_of
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.lab import Culture, HeatRun, Spawn
from farmdesk.domain.stages import STAGES as ALL_STAGES
from farmdesk.domain.stages import VOID, is_alive
from farmdesk.errors import Problem, problem
from farmdesk.quantities.times import age_days
from farmdesk.store.bags import count_stages
from farmdesk.store.picks import bags_in_pick
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import later, tr
from farmdesk.wording.sentences import say
from farmdesk.wording.states import say_state

KIND_WORDS: Mapping[str, str] = {
    "culture": later("a culture"),
    "spawn": later("grain spawn"),
    "run": later("a heat run"),
    "batch": later("a batch"),
    "bag": later("a bag"),
    "pick": later("a pick"),
    "pack": later("a lot of packs"),
    "crate": later("a crate"),
    "order": later("an order"),
    "delivery": later("a delivery"),
    "invoice": later("an invoice"),
    "card": later("a wall card"),
}


class Looking:
    """Looks things up inside one reading."""

    def __init__(self, reading: Reading, state: BenchState, answer: Answering, now: str) -> None:
        self.reading = reading
        self.state = state
        self.answer = answer
        self.now = now

    def show(self, kind: str, thing: Any) -> None:
        """Tell about a thing."""
        if kind in DIGITS:
            self.answer.code = code_of(thing.id)
        self.answer.subject = getattr(thing, "name", "")
        tell = _TELL.get(kind)
        found = tell(self, thing) if tell else self._other(kind)
        self.answer.message = say(found)

    def day(self, day: str | None) -> str:
        """A day or instant as the farm reads it."""
        return self.state.formats.day(day) if day else ""

    def bag(self, bag: Bag) -> Problem:
        """A bag: stage, since when, where, how old."""
        batch = self.state.batch(self.reading, bag.batch)
        name = self.state.name_of(self.reading, bag.batch, bag.number)
        room = self.state.room_name(bag.room)
        self.answer.subject, self.answer.stage, self.answer.room = name, bag.stage, room
        if bag.stage == VOID:
            return problem("bag_shown_void", name=name, since=self.day(bag.stage_since))
        code = "bag_shown" if room else "bag_shown_nowhere"
        return problem(
            code if is_alive(bag.stage) else "bag_shown_ended",
            name=name,
            stage=bag.stage,
            since=self.day(bag.stage_since),
            room=room,
            age=age_days(batch.inoculated_on, self._until(bag), self.state.farm.zone),
            more=self._more_of_bag(bag),
        )

    def _until(self, bag: Bag) -> str:
        return self.now if is_alive(bag.stage) else bag.stage_since

    def _more_of_bag(self, bag: Bag) -> str:
        more = []
        if bag.reason in self.state.reasons:
            more.append(problem("more_reason", reason=self.state.reasons[bag.reason].name))
        if bag.picked_on:
            more.append(problem("more_flush", flush=bag.flush, picked=self.day(bag.picked_on)))
        if bag.slow:
            more.append(problem("more_slow"))
        if bag.looked_on and is_alive(bag.stage) and not bag.picked_on:
            more.append(problem("more_looked", looked=self.day(bag.looked_on)))
        return "".join(say(one) for one in more)

    def batch(self, batch: Batch) -> Problem:
        """A batch: when it was inoculated and what its bags are now."""
        counts = count_stages(self.reading, batch.id)
        stages = [f"{counts[one]} {say_state(one)}" for one in ALL_STAGES if one in counts]
        return problem(
            "batch_shown",
            name=batch.name,
            inoculated=self.day(batch.inoculated_on),
            made=batch.made,
            stages=", ".join(stages) or tr("none"),
        )

    def crate(self, crate: Crate) -> Problem:
        """A crate and its tare."""
        return problem(
            "crate_shown", crate=self.state.crate_name(crate), tare=self.state.mass(crate.tare_mg)
        )

    def culture(self, culture: Culture) -> Problem:
        """A culture: its form and how often it was transferred."""
        return problem(
            "culture_shown",
            name=culture.name,
            form=culture.form,
            transfers=culture.transfers,
            made=self.day(culture.made_on),
            status=culture.status,
        )

    def spawn(self, spawn: Spawn) -> Problem:
        """A bag of spawn: its generation and what is left."""
        return problem(
            "spawn_shown",
            name=spawn.name,
            generation=spawn.generation,
            left=self.state.mass(spawn.left_mg),
            made=self.state.mass(spawn.made_mg),
            status=spawn.status,
        )

    def run(self, run: HeatRun) -> Problem:
        """A heat run: when and how many blocks."""
        return problem(
            "run_shown",
            name=run.name,
            day=self.day(run.run_on),
            blocks=run.blocks,
            status=run.status,
        )

    def pick(self, pick: Pick) -> Problem:
        """A pick: what it weighed and what is left of it."""
        self.answer.room = self.state.room_name(pick.room)
        day = self.day(pick.picked_at)
        if pick.net_mg is None:
            bags = self.state.count_bags(len(bags_in_pick(self.reading, pick.id)))
            return problem("pick_shown_open", name=pick.name, day=day, bags=bags)
        return problem(
            "pick_shown",
            name=pick.name,
            net=self.state.mass(pick.net_mg),
            day=day,
            flush=pick.flush,
            grade=pick.grade,
            left=self.state.mass(pick.left_mg),
            more=self._shelf(pick.shelf_on),
        )

    def pack(self, pack: Pack) -> Problem:
        """A lot of packs: how many are left."""
        self.answer.room = self.state.room_name(pack.room)
        return problem(
            "pack_shown",
            name=pack.name,
            left=pack.left,
            count=pack.count,
            day=self.day(pack.packed_on),
            more=self._shelf(pack.shelf_on),
        )

    def _shelf(self, shelf_on: str | None) -> str:
        return say(problem("more_shelf", shelf=self.day(shelf_on))) if shelf_on else ""

    def _other(self, kind: str) -> Problem:
        return problem("other_shown", name=self.answer.subject, kind=KIND_WORDS[kind])


_TELL: Mapping[str, Callable[[Looking, Any], Problem]] = {
    "bag": Looking.bag,
    "batch": Looking.batch,
    "crate": Looking.crate,
    "culture": Looking.culture,
    "spawn": Looking.spawn,
    "run": Looking.run,
    "pick": Looking.pick,
    "pack": Looking.pack,
}
