"""Time to the first pins, the shelf as a cause, and what an hour of work picks."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from decimal import Decimal
from functools import partial
from pathlib import Path

import pytest
from trading_farm import NOW

from farmdesk.actions.base import Act, perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.actions.demo import build_demo
from farmdesk.arithmetic.yields import measure_work
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Reason, Room, Strain
from farmdesk.domain.costs import Labour
from farmdesk.quantities.times import age_days, day_plus
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.blame import read_blame
from farmdesk.reports.sum_question import SumQuestion
from farmdesk.reports.times import days_of_life, look_at, times_tables
from farmdesk.reports.work_yields import work_table
from farmdesk.settings.places import demo_path
from farmdesk.store.bag_lives import BagLife
from farmdesk.store.farm_store import FarmStore, open_farm

TO_THE_DAY = SumQuestion("batch", first="2026-01-01", last="2026-11-19")


@pytest.fixture
def begun(store: FarmStore) -> FarmStore:
    perform(store, lambda act: begin_farm(act, name="Third Hopper Farm"), now=NOW)
    return store


def make_batches(act: Act, bad: frozenset[tuple[int, str]]) -> None:
    """Six batches over two shelves of one room; `bad` names (number, shelf) of what went bad."""
    strain = act.tx.all(Strain)[0].id
    room = next(one.id for one in act.tx.all(Room) if one.use == "incubation")
    mould = next(one.id for one in act.tx.all(Reason) if one.contamination)
    for at in range(6):
        batch = act.make("batch_inoculated", Batch(
            act.next_id("batch"), f"OY01-{at:04d}", strain, None, "2026-09-01", 40, 2_500_000,
            950_000))  # fmt: skip
        for number in range(1, 41):
            shelf = "A1" if number % 2 else "A2"
            is_bad = (number, shelf) in bad
            act.make("bag_made", Bag(
                act.next_id("bag"), batch.id, number,
                "discarded" if is_bad else "colonised", "2026-09-20T12:00:00Z", room,
                reason=mould if is_bad else None, grew_room=room, grew_shelf=shelf))  # fmt: skip


def test_a_shelf_that_spoils_bags_is_named(begun: FarmStore) -> None:
    bad = frozenset((number, "A1") for number in range(1, 20, 2))
    perform(begun, partial(make_batches, bad=bad), now=NOW)
    with begun.reading() as reading:
        answer = read_blame(reading, now=NOW)
    assert answer.blame is not None
    first = answer.blame.likeliest
    assert first is not None
    assert first.cause == "shelf"
    assert first.level.endswith("shelf A1")
    assert (first.counts.contaminated, first.counts.made) == (60, 120)
    assert (first.counts.other_contaminated, first.counts.other_made) == (0, 120)
    assert "air flow and cleanliness" in answer.sentence


def test_shelves_that_do_alike_are_not_accused(begun: FarmStore) -> None:
    bad = frozenset({(1, "A1"), (2, "A2"), (21, "A1"), (22, "A2")})
    perform(begun, partial(make_batches, bad=bad), now=NOW)
    with begun.reading() as reading:
        answer = read_blame(reading, now=NOW)
    assert answer.blame is not None
    assert answer.blame.likeliest is None


LIFE = BagLife(
    1, "fruiting", "2026-03-20T08:00:00Z", "2026-03-24", "2026-03-16", "2026-03-17",
    False, "2026-03-12", "2026-03-28T08:00:00Z", "2026-03-23",
)  # fmt: skip


def test_pins_count_from_inoculation_to_the_day_they_were_noted() -> None:
    found = look_at(days_of_life(LIFE, "2026-03-01", "UTC"), "pinned")
    assert (found.last_look, found.found_day, found.outcome) == (21, 22, "colonised")


def test_pins_that_nobody_noted_lie_between_growing_in_and_the_first_pick() -> None:
    unseen = LIFE._replace(pinned_on=None)
    found = look_at(days_of_life(unseen, "2026-03-01", "UTC"), "pinned")
    assert (found.last_look, found.found_day, found.outcome) == (15, 27, "colonised")
    still = unseen._replace(first_pick_at=None)
    assert look_at(days_of_life(still, "2026-03-01", "UTC"), "pinned").outcome == "running"


def test_what_an_hour_of_work_picks() -> None:
    # By hand: 48.6 kg in 4 h 30 min are 10.8 kg an hour.
    assert measure_work(48_600_000, minutes=270) == 10_800_000
    assert measure_work(1, minutes=7) == Decimal(9)  # 60 / 7 = 8.57 mg
    assert measure_work(5, minutes=0) is None


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FarmStore]:
    opened = open_farm(tmp_path_factory.mktemp("sums") / "farm.sqlite", make=True)
    build_demo(opened)
    yield opened
    opened.close()


def read_csv(kind: str) -> list[dict[str, str]]:
    path = Path(demo_path()) / f"{kind}.csv"
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def test_weeks_of_work_are_what_the_files_say(demo: FarmStore) -> None:
    """Recomputed from the CSV files that the farm was made from, moved to today as it was."""
    with demo.reading() as reading:
        moved = age_days(read_csv("labour")[0]["day"], reading.all(Labour)[0].day)
    work = [(day_plus(one["day"], moved), one) for one in read_csv("labour")]
    picks = [
        (day_plus(one["picked_at"][:10], moved), int(one["net_mg"]))
        for one in read_csv("pick")
        if one["net_mg"]
    ]
    picked: dict[str, int] = {}
    for day, mg in picks:
        week = str(IsoWeek.of(day))
        picked[week] = picked.get(week, 0) + mg
    minutes: dict[str, dict[str, int]] = {}
    for day, one in work:
        tasks = minutes.setdefault(str(IsoWeek.of(day)), {})
        tasks[one["task"]] = tasks.get(one["task"], 0) + int(one["minutes"])
    first, last = IsoWeek.of(work[0][0]).monday, max(day for day, _ in [*work, *picks])
    with demo.reading() as reading:
        table = work_table(reading, SumQuestion(first=first, last=last))
    rows = {str(row[0]): row for row in table.rows}
    whole = [week for week in minutes if week in rows]
    assert len(whole) > 20
    for week in whole:
        total = sum(minutes[week].values())
        _, mg, picking_hours, per_picking, hours, per_hour = rows[week]
        assert mg == picked.get(week, 0)
        assert float(str(hours)) == pytest.approx(total / 60, abs=0.006)
        assert per_hour == round(Decimal(60 * picked.get(week, 0)) / total)
        if at_picking := minutes[week].get("picking", 0):
            assert float(str(picking_hours)) == pytest.approx(at_picking / 60, abs=0.006)
            assert per_picking == round(Decimal(60 * picked.get(week, 0)) / at_picking)
    assert table.totals is not None
    assert table.totals[1] == sum(picked.get(week, 0) for week in whole)
    assert "for each hour" in table.notes[0]


def test_without_work_noted_it_says_where_to_note_it(begun: FarmStore) -> None:
    with begun.reading() as reading:
        table = work_table(reading, now=NOW)
    assert list(table.rows) == []
    assert "Costs, Work" in table.notes[0]


def test_the_demo_has_a_curve_of_pins(demo: FarmStore) -> None:
    noted = [bag for bag in read_csv("bag") if bag["pinned_on"]]
    assert len(noted) > 500
    with demo.reading() as reading:
        pins = times_tables(reading, SumQuestion("species"))[1]
    assert pins.title == "Time to the first pins"
    reached = sum(int(str(row[3])) for row in pins.rows)
    assert len(noted) <= reached <= sum(1 for bag in read_csv("bag") if bag["opened_on"])
