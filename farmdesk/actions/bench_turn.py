"""One scan being worked at: the open act, what the bench knows, and the answer so far."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

from farmdesk.actions.bags import BagAct
from farmdesk.actions.base import Act
from farmdesk.actions.bench_answers import Answering
from farmdesk.actions.bench_state import BenchState
from farmdesk.domain.bags import Bag
from farmdesk.domain.codes import code_of
from farmdesk.domain.harvest import Pick
from farmdesk.domain.stages import ALIVE
from farmdesk.domain.stations import Card, Station
from farmdesk.errors import problem
from farmdesk.store.bags import count_stages
from farmdesk.wording.sentences import say

OPEN = "open"


@dataclass
class Turn:
    """One scan under a card, inside its act."""

    act: Act
    state: BenchState
    card: Card
    answer: Answering
    counted: Container[int] = ()
    """Batches whose live bags are known already."""

    @property
    def wanted(self) -> BagAct:
        """What the card does to a bag."""
        return BagAct(self.card.act, self.card.room, self.card.reason, shelf=self.card.shelf)

    def tell(self, code: str, **facts: object) -> None:
        """Make this the answer's sentence."""
        self.answer.message = say(problem(code, **facts))

    def station(self) -> Station:
        """This station's row, made when it is first needed."""
        if self.state.station is None:
            station = Station(self.act.next_id("station"), self.state.station_name)
            self.state.station = self.act.make("station_made", station)
        return self.state.station

    def open_pick(self) -> Pick | None:
        """The pick that is being filled at this station, or None."""
        station = self.state.station
        if station is None or station.pick is None:
            return None
        pick = self.act.tx.get(Pick, station.pick)
        return pick if pick is not None and pick.status == OPEN else None

    def name_bag(self, bag: Bag) -> str:
        """A bag's name, and the answer told which bag it is about."""
        name = self.state.name_of(self.act.tx, bag.batch, bag.number)
        self.answer.code = code_of(bag.id)
        self.answer.subject = name
        self.show_bag(bag)
        return name

    def show_bag(self, bag: Bag) -> None:
        """Put the stage and room of a bag into the answer."""
        self.answer.stage = bag.stage
        self.answer.batch = bag.batch
        if bag.batch not in self.counted:
            stages = count_stages(self.act.tx, bag.batch)
            self.answer.batch_alive = sum(stages.get(stage, 0) for stage in ALIVE)
        self.answer.room = self.state.place_name(bag.room, bag.shelf)

    def day_text(self, day: str | None) -> str:
        """A day or instant as the farm reads it."""
        return self.state.formats.day(day) if day else ""
