"""The demo farm: as large as promised, ending today, in order, and the same when taken out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from farmdesk.actions.demo import build_demo
from farmdesk.actions.exchange import export_farm, import_farm
from farmdesk.domain.bags import Bag, Batch, Link
from farmdesk.domain.catalogue import Farm, Reason, Species, Strain
from farmdesk.domain.harvest import Pick, Removal
from farmdesk.domain.lab import HeatRun, Spawn
from farmdesk.domain.stages import SOLD, STAGES
from farmdesk.domain.trade import Delivery, Invoice, Order
from farmdesk.quantities.mass import read_mass
from farmdesk.quantities.times import age_days, local_day, today_in
from farmdesk.reports.check import check_farm
from farmdesk.reports.today import list_today
from farmdesk.reports.today_rows import SECTIONS
from farmdesk.settings.places import demo_path
from farmdesk.store.farm_store import FarmStore, open_farm
from farmdesk.store.transaction import Reading

MOST_BYTES = 10_000_000


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FarmStore]:
    """The demo farm as a user builds it."""
    store = open_farm(tmp_path_factory.mktemp("demo") / "farm.sqlite", make=True)
    build_demo(store)
    yield store
    store.close()


@pytest.fixture
def reading(demo: FarmStore) -> Iterator[Reading]:
    with demo.reading() as opened:
        yield opened


def _species_of_bags(reading: Reading) -> Counter[str]:
    codes = {one.id: one.code for one in reading.all(Species)}
    strains = {one.id: codes[one.species] for one in reading.all(Strain)}
    batches = {one.id: strains[one.strain] for one in reading.all(Batch)}
    return Counter(batches[bag.batch] for bag in reading.all(Bag))


def test_it_has_five_species_and_a_thousand_bags(reading: Reading) -> None:
    counts = _species_of_bags(reading)
    assert {"OY", "SH", "LM", "CH", "KO"} <= set(counts)
    assert sum(counts.values()) >= 1_000
    assert min(counts.values()) >= 20


def test_bags_stand_in_every_stage(reading: Reading) -> None:
    counts = Counter(bag.stage for bag in reading.all(Bag))
    # Nothing sells whole blocks yet, so that no bag can have come to that stage.
    assert set(counts) == set(STAGES) - {SOLD}


def test_about_one_bag_in_twenty_is_contaminated(reading: Reading) -> None:
    kinds = {one.id: one.code for one in reading.all(Reason) if one.contamination}
    found = Counter(kinds[bag.reason] for bag in reading.all(Bag) if bag.reason in kinds)
    assert len(found) >= 5
    assert 0.03 <= found.total() / len(reading.all(Bag)) <= 0.08


def test_one_short_heat_run_lost_a_third_of_its_bags(reading: Reading) -> None:
    held = {
        run.id: datetime.fromisoformat(run.ended_at) - datetime.fromisoformat(run.hot_at)
        for run in reading.all(HeatRun)
        if run.status == "passed" and run.hot_at and run.ended_at
    }
    shortest = min(held, key=lambda run: held[run])
    batch = reading.all(Batch, run=shortest)[0]
    gone = reading.all(Bag, batch=batch.id, stage="discarded")
    assert 0.25 <= len(gone) / batch.made <= 0.5


def test_picks_are_many_mixed_and_single_and_of_several_flushes(reading: Reading) -> None:
    picks = {pick.id: pick for pick in reading.all(Pick)}
    weighed = [pick for pick in picks.values() if pick.status == "weighed"]
    assert len(weighed) >= 300
    assert {pick.flush for pick in weighed} >= {1, 2, 3}
    assert {pick.grade for pick in weighed} == {"A", "B"}
    batch_of = {bag.id: bag.batch for bag in reading.all(Bag)}
    links = [link for link in reading.all(Link) if link.child in picks]
    batches: dict[int, set[int]] = {}
    for link in links:
        batches.setdefault(link.child, set()).add(batch_of[link.parent])
    assert sum(len(some) > 1 for some in batches.values()) >= 10
    assert {link.how for link in links if link.amount_mg} == {"measured", "allocated"}


def test_typed_weights_are_the_weights(reading: Reading) -> None:
    typed = [pick for pick in reading.all(Pick) if pick.typed]
    assert all(read_mass(pick.typed).mg == pick.gross_mg for pick in typed)
    assert any(" lb " in pick.typed for pick in typed)
    assert any(pick.typed.endswith(" kg") for pick in typed)


def test_it_sells_and_is_paid_and_still_has_work_and_money_to_come(reading: Reading) -> None:
    orders = Counter(order.status for order in reading.all(Order))
    assert orders.total() >= 60
    assert orders["open"] >= 3
    assert len({one.customer for one in reading.all(Delivery)}) >= 8
    paid = Counter(bill.paid_on is not None for bill in reading.all(Invoice))
    assert paid[True] > paid[False] > 0
    uses = {one.id: one.use for one in reading.all(Reason)}
    left = {uses[one.reason] for one in reading.all(Removal)}
    assert left == {"waste", "gift", "own", "drying"}


def test_spawn_is_of_three_generations(reading: Reading) -> None:
    assert {one.generation for one in reading.all(Spawn)} == {1, 2, 3}


def test_its_last_day_is_today_and_it_is_half_a_year_long(reading: Reading) -> None:
    zone = reading.all(Farm)[0].zone
    times = [entry.happened_at for entry in reading.entries()]
    last = local_day(max(times), zone)
    assert last == today_in(zone)
    assert age_days(local_day(min(times), zone), last) == 26 * 7
    hours = {datetime.fromisoformat(one).astimezone(ZoneInfo(zone)).hour for one in times}
    # An hour earlier or later where the clocks were changed.
    assert min(hours) >= 4
    assert max(hours) <= 21


def test_slips_were_taken_back_and_put_right(reading: Reading) -> None:
    entries = list(reading.entries())
    assert len({entry.act for entry in entries if entry.undoes is not None}) >= 3
    assert any(entry.kind == "pick_corrected" for entry in entries)
    assert any(entry.happened_at < entry.written_at for entry in entries)


def test_fresh_picks_are_on_hand(reading: Reading) -> None:
    today = today_in(reading.all(Farm)[0].zone)
    fresh = [one for one in reading.all(Pick) if one.left_mg and (one.shelf_on or "") > today]
    assert len({one.species for one in fresh}) >= 3


def test_today_asks_for_work_of_every_sort(reading: Reading) -> None:
    waiting = {row.section for row in list_today(reading)}
    # What is planned for this week may be done already, by the weekday on which this runs.
    assert waiting >= set(SECTIONS) - {"Look at", "Plan"}


def test_its_day_book_is_in_order(demo: FarmStore) -> None:
    verdict = check_farm(demo)
    assert verdict.differences == ()
    assert verdict.entries > 10_000


def test_taken_in_as_it_is_it_comes_out_byte_for_byte(tmp_path: Path) -> None:
    store = open_farm(tmp_path / "farm.sqlite", make=True)
    try:
        import_farm(store, demo_path())
        assert check_farm(store).is_clean
        export_farm(store, tmp_path / "out")
    finally:
        store.close()
    shipped = _files(demo_path())
    assert sum(name.startswith("photos/") for name in shipped) == 2
    assert _files(tmp_path / "out") == shipped
    assert sum(len(text) for text in shipped.values()) < MOST_BYTES


def _files(folder: Path) -> dict[str, bytes]:
    paths = [path for path in folder.rglob("*") if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}
