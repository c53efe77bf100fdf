"""What was put off leaves the day's list, and is back on its day or when it became worse."""

from __future__ import annotations

from dataclasses import replace

from trading_farm import NOW, TradingFarm

from farmdesk.actions.base import Act, Who, perform
from farmdesk.actions.put_offs import WorkLine, bring_back, put_off
from farmdesk.actions.undo import undo_last
from farmdesk.actions.walks import walk
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.plans import PlannedBatch
from farmdesk.domain.trade import Order
from farmdesk.reports.today import list_today, read_days_work, today_table
from farmdesk.reports.today_rows import NOTICED, DaysWork, TodayRow
from farmdesk.store.farm_store import FarmStore


def _work(store: FarmStore, now: str = NOW) -> DaysWork:
    with store.reading() as reading:
        return read_days_work(reading, now=now)


def _put_off(store: FarmStore, row: TodayRow, until: str) -> int:
    section, subject = row.id
    line = WorkLine(section, subject, row.name, row.due or "", row.grade)
    done = perform(store, lambda act: put_off(act, [line], until), now=NOW, happened_at=NOW)
    assert done.result is not None
    return done.result[0].id


def _row(store: FarmStore, section: str, now: str = NOW) -> TodayRow:
    (found,) = [row for row in _work(store, now).waiting if row.section == section]
    return found


def _is_waiting(store: FarmStore, row: TodayRow, now: str) -> bool:
    return row.id in [one.id for one in _work(store, now).waiting]


def test_it_leaves_the_list_and_every_table_and_is_told(
    store: FarmStore, trading: TradingFarm
) -> None:
    before = _work(store)
    row = _row(store, "Spawn")
    known = _put_off(store, row, "2026-11-26")
    after = _work(store)
    assert len(after.waiting) == len(before.waiting) - 1
    (away,) = after.put_off
    assert away.put_off is not None
    assert (away.id, away.put_off.until_on) == (row.id, "2026-11-26")
    with store.reading() as reading:
        assert row.id not in [one.id for one in list_today(reading, now=NOW)]
        table = today_table(reading, now=NOW)
    assert row.name not in [cells[1] for cells in table.rows]
    assert list(table.notes) == ["1 put off"]
    perform(store, lambda act: bring_back(act, [known]), now=NOW, happened_at=NOW)
    assert _work(store) == before


def test_of_two_put_offs_of_one_line_the_longer_counts_and_both_go(
    store: FarmStore, trading: TradingFarm
) -> None:
    """A brings a line back, B puts it off anew, and A's undo makes a second one of it."""
    row = _row(store, "Spawn")
    first = _put_off(store, row, "2026-11-30")
    here, there = Who("packing"), Who("lab")
    perform(store, lambda act: bring_back(act, [first]), who=here, now=NOW, happened_at=NOW)
    section, subject = row.id
    line = WorkLine(section, subject, row.name, row.due or "", row.grade)
    perform(store, lambda act: put_off(act, [line], "2026-11-27"), who=there, now=NOW,
            happened_at=NOW)  # fmt: skip
    perform(store, lambda act: undo_last(act, station="packing"), who=here)
    (away,) = _work(store).put_off
    assert away.put_off is not None
    assert away.put_off.until_on == "2026-11-30"
    number = away.put_off.id
    perform(store, lambda act: bring_back(act, [number]), now=NOW, happened_at=NOW)
    assert _work(store).put_off == ()


def test_it_is_back_by_itself_on_its_day(store: FarmStore, trading: TradingFarm) -> None:
    row = _row(store, "Spawn")
    _put_off(store, row, "2026-11-26")
    assert not _is_waiting(store, row, "2026-11-25T20:00:00Z")
    assert _is_waiting(store, row, "2026-11-26T12:00:00Z")


