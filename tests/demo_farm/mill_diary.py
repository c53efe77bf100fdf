"""The diary of the demo farm: days with a clock, and acts whose ids are always the same."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, datetime, time, timedelta
from random import Random
from typing import TypeVar
from zoneinfo import ZoneInfo

from farmdesk.actions.base import Act, Who, perform
from farmdesk.actions.undo import undo_last
from farmdesk.domain.bags import Bag
from farmdesk.quantities.times import to_iso
from farmdesk.store.farm_store import FarmStore

R = TypeVar("R")
ZONE = "America/New_York"
_MINUTES_BETWEEN = (1, 4)


class Diary:
    """Does acts one after the other on a day; each takes a few minutes."""

    def __init__(self, store: FarmStore, seed: int) -> None:
        self.store = store
        self.seed = seed
        self.day = date.min
        self.people: dict[str, int] = {}
        self._pace = self.chance("pace")
        self._minute = 0
        self._days = 0
        self._count = 0

    def chance(self, name: str) -> Random:
        """Random numbers of one part of the farm, the same in every growing."""
        return Random(f"{self.seed} {name}")

    def open_day(self, day: date) -> None:
        """Begin a day, before anybody is up."""
        self.day = day
        self._days += 1
        self._minute = 0
        self._count = 0

    def wait_until(self, clock: str) -> None:
        """Let the clock run on to a time of the day, unless it is later already."""
        hours, minutes = clock.split(":")
        self._minute = max(self._minute, int(hours) * 60 + int(minutes))

    def instant(self, clock: str, days: int = 0) -> str:
        """An instant on the farm's clock, so many days from the diary's day."""
        local = datetime.combine(self.day + timedelta(days), time.fromisoformat(clock))
        return to_iso(local.replace(tzinfo=ZoneInfo(ZONE)))

    def do(
        self,
        action: Callable[[Act], R],
        *,
        person: str = "",
        station: str = "desk",
        happened_at: str | None = None,
        confirmed: Iterable[str] = (),
    ) -> R:
        """Do one act now and give what it made; `happened_at` makes it a late entry."""
        self._minute += self._pace.randint(*_MINUTES_BETWEEN)
        self._count += 1
        now = self.instant(f"{self._minute // 60:02d}:{self._minute % 60:02d}")
        done = perform(
            self.store,
            action,
            who=Who(station, self.people.get(person)),
            act=f"third-hopper-{self._days:03d}-{self._count:03d}",
            happened_at=happened_at or now,
            now=now,
            confirmed=confirmed,
        )
        if done.repeated:
            raise ValueError(f"act {done.act} was done before")
        return done.result  # type: ignore[return-value]

    def take_back(self, *, person: str = "", station: str = "desk") -> None:
        """Take back what was done last at a station."""
        self.do(lambda act: undo_last(act, station=station), person=person, station=station)


def need_bags(act: Act, ids: Iterable[int]) -> list[Bag]:
    """Bags as they are now."""
    return [act.need(Bag, one) for one in ids]
