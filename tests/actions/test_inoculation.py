"""Inoculation: bags and links from spawn by split or mix, spare codes, and taking it back."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from typing import Any

import pytest
from begun_farm import NOW, BegunFarm
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.actions.base import perform
from farmdesk.actions.heat_runs import record_heat, record_run
from farmdesk.actions.inoculation import SpawnUse, inoculate, void_bags
from farmdesk.actions.lab import discard_lab
from farmdesk.actions.spawn_shares import share_spawn
from farmdesk.domain.bags import Bag, Batch, Link
from farmdesk.domain.catalogue import Recipe
from farmdesk.domain.lab import HeatRun, Spawn
from farmdesk.errors import Asked, FarmdeskError, Refused
from farmdesk.wording.sentences import SENTENCES, say_error

KG = 1_000_000


def codes(caught: pytest.ExceptionInfo[FarmdeskError]) -> list[str]:
    assert all(one.code in SENTENCES for one in caught.value.problems)
    assert "(" not in say_error(caught.value)
    return [one.code for one in caught.value.problems]


def make(farm: BegunFarm, uses: list[SpawnUse], bags: int, **fields: Any) -> Batch:
    confirmed = fields.pop("confirmed", [])
    wanted = {"strain": farm.strain().id, "block_mg": 2_500_000, **fields}
    return farm.do(lambda act: inoculate(act, spawn=uses, bags=bags, **wanted), confirmed=confirmed)


def run_of(farm: BegunFarm, blocks: int = 40, **fields: Any) -> HeatRun:
    recipe = farm.all(Recipe)[0].id
    return farm.do(lambda act: record_run(act, recipe=recipe, blocks=blocks, **fields))


def by_spawn(farm: BegunFarm, spawn: Spawn) -> list[int]:
    """Bag numbers that this spawn went into."""
    numbers = {bag.id: bag.number for bag in farm.all(Bag)}
    return [numbers[link.child] for link in farm.all(Link, parent=spawn.id)]


def test_a_mix_puts_each_spawn_in_each_bag_exactly(farm: BegunFarm) -> None:
    spawn = farm.spawn(bags=3)
    amounts = [2_300_000, 1_000_001, 7]
    uses = [SpawnUse(one.id, amount) for one, amount in zip(spawn, amounts, strict=True)]
    batch = make(farm, uses, 40)
    for one, amount in zip(spawn, amounts, strict=True):
        links = farm.all(Link, parent=one.id)
        assert len(links) == 40
        assert sum(link.amount_mg for link in links) == amount
        assert farm.get(Spawn, one.id).left_mg == 2_300_000 - amount
    assert (batch.name, batch.made) == ("OY01-0001", 40)
    assert farm.differences() == []


def test_a_clean_split_gives_each_bag_one_spawn(farm: BegunFarm) -> None:
    first, second = farm.spawn(bags=2)
    make(farm, [SpawnUse(first.id, KG, 1, 7), SpawnUse(second.id, KG, 8, 20)], 20)
    assert by_spawn(farm, first) == list(range(1, 8))
    assert by_spawn(farm, second) == list(range(8, 21))
    assert sum(link.amount_mg for link in farm.all(Link, parent=first.id)) == KG
    assert sum(link.amount_mg for link in farm.all(Link, parent=second.id)) == KG


def test_the_same_spawn_may_serve_two_ranges(farm: BegunFarm) -> None:
    first, second = farm.spawn(bags=2)
    uses = [
        SpawnUse(first.id, KG, 1, 4),
        SpawnUse(second.id, KG, 5, 6),
        SpawnUse(first.id, KG, 7, 10),
    ]
    make(farm, uses, 10)
    assert by_spawn(farm, first) == [1, 2, 3, 4, 7, 8, 9, 10]
    assert farm.get(Spawn, first.id).left_mg == 300_000
    assert farm.differences() == []


@given(
    bags=st.integers(1, 300),
    amounts=st.lists(st.integers(1, 3_000_000), min_size=1, max_size=5),
)
def test_shares_add_up_to_the_milligram(bags: int, amounts: list[int]) -> None:
    shares = share_spawn([SpawnUse(at, amount) for at, amount in enumerate(amounts)], bags)
    sums: dict[int, int] = defaultdict(int)
    for (spawn, number), amount in shares.items():
        assert 1 <= number <= bags
        sums[spawn] += amount
    assert sums == dict(enumerate(amounts))


@pytest.mark.parametrize(
    ("uses", "code"),
    [
        ([], "no_spawn_named"),
        ([SpawnUse(1, 0)], "spawn_amount_empty"),
        ([SpawnUse(1, 5, 1, 9)], "bag_in_no_range"),
        ([SpawnUse(1, 5, 1, 6), SpawnUse(2, 5, 6, 10)], "bag_in_two_ranges"),
        ([SpawnUse(1, 5, 1, 11)], "bag_range_wrong"),
        ([SpawnUse(1, 5, 6, 2)], "bag_range_wrong"),
        ([SpawnUse(1, 5, 0, 10)], "bag_range_wrong"),
    ],
)
def test_ranges_hold_each_bag_once(uses: list[SpawnUse], code: str) -> None:
    with pytest.raises(Refused) as caught:
        share_spawn(uses, 10)
    assert codes(caught) == [code]


def test_a_mix_may_stand_beside_ranges(farm: BegunFarm) -> None:
    first, second = farm.spawn(bags=2)
    make(farm, [SpawnUse(first.id, KG, 1, 3), SpawnUse(second.id, KG)], 10)
    assert by_spawn(farm, first) == [1, 2, 3]
    assert by_spawn(farm, second) == list(range(1, 11))


def test_spawn_is_never_overdrawn(farm: BegunFarm) -> None:
    spawn = farm.spawn()[0]
    uses = [SpawnUse(spawn.id, KG, 1, 5), SpawnUse(spawn.id, 2 * KG, 6, 10)]
    with pytest.raises(Refused) as caught:
        make(farm, uses, 10)
    assert codes(caught) == ["spawn_overdrawn"]
    sentence = say_error(caught.value)
    assert all(part in sentence for part in (spawn.name, "2.30 kg", "3.00 kg"))
    assert farm.all(Batch) == []
    assert farm.get(Spawn, spawn.id) == spawn


def test_bags_start_incubating_and_not_looked_at(farm: BegunFarm) -> None:
    spawn, room = farm.spawn()[0], farm.room("incubation")
    batch = make(farm, [SpawnUse(spawn.id, KG)], 3, room=room.id)
    bags = farm.all(Bag, batch=batch.id)
    assert [bag.number for bag in bags] == [1, 2, 3]
    for bag in bags:
        assert (bag.stage, bag.stage_since, bag.looked_on) == ("incubating", NOW, None)
        assert (bag.room, bag.room_since) == (room.id, NOW)
    # Twelve to 21 days for oyster, the shipped default of the species.
    assert (batch.ready_from, batch.ready_to) == ("2026-03-14", "2026-03-23")


def test_a_late_entry_counts_from_its_own_day(farm: BegunFarm) -> None:
    spawn = farm.spawn(made_on="2026-02-01")[0]
    batch = make(farm, [SpawnUse(spawn.id, KG)], 1, inoculated_on="2026-02-10")
    assert farm.all(Bag, batch=batch.id)[0].stage_since == "2026-02-10T00:00:00Z"
    assert batch.ready_from == "2026-02-22"


def test_masses_come_from_the_run_measured_first(farm: BegunFarm) -> None:
    spawn, run = farm.spawn(bags=2), run_of(farm)
    planned = make(farm, [SpawnUse(spawn[0].id, KG)], 4, run=run.id, block_mg=None)
    assert (planned.block_mg, planned.dry_mg) == (2_500_000, 950_000)
    farm.do(lambda act: record_heat(act, run.id, status="held", measured_percent=Decimal("60")))
    measured = make(farm, [SpawnUse(spawn[1].id, KG)], 4, run=run.id, block_mg=None)
    assert measured.dry_mg == 1_000_000
    typed = make(farm, [SpawnUse(spawn[1].id, KG)], 4, run=run.id, block_mg=None, dry_mg=900_000)
    assert typed.dry_mg == 900_000
    assert farm.all(Link, parent=run.id)[0].amount_mg == 4 * 2_500_000
    first = farm.all(Bag, batch=planned.id)[0]
    assert farm.all(Link, child=first.id, parent=planned.id)[0].amount_mg == 2_500_000


def test_dry_spawn_of_a_block_is_told_apart(farm: BegunFarm) -> None:
    """125 g of grain at 45 % moisture hold 68.75 g dry: worked by hand."""
    batch = make(farm, [SpawnUse(farm.spawn()[0].id, 1_250_000)], 10)
    assert batch.spawn_dry_mg == 68_750


@pytest.mark.parametrize("bags", [0, -3, 2_001, 100_000])
def test_a_batch_of_no_or_too_many_bags_is_refused(farm: BegunFarm, bags: int) -> None:
    spawn = farm.spawn()[0]
    with pytest.raises(Refused) as caught:
        make(farm, [SpawnUse(spawn.id, KG)], bags)
    assert codes(caught) == ["bags_out_of_range"]
    assert "2,000" in say_error(caught.value)
    assert farm.all(Bag) == []


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"inoculated_on": "2026-03-03"}, "day_in_future"),
        ({"inoculated_on": "2026-02-28"}, "inoculated_before_spawn"),
        ({"printed": 2}, "printed_out_of_range"),
        ({"printed": 5_000}, "printed_out_of_range"),
        ({"block_mg": 0}, "block_mass_missing"),
        ({"dry_mg": 3_000_000}, "dry_mass_wrong"),
    ],
)
def test_an_inoculation_that_cannot_be_is_refused(
    farm: BegunFarm, fields: dict[str, Any], code: str
) -> None:
    spawn = farm.spawn()[0]
    with pytest.raises(Refused) as caught:
        make(farm, [SpawnUse(spawn.id, KG)], 3, **fields)
    assert codes(caught) == [code]


def test_a_batch_does_not_come_before_its_run(farm: BegunFarm) -> None:
    run, spawn = run_of(farm), farm.spawn()[0]
    with pytest.raises(Refused) as caught:
        make(farm, [SpawnUse(spawn.id, KG)], 3, run=run.id, inoculated_on="2026-03-01")
    assert codes(caught) == ["inoculated_before_run"]
    assert run.name in say_error(caught.value)


def test_what_looks_like_a_mistake_is_asked(farm: BegunFarm) -> None:
    run = run_of(farm, blocks=5)
    farm.do(lambda act: record_heat(act, run.id, status="failed"))
    spawn = farm.spawn(made_on="2026-02-01", use_by="2026-03-01")[0]
    shiitake = farm.strain("SH").id
    uses = [SpawnUse(spawn.id, KG)]
    with pytest.raises(Asked) as caught:
        make(farm, uses, 6, run=run.id, strain=shiitake)
    questions = codes(caught)
    assert questions == [
        "run_failed",
        "run_has_fewer_blocks",
        "spawn_of_other_strain",
        "spawn_past_use_by",
    ]
    with pytest.raises(Asked) as caught:
        make(farm, uses, 6, run=run.id, strain=shiitake, confirmed=questions[:3])
    assert codes(caught) == questions[3:]
    batch = make(farm, uses, 6, run=run.id, strain=shiitake, confirmed=questions)
    assert batch.name.startswith("SH01-")


def test_spawn_thrown_away_is_refused(farm: BegunFarm) -> None:
    spawn = farm.spawn()[0]
    farm.do(lambda act: discard_lab(act, spawn.id, "sour"))
    with pytest.raises(Refused) as caught:
        make(farm, [SpawnUse(spawn.id, KG)], 3)
    assert codes(caught) == ["spawn_discarded"]


def test_spare_labels_become_void_bags(farm: BegunFarm) -> None:
    batch = make(farm, [SpawnUse(farm.spawn()[0].id, KG)], 18, printed=20)
    bags = farm.all(Bag, batch=batch.id)
    assert [bag.stage for bag in bags] == ["incubating"] * 18 + ["void"] * 2
    assert batch.made == 18
    for bag in bags[18:]:
        assert bag.room is None
        assert farm.all(Link, child=bag.id) == []
    following = make(farm, [SpawnUse(farm.spawn()[0].id, KG)], 1)
    assert farm.all(Bag, batch=following.id)[0].id == bags[-1].id + 1


def test_taking_it_back_removes_all_and_gives_the_spawn_back(farm: BegunFarm) -> None:
    spawn, run = farm.spawn(bags=2), run_of(farm)
    before = farm.all(Link)
    make(farm, [SpawnUse(one.id, 2_300_000) for one in spawn], 20, run=run.id, printed=22)
    assert farm.get(Spawn, spawn[0].id).status == "empty"
    farm.undo()
    assert farm.all(Batch) == farm.all(Bag) == []
    assert farm.all(Link) == before
    assert farm.all(Spawn) == spawn
    assert farm.differences() == []


def test_voided_bags_hand_their_spawn_to_the_others(farm: BegunFarm) -> None:
    spawn, run = farm.spawn()[0], run_of(farm)
    batch = make(farm, [SpawnUse(spawn.id, KG)], 10, run=run.id, room=2)
    bags = farm.all(Bag, batch=batch.id)
    gone = [bags[8].id, bags[9].id, bags[9].id]
    voided = farm.do(lambda act: void_bags(act, gone))
    assert [(bag.number, bag.stage, bag.room) for bag in voided] == [
        (9, "void", None),
        (10, "void", None),
    ]
    links = farm.all(Link, parent=spawn.id)
    assert [link.amount_mg for link in links] == [125_000] * 8
    assert farm.get(Batch, batch.id).made == 8
    assert farm.all(Link, parent=run.id)[0].amount_mg == 8 * 2_500_000
    assert farm.all(Link, child=gone[0]) == []
    assert farm.differences() == []
    farm.undo()
    assert farm.all(Bag, batch=batch.id) == bags


def test_a_whole_voided_range_gives_its_spawn_back(farm: BegunFarm) -> None:
    first, second = farm.spawn(bags=2)
    uses = [SpawnUse(first.id, KG, 1, 8), SpawnUse(second.id, 2_300_000, 9, 10)]
    batch = make(farm, uses, 10)
    assert farm.get(Spawn, second.id).status == "empty"
    bags = farm.all(Bag, batch=batch.id)
    farm.do(lambda act: void_bags(act, [bag.id for bag in bags[8:]]))
    assert farm.get(Spawn, second.id) == second
    assert farm.differences() == []


def test_only_bags_that_were_not_made_are_voided(farm: BegunFarm) -> None:
    batch = make(farm, [SpawnUse(farm.spawn()[0].id, KG)], 2, printed=3)
    bags = farm.all(Bag, batch=batch.id)
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: void_bags(act, [bags[2].id]))
    assert codes(caught) == ["bag_not_voidable"]
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: void_bags(act, [bag.id for bag in bags[:2]]))
    assert codes(caught) == ["whole_batch_voided"]


def test_an_inoculation_sent_twice_counts_once(farm: BegunFarm) -> None:
    spawn, strain = farm.spawn()[0], farm.strain().id
    uses = [SpawnUse(spawn.id, KG)]
    for _ in range(2):
        done = perform(
            farm.store,
            lambda act: inoculate(act, strain=strain, spawn=uses, bags=2, block_mg=2 * KG),
            act="sent-twice",
            now=NOW,
        )
    assert done.repeated
    assert len(farm.all(Batch)) == 1
