"""A farm of invention for tests of acts: begun with the shipped catalogue, on every database."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from farmdesk.actions.base import Act, perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.actions.lab import register_spawn
from farmdesk.actions.undo import undo_last
from farmdesk.domain.catalogue import Room, Species, Strain
from farmdesk.domain.cells import Thing
from farmdesk.domain.lab import Spawn
from farmdesk.store.audit import balance_lots, compare_with_daybook
from farmdesk.store.farm_store import FarmStore, open_farm

R = TypeVar("R")
T = TypeVar("T", bound=Thing)
NOW = "2026-03-02T08:00:00Z"
"""A Monday morning on which the tests take place, unless they say otherwise."""
FIRST_SERIAL = 4_000


@dataclass
class BegunFarm:
    """A begun farm and the shortest way to act on it and look at it."""

    store: FarmStore

    def do(self, action: Callable[[Act], R], *, now: str = NOW, confirmed: Iterable[str] = ()) -> R:
        """What the act gives back."""
        result = perform(self.store, action, now=now, confirmed=confirmed).result
        assert result is not None
        return result

    def undo(self, *, now: str = NOW) -> None:
        """Take back the last act."""
        perform(self.store, undo_last, now=now)

    def all(self, cls: type[T], **where: object) -> list[T]:
        """All things of a kind."""
        with self.store.reading() as reading:
            return reading.all(cls, **where)

    def get(self, cls: type[T], thing_id: int) -> T:
        """One thing that must be there."""
        with self.store.reading() as reading:
            found = reading.get(cls, thing_id)
        assert found is not None
        return found

    def strain(self, species_code: str = "OY") -> Strain:
        """The first strain of a species, by the species' code."""
        with self.store.reading() as reading:
            species = reading.first(Species, code=species_code)
            assert species is not None
            found = reading.first(Strain, species=species.id)
        assert found is not None
        return found

    def room(self, use: str) -> Room:
        """The first room of a use."""
        return self.all(Room, use=use)[0]

    def spawn(self, bags: int = 1, each_mg: int = 2_300_000, **fields: Any) -> list[Spawn]:
        """New bags of spawn of the oyster strain, made on the day before."""
        wanted = {"strain": self.strain().id, "made_on": "2026-03-01", **fields}
        return self.do(lambda act: register_spawn(act, bags=bags, each_mg=each_mg, **wanted))

    def differences(self) -> list[Any]:
        """What the tables say otherwise than the day book, and lots that do not balance."""
        with self.store.reading() as reading:
            return [
                *compare_with_daybook(reading, lambda *_: None),
                *balance_lots(reading),
            ]


def new_farm(folder: Path) -> FarmStore:
    """A farm in a file of this folder, begun with the shipped catalogue."""
    store = open_farm(folder / "farm.sqlite", make=True)
    begin(store)
    return store


def begin(store: FarmStore, **fields: Any) -> None:
    """Begin the farm of these tests in an empty store."""
    wanted = {"name": "Nine Alders", "first_serial": FIRST_SERIAL, **fields}
    perform(store, lambda act: begin_farm(act, **wanted), now=NOW)
