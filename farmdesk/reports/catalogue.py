"""The catalogue as one value: everything the farm knows beforehand, and its names."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from farmdesk.domain.things import CATALOGUE, THINGS
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.transaction import Reading


@dataclass(frozen=True)
class Catalogue:
    """All things of the catalogue by kind, in the order of their ids."""

    things: Mapping[str, tuple[Any, ...]]

    def all(self, kind: str, *, retired: bool = True) -> tuple[Any, ...]:
        """The things of a kind; without the retired ones when `retired` is False."""
        found = self.things.get(kind, ())
        return found if retired else tuple(one for one in found if not is_retired(one))

    def get(self, kind: str, thing_id: int | None) -> Any | None:
        """The thing of a kind with this id, or None."""
        return next((one for one in self.things.get(kind, ()) if one.id == thing_id), None)

    def name(self, kind: str, thing_id: int | None) -> str:
        """A thing's name; '' for none."""
        found = self.get(kind, thing_id)
        return "" if found is None else name_of(found, self)

    def choices(self, kind: str, *, also: int | None = None) -> list[tuple[int, str]]:
        """(id, name) of what can be chosen, by name; `also` stays in even when it is retired."""
        found = [one for one in self.all(kind) if not is_retired(one) or one.id == also]
        pairs = [(int(one.id), name_of(one, self)) for one in found]
        return sorted(pairs, key=lambda pair: pair[1].casefold())


def name_of(thing: Any, catalogue: Catalogue) -> str:
    """What a thing is called in a choice: `OY01 Grey winter` for a strain."""
    if hasattr(thing, "species") and hasattr(thing, "max_transfers"):
        species = catalogue.get("species", thing.species)
        code = f"{species.code if species else ''}{thing.code}"
        return f"{code} {thing.name}".strip()
    return str(getattr(thing, "name", "") or getattr(thing, "title", "") or thing.id)


def is_retired(thing: Any) -> bool:
    """Whether a thing is no longer offered."""
    return bool(getattr(thing, "retired", 0))


def read_catalogue(reading: Reading, kinds: Iterable[str] = CATALOGUE) -> Catalogue:
    """The catalogue as it stands."""
    return Catalogue({kind: tuple(reading.all(THINGS[kind])) for kind in kinds})


def load_catalogue(store: FarmStore) -> Catalogue:
    """The catalogue as it stands, read in a transaction of its own."""
    with store.reading() as reading:
        return read_catalogue(reading)
