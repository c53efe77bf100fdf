"""What every report needs of the farm: its row, its formats, its names, its day now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from farmdesk.domain.catalogue import Farm, Room, Species
from farmdesk.errors import NotFound, problem
from farmdesk.quantities.times import local_day, now_utc, to_iso
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_LETTER_LANDS = frozenset({"US", "CA", "MX", "PH", "CL", "CO", "CR", "PA", "GT", "DO", "VE", "PR"})


@dataclass(frozen=True)
class FarmTerms:
    """The farm as a report sees it: `now` is an instant, `today` the farm's day at it."""

    farm: Farm
    formats: Formats
    species: Mapping[int, str]
    rooms: Mapping[int, str]
    now: str
    today: str

    def species_name(self, species: int | None) -> str:
        """A species' name; 'Mixed' for none."""
        return tr("Mixed") if species is None else self.species.get(species, "")

    def room_name(self, room: int | None) -> str:
        """A room's name; '' for none."""
        return "" if room is None else self.rooms.get(room, "")


def read_terms(reading: Reading, now: str | None = None, *, for_others: bool = False) -> FarmTerms:
    """The farm's terms at an instant, which is now unless given; NotFound where none is begun.

    Quantities are written as the reader's own station writes them; `for_others`, as on a paper
    that a customer gets, as the farm does.
    """
    farm = reading.first(Farm)
    if farm is None:
        raise NotFound(problem("farm_not_begun"))
    instant = now or to_iso(now_utc())
    return FarmTerms(
        farm=farm,
        formats=(None if for_others else reading.formats) or formats_of(farm),
        species={one.id: one.name for one in reading.all(Species)},
        rooms={one.id: one.name for one in reading.all(Room)},
        now=instant,
        today=local_day(instant, farm.zone),
    )


def formats_of(farm: Farm) -> Formats:
    """How this farm writes quantities, and the paper of its country."""
    land = farm.locale.rpartition("_")[2]
    return Formats(
        locale=farm.locale,
        mass_unit=farm.mass_unit,
        zone=farm.zone,
        currency=farm.currency,
        temperature_unit=farm.temperature_unit,
        paper="letter" if land in _LETTER_LANDS else "a4",
    )
