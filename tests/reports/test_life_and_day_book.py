"""The day book and a thing's life in plain sentences, from acts done as people do them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

import pytest

from farmdesk.actions.bags import discard_bag, move_bag, open_bag
from farmdesk.actions.base import Act, Who, perform
from farmdesk.actions.catalogue import begin_farm, save
from farmdesk.actions.inoculation import SpawnUse, inoculate
from farmdesk.actions.lab import register_spawn
from farmdesk.actions.picks import record_pick
from farmdesk.actions.undo import redo_last, undo_last
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Person, Reason, Room, Strain
from farmdesk.errors import NotFound
from farmdesk.reports.day_book import DayBookLine, day_book, day_book_table
from farmdesk.reports.life import life_of, life_table
from farmdesk.store.farm_store import FarmStore


@dataclass(frozen=True)
class Acted:
    store: FarmStore
    batch: int
    bags: list[int]
    spawn: int
    pick: int


@pytest.fixture
def acted(store: FarmStore) -> Acted:
    def do(action: Any, now: str, late: str | None = None, person: int | None = 1) -> Any:
        who = Who("bench", person)
        return perform(store, action, now=now, happened_at=late or now, who=who).result

    do(partial(begin_farm, name="Nine Alders"), "2026-10-01T08:00:00Z", person=None)
    do(lambda act: save(act, Person(0, "Ada Quill", "AQ")), "2026-10-01T08:01:00Z", person=None)
    with store.reading() as reading:
        strain = next(one for one in reading.all(Strain) if one.id == 1)
        shelves, mist = reading.all(Room)[1:3]
        mould = reading.all(Reason)[0]
    spawn = do(
        partial(register_spawn, strain=strain.id, bags=1, each_mg=2_000_000, grain="rye"),
        "2026-10-01T10:00:00Z",
    )[0]
    batch = do(
        partial(
            inoculate, strain=strain.id, spawn=[SpawnUse(spawn.id, 500_000)], bags=4, printed=6,
            block_mg=2_500_000, room=shelves.id,
        ),
        "2026-10-01T11:00:00Z",
    )  # fmt: skip
    with store.reading() as reading:
        bags = [one.id for one in reading.all(Bag, batch=batch.id)]

    def move_all(act: Act) -> None:
        for one in bags[:4]:
            move_bag(act, act.need(Bag, one), room=mist.id)

    do(move_all, "2026-10-20T10:00:00Z")
    do(lambda act: open_bag(act, act.need(Bag, bags[0])), "2026-10-20T11:00:00Z",
       "2026-10-20T09:00:00Z")  # fmt: skip
    do(
        lambda act: discard_bag(act, act.need(Bag, bags[1]), mould.id, note="sour"),
        "2026-10-20T12:00:00Z",
    )
    do(undo_last, "2026-10-20T12:05:00Z")
    do(redo_last, "2026-10-20T12:06:00Z")
    pick = do(
        partial(record_pick, bags=[bags[0], bags[2]], gross_mg=900_000, typed="900 g"),
        "2026-10-28T12:00:00Z",
    )
    return Acted(store, batch.id, bags, spawn.id, pick.id)


def _lines(store: FarmStore, **wanted: Any) -> list[DayBookLine]:
    with store.reading() as reading:
        return list(day_book(reading, now="2026-11-01T00:00:00Z", **wanted).lines)


def test_each_act_is_one_sentence_newest_first(acted: Acted) -> None:
    assert [one.sentence for one in _lines(acted.store)][:8] == [
        "Pick P-OY-0001 begun; 2 bags picked; P-OY-0001 weighed: 0.90 kg net, typed “900 g”",
        "Done again: OY01-0001-002 discarded: Green mould",
        "Taken back: OY01-0001-002 discarded: Green mould",
        "OY01-0001-002 discarded: Green mould (sour)",
        "OY01-0001-001 opened for fruiting",
        "4 bags moved to Fruiting room",
        "Batch OY01-0001 inoculated: 4 bags; 2 spare codes voided",
        "Spawn S-OY01-0001 entered: 2.00 kg, Oyster 01",
    ]


def test_late_and_taken_back_acts_say_so(acted: Acted) -> None:
    lines = _lines(acted.store)
    opened = next(one for one in lines if "opened" in one.sentence)
    assert (opened.happened_at, opened.written_at) == (
        "2026-10-20T09:00:00Z", "2026-10-20T11:00:00Z",
    )  # fmt: skip
    assert (opened.is_late, opened.state) == (True, "entered late")
    states = [one.state for one in lines[1:4]]
    # taken back and done again: the undo no longer holds, the discard does
    assert states == ["", "taken back", ""]
    assert lines[0].who == "Ada Quill"


def test_pages_go_on_where_the_last_one_ended(acted: Acted) -> None:
    whole = [one.number for one in _lines(acted.store)]
    paged: list[int] = []
    before: int | None = None
    with acted.store.reading() as reading:
        while True:
            page = day_book(reading, before=before, limit=3)
            paged += [one.number for one in page.lines]
            if page.older is None:
                break
            before = page.older
    assert paged == whole


def test_a_bag_lives_in_the_order_in_which_it_happened(acted: Acted) -> None:
    with acted.store.reading() as reading:
        life = life_of(reading, acted.bags[0])
        rows = list(life_table(life).rows)
    assert (life.name, life.kind) == ("OY01-0001-001", "bag")
    assert [one.sentence for one in life.lines] == [
        "OY01-0001-001 made",
        "OY01-0001-001 filled from OY01-0001",
        "0.125 kg of S-OY01-0001 into OY01-0001-001",
        "OY01-0001-001 opened for fruiting",
        "OY01-0001-001 moved to Fruiting room",
        "OY01-0001-001 picked into P-OY-0001, flush 1",
        "0.45 kg of P-OY-0001 from OY01-0001-001, allocated",
    ]
    assert len(rows) == len(life.lines)


def test_a_batch_tells_what_was_done_to_its_bags_together(acted: Acted) -> None:
    with acted.store.reading() as reading:
        told = [one.sentence for one in life_of(reading, acted.batch).lines]
        spawn = [one.sentence for one in life_of(reading, acted.spawn).lines]
    assert "4 bags moved to Fruiting room" in told
    assert "2 bags picked" in told
    assert spawn[-1] == "S-OY01-0001: 1.50 kg left"


def test_what_is_gone_keeps_its_name_in_the_day_book(acted: Acted) -> None:
    perform(acted.store, undo_last, now="2026-10-29T12:00:00Z")
    newest = _lines(acted.store)[0]
    assert newest.sentence.startswith("Taken back: ")
    assert "P-OY-0001" in newest.sentence


def test_a_thing_without_a_life_is_not_found(acted: Acted) -> None:
    with acted.store.reading() as reading, pytest.raises(NotFound):
        life_of(reading, acted.bags[0] + 900_000)


def test_the_day_book_as_a_table_has_a_row_for_each_act(acted: Acted) -> None:
    with acted.store.reading() as reading:
        page = day_book(reading)
    assert [row[0] for row in day_book_table(page).rows] == [one.number for one in page.lines]
