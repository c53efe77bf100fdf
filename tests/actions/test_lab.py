"""Cultures and spawn: counted from parents, used, and thrown away."""

from __future__ import annotations

import pytest
from begun_farm import NOW, BegunFarm

from farmdesk.actions.base import perform
from farmdesk.actions.lab import discard_lab, register_culture, register_spawn
from farmdesk.domain.bags import Link
from farmdesk.domain.lab import Culture, Spawn
from farmdesk.errors import Asked, NotFound, Refused
from farmdesk.wording.sentences import say_error


def culture(farm: BegunFarm, parent: int | None = None, **fields: object) -> Culture:
    wanted = {"strain": farm.strain().id, "made_on": "2026-02-20", "parent": parent, **fields}
    return farm.do(
        lambda act: register_culture(act, form="plate", **wanted),  # type: ignore[arg-type]
        confirmed=["transfers_over_limit"],
    )


def test_transfers_and_generations_are_counted_by_walking_parents(farm: BegunFarm) -> None:
    bought = culture(farm, origin="bought in", transfers=1)
    second = culture(farm, bought.id)
    third = culture(farm, second.id)
    assert [one.transfers for one in (bought, second, third)] == [1, 2, 3]
    master = farm.spawn(parent=third.id)[0]
    grain = farm.spawn(bags=3, parent=master.id, parent_mg=300_001)
    assert (master.transfers, master.generation) == (3, 1)
    assert {(one.transfers, one.generation) for one in grain} == {(3, 2)}
    links = farm.all(Link, parent=master.id)
    assert [one.amount_mg for one in links] == [100_001, 100_000, 100_000]
    assert farm.get(Spawn, master.id).left_mg == 2_300_000 - 300_001
    assert farm.differences() == []


def test_names_carry_species_strain_and_running_number(farm: BegunFarm) -> None:
    assert culture(farm).name == "C-OY01-0001"
    assert [one.name for one in farm.spawn(bags=2)] == ["S-OY01-0001", "S-OY01-0002"]


def test_spawn_bought_in_says_its_own_generation(farm: BegunFarm) -> None:
    bought = farm.spawn(origin="bought in", generation=2)[0]
    assert bought.generation == 2
    assert farm.spawn(parent=bought.id, parent_mg=1)[0].generation == 3


def test_too_many_transfers_are_asked_about(farm: BegunFarm) -> None:
    strain = farm.strain()
    last = culture(farm, transfers=strain.max_transfers)
    with pytest.raises(Asked) as caught:
        farm.do(lambda act: register_culture(act, strain=strain.id, form="plate", parent=last.id))
    assert [one.code for one in caught.value.problems] == ["transfers_over_limit"]
    assert str(strain.max_transfers + 1) in say_error(caught.value)
    assert culture(farm, last.id).transfers == strain.max_transfers + 1


def test_too_old_grain_is_asked_about(farm: BegunFarm) -> None:
    old = farm.spawn(generation=farm.strain().max_generation)[0]
    with pytest.raises(Asked) as caught:
        farm.spawn(parent=old.id, parent_mg=1000)
    assert [one.code for one in caught.value.problems] == ["generation_over_limit"]
    assert farm.get(Spawn, old.id).left_mg == old.left_mg


def test_a_parent_of_another_strain_is_asked_about(farm: BegunFarm) -> None:
    strain = farm.strain("SH").id
    parent = culture(farm).id
    with pytest.raises(Asked) as caught:
        farm.do(lambda act: register_culture(act, strain=strain, form="plate", parent=parent))
    assert [one.code for one in caught.value.problems] == ["parent_of_other_strain"]


def test_a_parent_is_not_overdrawn(farm: BegunFarm) -> None:
    parent = farm.spawn(each_mg=1_000_000)[0]
    with pytest.raises(Refused) as caught:
        farm.spawn(parent=parent.id, parent_mg=1_000_001)
    sentence = say_error(caught.value)
    assert parent.name in sentence
    assert "1.00 kg" in sentence
    farm.spawn(parent=parent.id, parent_mg=1_000_000)
    assert (farm.get(Spawn, parent.id).left_mg, farm.get(Spawn, parent.id).status) == (0, "empty")
    farm.undo()
    assert farm.get(Spawn, parent.id) == parent


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"bags": 0}, "spawn_bags_out_of_range"),
        ({"bags": 501}, "spawn_bags_out_of_range"),
        ({"each_mg": 0}, "spawn_mass_wrong"),
        ({"each_mg": -5}, "spawn_mass_wrong"),
        ({"made_on": "2026-03-03"}, "day_in_future"),
        ({"use_by": "2026-02-01"}, "use_by_before_made"),
        ({"generation": 0}, "generation_below_one"),
        ({"note": "a\x00"}, "text_not_printable"),
    ],
)
def test_spawn_that_cannot_be_is_refused(
    farm: BegunFarm, fields: dict[str, object], code: str
) -> None:
    with pytest.raises(Refused) as caught:
        farm.spawn(**fields)  # type: ignore[arg-type]
    assert [one.code for one in caught.value.problems] == [code]
    assert farm.all(Spawn) == []


def test_parents_are_older_and_not_thrown_away(farm: BegunFarm) -> None:
    young = farm.spawn(made_on="2026-03-02")[0]
    with pytest.raises(Refused) as caught:
        farm.spawn(parent=young.id, parent_mg=1, made_on="2026-03-01")
    assert [one.code for one in caught.value.problems] == ["made_before_parent"]
    thrown = farm.do(lambda act: discard_lab(act, young.id, "sour"))
    assert (thrown.status, thrown.note) == ("discarded", "sour")
    with pytest.raises(Refused) as caught:
        farm.spawn(parent=young.id, parent_mg=1)
    assert [one.code for one in caught.value.problems] == ["lab_discarded"]
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: discard_lab(act, young.id, ""))
    assert [one.code for one in caught.value.problems] == ["lab_discarded_already"]
    assert farm.differences() == []


def test_a_culture_comes_from_a_culture(farm: BegunFarm) -> None:
    spawn, strain = farm.spawn()[0], farm.strain().id
    with pytest.raises(Refused) as caught:
        farm.do(lambda act: register_culture(act, strain=strain, form="plate", parent=spawn.id))
    assert [one.code for one in caught.value.problems] == ["culture_from_culture_only"]


def test_a_parent_from_nowhere_is_not_found(farm: BegunFarm) -> None:
    strain = farm.strain().id
    with pytest.raises(NotFound):
        perform(
            farm.store,
            lambda act: register_spawn(act, strain=strain, bags=1, each_mg=1, parent=39_999_999),
            now=NOW,
        )
