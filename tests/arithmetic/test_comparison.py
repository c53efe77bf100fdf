import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.comparison import (
    BagGroup,
    Stratum,
    compare_pairs,
    correct_for_looks,
    find_blame,
    stratify,
)
from farmdesk.errors import Refused
from farmdesk.wording.planning import NEXT_CHECKS
from farmdesk.wording.sentences import say

ROOM = {"person": ("Ada", "Bo"), "shelf": ("1", "2", "3", "4")}


def grow_farm(seed, *, bad_run=None, bad_lot=None):
    """Twenty-four heat runs, each with two spawn lots of twenty bags, on an invented farm."""
    chance = random.Random(seed)
    groups = []
    for run in range(24):
        for lot in chance.sample(range(8), 2):
            rate = 0.04 + 0.3 * (run == bad_run) + 0.25 * (lot == bad_lot)
            levels = {
                "heat_run": f"R{run}",
                "spawn_lot": f"S{lot}",
                "recipe": f"recipe {run % 3}",
                "strain": f"strain {lot % 3}",
                **{cause: chance.choice(names) for cause, names in ROOM.items()},
            }
            bad = sum(chance.random() < rate for _ in range(20))
            groups.append(BagGroup(levels, 20, bad))
    return groups


def blamed(groups):
    found = find_blame(groups).likeliest
    return found and (found.cause, found.level)


def test_a_planted_heat_run_is_named_in_nineteen_of_twenty_farms():
    assert sum(blamed(grow_farm(s, bad_run=7)) == ("heat_run", "R7") for s in range(20)) >= 19


def test_a_planted_spawn_lot_is_named_in_nineteen_of_twenty_farms():
    assert sum(blamed(grow_farm(s, bad_lot=3)) == ("spawn_lot", "S3") for s in range(20)) >= 19


def test_nobody_is_accused_on_nineteen_of_twenty_innocent_farms():
    assert sum(blamed(grow_farm(s)) is None for s in range(20)) >= 19


def test_what_cannot_be_told_apart_is_named_together():
    groups = [
        BagGroup({"heat_run": f"R{run}", "spawn_lot": f"S{run}", "person": "Ada"}, 40, bad)
        for run, bad in enumerate([1, 2, 1, 15, 0, 2])
    ]
    found = find_blame(groups)
    assert found.likeliest.same_as == ("spawn_lot S3",)
    assert "spawn lot S3" in say(found.answer)
    assert "heat run R3" in say(found.answer)


def test_a_person_is_not_to_blame_for_one_bad_run():
    groups = [
        BagGroup({"person": "Ada" if run < 3 else "Bo", "heat_run": f"R{run}"}, 40, bad)
        for run, bad in enumerate([1, 18, 1, 1, 2, 0])
    ]
    found = find_blame(groups)
    assert (found.likeliest.cause, found.likeliest.level) == ("heat_run", "R1")
    (ada,) = [one for one in found.suspects if one.cause == "person"]
    assert ada.verdict == "explained"


def test_little_is_not_enough_to_tell():
    groups = [BagGroup({"heat_run": "R1"}, 40, 3), BagGroup({"heat_run": "R2"}, 42, 4)]
    found = find_blame(groups)
    assert found.likeliest is None
    assert "Not enough to tell" in say(found.answer)


def test_every_cause_has_a_next_check():
    causes = ["heat_run", "spawn_lot", "generation", "strain", "recipe", "person"]
    causes += ["room", "shelf"]
    assert list(NEXT_CHECKS) == causes


P_VALUES = st.lists(st.floats(0, 1), min_size=1, max_size=12)


@given(plain=P_VALUES)
def test_correction_never_favours_the_accuser(plain):
    corrected = correct_for_looks(plain)
    assert all(p <= q <= 1 for p, q in zip(plain, corrected, strict=True))
    ranked = sorted(zip(plain, corrected, strict=True))
    assert [q for _, q in ranked] == sorted(corrected)


def test_correction_by_hand():
    # Holm 1979 by hand: 4 x 0.01, 3 x 0.02, then never below the one before.
    assert correct_for_looks([0.01, 0.04, 0.03, 0.02]) == pytest.approx([0.04, 0.06, 0.06, 0.06])


def test_pairs_are_corrected_for_all_pairs():
    found = compare_pairs({"A": (2, 60), "B": (9, 58), "C": (3, 60)})
    assert found[0][:2] == ("A", "B")
    assert found[0][3] == pytest.approx(3 * found[0][2])


def test_strata_of_one_kind_tell_nothing():
    found = stratify([Stratum(3, 10, 0, 0), Stratum(0, 0, 4, 10)])
    assert (found.strata, found.odds_ratio, found.p) == (0, None, 1.0)


@pytest.mark.parametrize("groups", [[], [BagGroup({"heat_run": "R1"}, 0, 0)]])
def test_nothing_to_compare_is_refused(groups):
    with pytest.raises(Refused) as caught:
        find_blame(groups)
    assert caught.value.problems[0].code == "nothing_to_compare"


def test_more_contaminated_than_made_is_refused():
    with pytest.raises(Refused) as caught:
        find_blame([BagGroup({}, 3, 4)])
    assert caught.value.problems[0].code == "bag_counts_wrong"
