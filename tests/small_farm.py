"""A small farm for tests of the store: one species, two rooms, one batch."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.actions.base import Act, perform
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Farm, Room, Species, Strain
from farmdesk.store.farm_store import FarmStore


@dataclass(frozen=True)
class SmallFarm:
    """The ids of what was made."""

    batch: int
    bags: list[int]
    rooms: list[int]


def begin_small(store: FarmStore, *, bags: int = 5, first_serial: int = 1000) -> SmallFarm:
    """Make the small farm in one act."""
    done = perform(store, lambda act: _make(act, bags, first_serial))
    assert done.result is not None
    return done.result


def _make(act: Act, bags: int, first_serial: int) -> SmallFarm:
    act.make(
        "farm_begun",
        Farm(
            id=1, name="Nine Alders", address="1 Ferry Lane", zone="UTC", currency="USD",
            locale="en_US", mass_unit="kg", temperature_unit="C", first_serial=first_serial,
            sell_by_percent=65, with_spawn_dry=0, inoculation_weekday=2,
            tax_percent=Decimal(0), cold_store_c=Decimal(3),
        ),
    )  # fmt: skip
    species = act.make(
        "species_made",
        Species(
            id=act.next_id("species"), code="OY", name="Oyster", scientific="Pleurotus ostreatus",
            incubation_days_low=12, incubation_days_high=21, incubation_c=None,
            fruiting_c_low=None, fruiting_c_high=None, humidity_low=None, humidity_high=None,
            co2_max=None, open_pick_days_low=7, open_pick_days_high=12, flushes=3,
            rest_days_low=7, rest_days_high=14, be_percent_low=Decimal(50),
            be_percent_high=Decimal(100), flush_shares="60/30/10", spawn_percent=Decimal(5),
            moisture_percent=Decimal(62), caution="", source="", status="",
        ),
    )  # fmt: skip
    strain = act.make("strain_made", Strain(act.next_id("strain"), species.id, "01"))
    rooms = [
        act.make("room_made", Room(act.next_id("room"), name, use, 100)).id
        for name, use in (("Shelves", "incubation"), ("Mist", "fruiting"))
    ]
    batch = act.make(
        "batch_made",
        Batch(
            act.next_id("batch"), "OY01-0001", strain.id, None, act.day, bags,
            2_500_000_000, 950_000_000,
        ),
    )  # fmt: skip
    made = [
        Bag(act.next_id("bag"), batch.id, number, room=rooms[0], stage_since=act.now,
            room_since=act.now)
        for number in range(1, bags + 1)
    ]  # fmt: skip
    act.make_many("bag_made", made)
    return SmallFarm(batch.id, [bag.id for bag in made], rooms)