def test_an_order_put_off_is_back_when_it_is_late(store: FarmStore, trading: TradingFarm) -> None:
    late = _row(store, "Late")

    def due(act: Act, day: str) -> None:
        order = act.tx.first(Order, name=late.name)
        assert order is not None
        act.change("order_changed", order, due_on=day)

    perform(store, lambda act: due(act, "2026-11-23"), now=NOW, happened_at=NOW)
    ship = _row(store, "Ship")
    assert ship.reason.startswith("due tomorrow")
    _put_off(store, ship, "2026-11-30")
    assert ship.id not in [row.id for row in _work(store).waiting]
    (today,) = [
        row for row in _work(store, "2026-11-23T20:00:00Z").waiting if row.name == ship.name
    ]
    assert (today.section, today.reason) == ("Ship", "due today, 1 line"), "on its day it is worse"
    (again,) = [
        row for row in _work(store, "2026-11-24T20:00:00Z").waiting if row.name == ship.name
    ]
    assert again.section == "Late"


def test_a_batch_to_open_is_back_when_it_is_overdue(store: FarmStore, trading: TradingFarm) -> None:
    def expect(act: Act, first: str, last: str) -> None:
        (batch,) = [one for one in act.tx.all(Batch) if one.name == "OY01-0002"]
        act.change("batch_changed", batch, ready_from=first, ready_to=last)

    perform(store, lambda act: expect(act, "2026-11-20", "2026-11-24"), now=NOW, happened_at=NOW)
    row = _row(store, "Open")
    _put_off(store, row, "2026-11-30")
    assert not _is_waiting(store, row, "2026-11-24T20:00:00Z")
    assert _is_waiting(store, row, "2026-11-25T20:00:00Z"), "overdue now"


def test_the_next_time_is_another_matter(store: FarmStore, trading: TradingFarm) -> None:
    row = _row(store, "Look at")
    _put_off(store, row, "2027-01-31")
    (batch,) = [one for one in _all_batches(store) if one.name == row.name]
    perform(store, lambda act: walk(act, batch=batch.id), now=NOW, happened_at=NOW)
    later = "2026-12-05T20:00:00Z"
    assert _is_waiting(store, row, later), "walked in between, and not for 13 days since"


def _all_batches(store: FarmStore) -> list[Batch]:
    with store.reading() as reading:
        return reading.all(Batch)


def test_one_step_of_a_planned_batch_leaves_its_others(
    store: FarmStore, trading: TradingFarm
) -> None:
    plan = PlannedBatch(
        1, "B-LM-0001", species=2, blocks=20, week="2026-W52", plates_on="2026-11-17",
        spawn_on="2026-11-18", inoculate_on="2026-11-20", open_on="2026-12-10",
        pick_on="2026-12-20",
    )  # fmt: skip
    perform(store, lambda act: act.make("batch_planned", plan), now=NOW, happened_at=NOW)
    rows = [row for row in _work(store).waiting if row.section == "Plan"]
    assert len(rows) == len({row.id for row in rows}) == 3
    _put_off(store, rows[0], "2026-11-23")
    left = [row for row in _work(store).waiting if row.section == "Plan"]
    assert [row.reason for row in left] == [row.reason for row in rows[1:]]


def test_more_bags_unseen_bring_their_line_back(store: FarmStore, trading: TradingFarm) -> None:
    def bags_line(now: str) -> list[TodayRow]:
        return [row for row in _work(store, now).waiting if row.id == (NOTICED, "bags unseen")]

    (row,) = bags_line(NOW)
    _put_off(store, row, "2026-12-22")
    assert bags_line(NOW) == []

    def one_more(act: Act) -> None:
        bag = next(one for one in act.tx.all(Bag) if one.stage == "incubating")
        twin = replace(bag, id=act.next_id("bag"), number=bag.number + 50)
        act.make("bag_made", twin)

    perform(store, one_more, now=NOW, happened_at=NOW)
    assert [one.grade for one in bags_line(NOW)] == [row.grade + 1]


def test_every_line_is_known_by_itself(store: FarmStore, trading: TradingFarm) -> None:
    for now in (NOW, "2026-11-27T20:00:00Z", "2026-12-20T20:00:00Z"):
        ids = [row.id for row in _work(store, now).waiting]
        assert len(ids) == len(set(ids))
