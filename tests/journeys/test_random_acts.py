"""A machine plays the farm: random acts and undos; stock is never negative, `check` stays clean."""

from __future__ import annotations

import shutil
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from databases import fresh_database
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule
from small_farm import begin_small

from farmdesk.actions.bags import BagAct, do_to_bag
from farmdesk.actions.base import Act, perform
from farmdesk.actions.cold_store import remove_stock
from farmdesk.actions.inoculation import SpawnUse, inoculate, void_bags
from farmdesk.actions.lab import discard_lab, register_spawn
from farmdesk.actions.picks import record_pick
from farmdesk.actions.undo import redo_last, undo_last
from farmdesk.actions.walks import walk
from farmdesk.domain import cards
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Reason, Room, Strain
from farmdesk.domain.harvest import Pick
from farmdesk.domain.lab import Spawn
from farmdesk.errors import FarmdeskError
from farmdesk.reports.check import check_farm
from farmdesk.store.farm_store import FarmStore, open_farm

KG = 1_000_000
BAG_ACTS = (cards.COLONISED, cards.OPENED, cards.REST, cards.SPENT, cards.LOOK, cards.SLOW)


class FarmMachine(RuleBasedStateMachine):
    """Acts of a grower in any order; refused ones are fine, half-done ones are not."""

    store: FarmStore

    def __init__(self) -> None:
        super().__init__()
        self.now = datetime(2026, 3, 2, 8, tzinfo=UTC)
        self.store = self.open_store()
        begin_small(self.store, bags=0)
        self.reasons = {
            use: self.done(
                lambda act, use=use: act.make(
                    "made", Reason(act.next_id("reason"), use, use, use, 0)
                )
            ).id
            for use in ("discard", "waste", "gift")
        }
        with self.store.reading() as reading:
            self.begun = reading.last_number()
            self.rooms = [room.id for room in reading.all(Room)]
            self.strain = reading.all(Strain)[0].id
        self.at_first = self.made()

    def done(self, action: Any) -> Any:
        """What an act that must succeed gives back."""
        return perform(self.store, action, now=self.tick()).result

    def open_store(self) -> FarmStore:
        """An empty farm in a file of its own."""
        self.folder = Path(tempfile.mkdtemp(prefix="farm-machine-"))
        return open_farm(self.folder / "farm.sqlite", make=True)

    def tick(self) -> str:
        self.now += timedelta(hours=5)
        return self.now.strftime("%Y-%m-%dT%H:%M:%SZ")

    def do(self, action: Any) -> None:
        """Do an act; a question is answered with yes, a refusal is taken."""
        now = self.tick()
        try:
            perform(self.store, action, now=now)
        except FarmdeskError as error:
            codes = [one.code for one in error.problems]
            try:
                perform(self.store, action, now=now, confirmed=codes)
            except FarmdeskError:
                return

    def some(self, cls: type[Any], at: int) -> Any:
        with self.store.reading() as reading:
            found = reading.all(cls)
        return found[at % len(found)] if found else None

    @rule(bags=st.integers(1, 3), each=st.integers(0, 3 * KG))
    def make_spawn(self, bags: int, each: int) -> None:
        self.do(lambda act: register_spawn(act, strain=self.strain, bags=bags, each_mg=each))

    @rule(
        bags=st.integers(0, 6),
        spare=st.integers(0, 2),
        at=st.lists(st.integers(0, 9), min_size=1, max_size=2),
        amount=st.integers(0, 2 * KG),
    )
    def start_batch(self, bags: int, spare: int, at: list[int], amount: int) -> None:
        spawn = [self.some(Spawn, one) for one in at]
        if all(spawn):
            uses = [SpawnUse(one.id, amount) for one in spawn]
            self.do(
                lambda act: inoculate(
                    act, strain=self.strain, spawn=uses, bags=bags, printed=bags + spare,
                    room=self.rooms[0], block_mg=2_500_000, dry_mg=950_000,
                )
            )  # fmt: skip

    @rule(at=st.integers(0, 99), act_name=st.sampled_from(BAG_ACTS))
    def handle_bag(self, at: int, act_name: str) -> None:
        bag = self.some(Bag, at)
        if bag:
            self.do(lambda act: do_to_bag(act, act.need(Bag, bag.id), BagAct(act_name)))

    @rule(at=st.integers(0, 99), room=st.integers(0, 9), discard=st.booleans())
    def move_or_discard(self, at: int, room: int, discard: bool) -> None:
        bag = self.some(Bag, at)
        wanted = BagAct(cards.MOVE, room=self.rooms[room % len(self.rooms)])
        if discard:
            wanted = BagAct(cards.DISCARD, reason=self.reasons["discard"])
        if bag:
            self.do(lambda act: do_to_bag(act, act.need(Bag, bag.id), wanted))

    @rule(at=st.integers(0, 99))
    def void_one(self, at: int) -> None:
        bag = self.some(Bag, at)
        if bag:
            self.do(lambda act: void_bags(act, [bag.id]))

    @rule(at=st.integers(0, 9))
    def walk_a_batch(self, at: int) -> None:
        batch = self.some(Batch, at)
        if batch:
            self.do(lambda act: walk(act, batch=batch.id))

    @rule(
        at=st.lists(st.integers(0, 99), min_size=1, max_size=4, unique=True),
        gross=st.integers(0, 5 * KG),
        tare=st.integers(0, KG),
    )
    def pick_some(self, at: list[int], gross: int, tare: int) -> None:
        bags = [self.some(Bag, one) for one in at]
        if all(bags):
            ids = list({bag.id for bag in bags})
            self.do(lambda act: record_pick(act, bags=ids, gross_mg=gross, tare_mg=tare))

    @rule(at=st.integers(0, 9), amount=st.integers(0, 2 * KG), gift=st.booleans())
    def take_out(self, at: int, amount: int, *, gift: bool) -> None:
        pick = self.some(Pick, at)
        if pick:
            reason = self.reasons["gift" if gift else "waste"]
            self.do(lambda act: remove_stock(act, pick.id, reason=reason, amount_mg=amount))

    @rule(at=st.integers(0, 9))
    def throw_spawn_away(self, at: int) -> None:
        spawn = self.some(Spawn, at)
        if spawn:
            self.do(lambda act: discard_lab(act, spawn.id))

    @rule()
    def take_back(self) -> None:
        if self.entries_since() > 0:
            self.do(self.undo_but_not_the_farm)

    @rule()
    def do_again(self) -> None:
        self.do(redo_last)

    def undo_but_not_the_farm(self, act: Act) -> Any:
        entries = undo_last(act)
        if entries[0].number <= self.begun:
            raise FarmdeskError
        return entries

    def made(self) -> list[list[Any]]:
        """All spawn, batches, bags and picks there are."""
        with self.store.reading() as reading:
            return [reading.all(cls) for cls in (Spawn, Batch, Bag, Pick)]

    def entries_since(self) -> int:
        with self.store.reading() as reading:
            return reading.last_number() - self.begun

    @precondition(lambda self: hasattr(self, "begun"))
    @invariant()
    def the_books_agree(self) -> None:
        verdict = check_farm(self.store)
        assert verdict.is_clean, verdict.differences[:3]
        with self.store.reading() as reading:
            assert all(one.left_mg >= 0 for one in reading.all(Spawn))
            assert all(one.left_mg >= 0 for one in reading.all(Pick))

    def teardown(self) -> None:
        """Taking everything back gives the farm as it was begun."""
        while True:
            before = self.entries_since()
            self.do(self.undo_but_not_the_farm)
            if self.entries_since() == before:
                break
        assert self.made() == self.at_first
        self.close_store()

    def close_store(self) -> None:
        self.store.close()
        shutil.rmtree(self.folder)


class ServerMachine(FarmMachine):
    """The same on PostgreSQL."""

    def open_store(self) -> FarmStore:
        self.database = fresh_database()
        return open_farm(self.database.__enter__(), make=True)

    def close_store(self) -> None:
        self.store.close()
        self.database.__exit__(None, None, None)


QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]
TestFarmMachine = FarmMachine.TestCase
TestFarmMachine.settings = settings(
    max_examples=40, stateful_step_count=40, deadline=None, suppress_health_check=QUIET,
    derandomize=True,
)  # fmt: skip
TestServerMachine = ServerMachine.TestCase
TestServerMachine.settings = settings(
    max_examples=5, stateful_step_count=20, deadline=None, suppress_health_check=QUIET,
    derandomize=True,
)  # fmt: skip
