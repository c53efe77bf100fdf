import pytest

from farmdesk.arithmetic.lineage import LineAge, LineStep, find_line_age
from farmdesk.errors import Refused


def test_a_line_is_counted_through_plates_and_grain():
    steps = {
        1: LineStep("culture"),
        2: LineStep("culture", (1,)),
        3: LineStep("culture", (2,)),
        4: LineStep("spawn", (3,)),
        5: LineStep("spawn", (4,)),
    }
    assert find_line_age(3, steps) == LineAge(2, 0)
    assert find_line_age(4, steps) == LineAge(2, 1)
    assert find_line_age(5, steps) == LineAge(2, 2)
    assert find_line_age(5, steps).depth == 4


def test_bought_in_spawn_keeps_the_counts_it_came_with():
    steps = {1: LineStep("spawn", (), 3, 2), 2: LineStep("spawn", (1,))}
    assert find_line_age(2, steps) == LineAge(3, 3)


def test_where_lines_meet_the_older_count_holds():
    steps = {
        1: LineStep("culture", (), 1),
        2: LineStep("culture", (), 4),
        3: LineStep("spawn", (1,)),
        4: LineStep("spawn", (3,)),
        5: LineStep("spawn", (2, 4)),
        6: LineStep("spawn", (5, 3)),
    }
    assert find_line_age(5, steps) == LineAge(4, 3)
    assert find_line_age(6, steps) == LineAge(4, 4)


def test_a_very_long_line_is_walked():
    steps = {1: LineStep("culture")} | {n: LineStep("culture", (n - 1,)) for n in range(2, 5_001)}
    assert find_line_age(5_000, steps).transfers == 4_999


def test_many_ways_to_the_same_ancestor_are_walked_once():
    steps = {0: LineStep("culture")}
    for level in range(60):
        steps[2 * level + 1] = LineStep("spawn", tuple({max(0, 2 * level - 1), 2 * level}))
        steps[2 * level + 2] = LineStep("spawn", tuple({max(0, 2 * level - 1), 2 * level}))
    assert find_line_age(120, steps).generation == 60


@pytest.mark.parametrize(
    ("steps", "code"),
    [
        ({1: LineStep("spawn", (2,)), 2: LineStep("spawn", (1,))}, "lineage_circle"),
        ({1: LineStep("spawn", (1,))}, "lineage_circle"),
        ({1: LineStep("spawn", (9,))}, "lineage_parent_unknown"),
    ],
)
def test_a_line_that_cannot_be_is_refused(steps, code):
    with pytest.raises(Refused) as caught:
        find_line_age(1, steps)
    assert caught.value.problems[0].code == code
