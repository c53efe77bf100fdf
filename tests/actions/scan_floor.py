"""A begun farm with bags, crates and a bench whose clock the test sets."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from begun_farm import BegunFarm

from farmdesk.actions.base import Act, perform
from farmdesk.actions.catalogue import save
from farmdesk.actions.scanning import Bench, ScanAnswer
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Crate, Reason
from farmdesk.domain.codes import code_of, name_for
from farmdesk.domain.stations import Card, Station
from farmdesk.store.farm_store import FarmStore

BEGIN = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
KG = 1_000_000


def iso(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")


@dataclass
class Clock:
    """The time of day, as the test wants it."""

    now: datetime = BEGIN

    def __call__(self) -> datetime:
        return self.now

    def pass_minutes(self, minutes: int) -> None:
        self.now += timedelta(minutes=minutes)


@dataclass
class Floor:
    """Where scans happen: the farm, one batch in incubation, two crates, and a bench."""

    farm: BegunFarm
    clock: Clock
    bench: Bench
    batch: Batch
    bags: list[Bag]
    crates: list[Crate] = field(default_factory=list)

    @property
    def store(self) -> FarmStore:
        return self.farm.store

    def new_bench(self, station: str = "door", **keywords: int) -> Bench:
        return Bench(self.store, station=station, clock=self.clock, **keywords)

    def card(self, act: str, *, room: str = "", reason: str = "") -> str:
        """The code of a wall card."""
        for one in self.farm.all(Card, act=act):
            if room and one.room != self.farm.room(room).id:
                continue
            if reason and one.reason != self.reason(reason):
                continue
            return code_of(one.id)
        raise AssertionError(f"no card {act} {room} {reason}")

    def reason(self, code: str) -> int:
        return self.farm.all(Reason, code=code)[0].id

    def scan(self, *lines: str, bench: Bench | None = None) -> ScanAnswer:
        """The answer to the last of these lines."""
        found = [(bench or self.bench).scan(line) for line in lines]
        return found[-1]

    def scan_bag(self, at: int, *, bench: Bench | None = None) -> ScanAnswer:
        return self.scan(code_of(self.bags[at].id), bench=bench)

    def bag(self, at: int) -> Bag:
        """A bag as it is now."""
        return self.farm.get(Bag, self.bags[at].id)

    def station(self, name: str = "door") -> Station:
        return self.farm.all(Station, name=name)[0]


def make_floor(farm: BegunFarm, *, inoculated_on: str = "2026-02-05", bags: int = 6) -> Floor:
    """The floor on a begun farm."""
    clock = Clock()
    at = iso(clock.now - timedelta(hours=1))
    batch = add_batch(farm, bags=bags, inoculated_on=inoculated_on)
    crates = [
        perform(farm.store, lambda act, n=n: save(act, Crate(0, f"Crate {n}", KG)), now=at).result
        for n in (7, 8)
    ]
    floor = Floor(
        farm,
        clock,
        Bench(farm.store, station="door", clock=clock),
        batch,
        farm.all(Bag, batch=batch.id),
        [one for one in crates if one is not None],
    )
    assert len(floor.bags) == bags
    return floor


def add_batch(
    farm: BegunFarm, *, bags: int = 6, inoculated_on: str = "2026-02-05", species: str = "OY"
) -> Batch:
    """A batch whose bags stand in the incubation room."""
    room, strain = farm.room("incubation").id, farm.strain(species)
    at = iso(BEGIN - timedelta(hours=2))

    def make(act: Act) -> Batch:
        batch_id = act.next_id("batch")
        name = name_for("batch", act.running("batch", batch_id), species, strain.code)
        batch = act.make(
            "batch_made",
            Batch(batch_id, name, strain.id, None, inoculated_on, bags, 5 * KG // 2, KG),
        )
        act.make_many(
            "bag_made",
            [
                Bag(act.next_id("bag"), batch.id, number, "incubating", at, room, at)
                for number in range(1, bags + 1)
            ],
        )
        return batch

    done = perform(farm.store, make, now=at)
    assert done.result is not None
    return done.result
