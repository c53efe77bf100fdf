"""Colonies are measured; a culture that grows slower than its strain did is named."""

from __future__ import annotations

from itertools import pairwise

import pytest
from begun_farm import BegunFarm

from farmdesk.actions.base import perform
from farmdesk.actions.growth import measure_culture, take_away_look
from farmdesk.actions.lab import discard_lab, register_culture
from farmdesk.domain.growth import GrowthLook
from farmdesk.domain.lab import Culture
from farmdesk.errors import Asked, Refused
from farmdesk.reports.lab_growth import growth_table, list_growth
from farmdesk.wording.formats import Formats
from farmdesk.wording.sentences import say


def culture(farm: BegunFarm, made_on: str = "2026-02-01") -> Culture:
    strain = farm.strain().id
    return farm.do(lambda act: register_culture(act, strain=strain, form="plate", made_on=made_on))


def grow(farm: BegunFarm, one: Culture, *sizes: tuple[str, int]) -> None:
    for day, radius_um in sizes:
        farm.do(
            lambda act, um=radius_um, on=day: measure_culture(
                act, one.id, radius_um=um, looked_on=on
            )
        )


def rows(farm: BegunFarm) -> list:
    with farm.store.reading() as reading:
        return list_growth(reading)


def test_growth_a_day_is_the_slope_of_the_radius(farm: BegunFarm) -> None:
    one = culture(farm)
    grow(farm, one, ("2026-02-04", 12_000), ("2026-02-06", 21_000), ("2026-02-08", 30_000))
    found = rows(farm)[0]
    assert found.rate.mm_per_day == pytest.approx(4.5)
    assert found.judgement is None
    assert found.last.radius_um == 30_000


def test_a_culture_slower_than_its_strain_did_is_an_alarm(farm: BegunFarm) -> None:
    for made_on, step in (("2026-01-01", 5_000), ("2026-01-10", 5_200), ("2026-01-20", 4_900)):
        one = culture(farm, made_on)
        grow(farm, one, (f"{made_on[:8]}25", 10_000), (f"{made_on[:8]}26", 10_000 + step))
    slow = culture(farm, "2026-02-01")
    grow(farm, slow, ("2026-02-05", 10_000), ("2026-02-07", 18_000))
    found = rows(farm)[0]
    assert found.id == slow.id
    assert found.is_alarm
    assert found.judgement.baseline == pytest.approx(5.0)
    assert found.judgement.change_percent == pytest.approx(-20)
    sentence = say(found.warning(Formats(locale="en_GB")))
    assert slow.name in sentence
    assert "20 % slower" in sentence
    assert not any(one.is_alarm for one in rows(farm)[1:])
    with farm.store.reading() as reading:
        table = growth_table(reading)
    assert [row[-1] for row in table.rows] == [True, False, False, False]


def test_one_day_of_measures_gives_no_rate(farm: BegunFarm) -> None:
    grow(farm, culture(farm), ("2026-02-04", 12_000), ("2026-02-04", 12_500))
    assert rows(farm)[0].rate is None


def test_a_colony_that_shrank_is_asked_back(farm: BegunFarm) -> None:
    one = culture(farm)
    grow(farm, one, ("2026-02-04", 12_000))
    with pytest.raises(Asked) as told:
        grow(farm, one, ("2026-02-06", 9_000))
    assert told.value.problems[0].code == "growth_shrank"


@pytest.mark.parametrize(
    ("radius_um", "day", "code"),
    [
        (0, "2026-02-04", "growth_radius_wrong"),
        (400_000, "2026-02-04", "growth_radius_wrong"),
        (9_000, "2026-01-04", "growth_day_wrong"),
        (9_000, "2026-04-04", "day_in_future"),
    ],
)
def test_measures_that_cannot_be_are_refused(
    farm: BegunFarm, radius_um: int, day: str, code: str
) -> None:
    with pytest.raises(Refused) as told:
        grow(farm, culture(farm), (day, radius_um))
    assert told.value.problems[0].code == code


def test_a_culture_thrown_away_is_not_measured(farm: BegunFarm) -> None:
    one = culture(farm)
    farm.do(lambda act: discard_lab(act, one.id))
    with pytest.raises(Refused):
        grow(farm, one, ("2026-02-04", 12_000))


def test_a_measure_is_taken_away_and_comes_back_by_undo(farm: BegunFarm) -> None:
    one = culture(farm)
    grow(farm, one, ("2026-02-04", 12_000), ("2026-02-05", 14_000))
    look = farm.all(GrowthLook)[0]
    assert [a.looked_on < b.looked_on for a, b in pairwise(farm.all(GrowthLook))] == [True]
    perform(farm.store, lambda act: take_away_look(act, look.id), now="2026-03-02T08:00:00Z")
    assert len(farm.all(GrowthLook)) == 1
    farm.undo()
    assert len(farm.all(GrowthLook)) == 2
    assert farm.differences() == []
