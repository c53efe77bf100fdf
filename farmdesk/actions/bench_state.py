"""What a bench knows of the farm between scans, and how it notices that it is out of date."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from farmdesk.domain import cards
from farmdesk.domain.bags import Batch
from farmdesk.domain.catalogue import Crate, Farm, Reason, Room
from farmdesk.domain.codes import bag_name
from farmdesk.domain.harvest import Pick
from farmdesk.domain.stations import Card, Station
from farmdesk.errors import Refused, problem
from farmdesk.quantities.mass import format_mass
from farmdesk.quantities.times import from_iso
from farmdesk.store.codes import has_changed
from farmdesk.store.picks import bags_in_pick
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say

KEPT = frozenset({"farm", "card", "room", "reason", "crate", "station", "batch"})
"""A change to one of these kinds makes a bench read again."""
_MOST_BATCHES = 5_000


@dataclass
class BenchState:
    """Rows that every scan needs; read again when any station has changed one of them."""

    station_name: str
    farm: Farm
    station: Station | None
    cards: dict[int, Card]
    rooms: dict[int, Room]
    reasons: dict[int, Reason]
    crates: dict[int, Crate]
    formats: Formats
    next_number: int
    card_since: datetime | None = None
    batches: dict[int, Batch] = field(default_factory=dict)

    def is_fresh(self, reading: Reading, next_number: int) -> bool:
        """Whether nothing that is kept here has changed up to this day book number."""
        if next_number == self.next_number:
            return True
        if next_number < self.next_number:
            return False
        if has_changed(reading, self.next_number, tuple(sorted(KEPT))):
            return False
        self.next_number = next_number
        return True

    def batch(self, reading: Reading, batch_id: int) -> Batch:
        """A batch, kept once it was needed."""
        found = self.batches.get(batch_id)
        if found is None:
            found = reading.get(Batch, batch_id)
            if found is None:
                raise Refused(problem("name_not_found", text=batch_id))
            if len(self.batches) >= _MOST_BATCHES:
                self.batches.clear()
            self.batches[batch_id] = found
        return found

    def name_of(self, reading: Reading, batch_id: int, number: int) -> str:
        """A bag's name."""
        return bag_name(self.batch(reading, batch_id).name, number)

    @property
    def card(self) -> Card | None:
        """The card last scanned at this station, in force or not; None for a retired one."""
        if self.station is None or self.station.card is None:
            return None
        found = self.cards.get(self.station.card)
        return None if found is None or found.retired else found

    def room_name(self, room: int | None) -> str:
        """A room's name, nothing for none."""
        return self.rooms[room].name if room in self.rooms else ""

    def place_name(self, room: int | None, shelf: str) -> str:
        """A room's name, with its shelf where one is told."""
        name = self.room_name(room)
        return tr("{room}, shelf {shelf}").format(room=name, shelf=shelf) if shelf else name

    def crate_name(self, crate: Crate) -> str:
        """A crate's name as it stands in a sentence."""
        has_word = crate.name.casefold().startswith("crate")
        return crate.name if has_word else f"Crate {crate.name}"

    def mass(self, mg: int) -> str:
        """A mass in the farm's unit."""
        return format_mass(mg, self.farm.mass_unit, self.farm.locale)

    def count_bags(self, number: int) -> str:
        """So many bags, in words."""
        return self.formats.count(number, "bag", "bags")


def describe_meaning(reading: Reading, state: BenchState, card: Card | None) -> str:
    """What the next scan will do under this card, in a few words."""
    if card is None:
        return say(problem("meaning_none"))
    station = state.station
    if card.act != cards.PICK or station is None:
        return card.title
    crate = state.crates.get(station.crate or 0)
    pick = reading.get(Pick, station.pick) if station.pick else None
    facts = {"title": card.title, "crate": state.crate_name(crate) if crate else ""}
    if pick is None or pick.status != "open":
        return say(problem("meaning_crate", **facts)) if crate else card.title
    bags = state.count_bags(len(bags_in_pick(reading, pick.id)))
    code = "meaning_pick_crate" if crate else "meaning_pick"
    return say(problem(code, pick=pick.name, bags=bags, **facts))


def load_state(reading: Reading, station_name: str, next_number: int) -> BenchState:
    """Read what a bench needs; raises Refused on a farm that has not been begun."""
    farm = reading.first(Farm)
    if farm is None:
        raise Refused(problem("farm_not_begun"))
    station = reading.first(Station, name=station_name)
    since = station.card_since if station else None
    return BenchState(
        station_name=station_name,
        farm=farm,
        station=station,
        card_since=from_iso(since) if since else None,
        cards={card.id: card for card in reading.all(Card)},
        rooms={room.id: room for room in reading.all(Room)},
        reasons={reason.id: reason for reason in reading.all(Reason)},
        crates={crate.id: crate for crate in reading.all(Crate)},
        formats=Formats(
            locale=farm.locale,
            mass_unit=farm.mass_unit,
            zone=farm.zone,
            currency=farm.currency,
            temperature_unit=farm.temperature_unit,
        ),
        next_number=next_number,
    )
