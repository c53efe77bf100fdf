"""What the lab's lists and forms choose from: cultures, spawn, heat runs, and their terms."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from farmdesk.domain.catalogue import Strain
from farmdesk.domain.lab import Culture, HeatRun, Spawn
from farmdesk.domain.mixing import Vessel
from farmdesk.reports.catalogue import Catalogue, read_catalogue
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.lab_growth import GrowthRow, list_growth
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.lab import blocks_taken_from
from farmdesk.store.transaction import Reading

_TERMS = ("species", "strain", "room", "person", "ingredient", "recipe", "recipe_part")
_LAB_KINDS = (*_TERMS, "label_stock")


@dataclass(frozen=True)
class RunRow:
    """A heat run, its recipe's name, and how many of its blocks are not inoculated yet."""

    id: int
    run: HeatRun
    recipe: str
    left: int


@dataclass(frozen=True)
class LabThings:
    """Everything of the lab, newest first, with the farm's terms and catalogue."""

    terms: FarmTerms
    catalogue: Catalogue
    cultures: tuple[Culture, ...]
    spawn: tuple[Spawn, ...]
    runs: tuple[RunRow, ...]
    growth: tuple[GrowthRow, ...] = ()
    vessels: tuple[Vessel, ...] = ()

    def strain_name(self, strain: int) -> str:
        """A strain's code and name, such as `OY01 Grey winter`."""
        return self.catalogue.name("strain", strain)

    def strain(self, strain: int | None) -> Strain | None:
        """The strain with this id, or None."""
        found = self.catalogue.get("strain", strain)
        return found if isinstance(found, Strain) else None

    def usable_spawn(self) -> list[Spawn]:
        """Spawn with something left, oldest first."""
        return [one for one in reversed(self.spawn) if one.status == "kept" and one.left_mg]

    def kept_cultures(self) -> list[Culture]:
        """Cultures that are not thrown away."""
        return [one for one in self.cultures if one.status == "kept"]

    def find_spawn(self, spawn: int) -> Spawn | None:
        """The bag of spawn with this id, or None."""
        return next((one for one in self.spawn if one.id == spawn), None)

    def find_run(self, run: int | None) -> RunRow | None:
        """The heat run with this id, or None."""
        return next((one for one in self.runs if one.id == run), None)


def read_lab(reading: Reading) -> LabThings:
    """The lab as it stands."""
    catalogue = read_catalogue(reading, _LAB_KINDS)
    return LabThings(
        terms=read_terms(reading),
        catalogue=catalogue,
        cultures=tuple(reversed(reading.all(Culture))),
        spawn=tuple(reversed(reading.all(Spawn))),
        runs=tuple(_run_row(reading, catalogue, one) for one in reversed(reading.all(HeatRun))),
        growth=tuple(list_growth(reading)),
        vessels=tuple(one for one in reading.all(Vessel) if not one.retired),
    )


def load_lab(store: FarmStore) -> LabThings:
    """The lab as it stands, read in a transaction of its own."""
    with store.reading() as reading:
        return read_lab(reading)


def label_stock_names(things: Catalogue) -> Sequence[tuple[str, str]]:
    """Label stocks to choose from, by name."""
    return [(one.name, one.name) for one in things.all("label_stock", retired=False)]


def _run_row(reading: Reading, catalogue: Catalogue, run: HeatRun) -> RunRow:
    left = max(run.blocks - blocks_taken_from(reading, run.id), 0)
    return RunRow(run.id, run, catalogue.name("recipe", run.recipe), left)
