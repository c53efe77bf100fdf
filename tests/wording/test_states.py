"""Every code that the rules of the farm know has a word."""

from __future__ import annotations

from dataclasses import fields

import pytest

from farmdesk.actions.catalogue_checks import USES_OF_REASON, USES_OF_ROOM
from farmdesk.actions.heat_runs import OUTCOMES
from farmdesk.domain.costs import TASKS as TASKS_KNOWN
from farmdesk.domain.plans import DROPPED, MADE, PLANNED
from farmdesk.domain.stages import STAGES
from farmdesk.domain.things import CATALOGUE, THINGS
from farmdesk.wording.happenings import THINGS as THING_WORDS
from farmdesk.wording.states import (
    CELLS,
    REASON_USES,
    ROOM_USES,
    STATES,
    TASKS,
    say_code,
    say_state,
)

STORED_ONLY = {"recipe_part"}


def test_codes_of_the_rules_have_words() -> None:
    assert set(STAGES) | set(OUTCOMES) | {PLANNED, MADE, DROPPED} <= set(STATES)
    assert set(ROOM_USES) == set(USES_OF_ROOM)
    assert set(REASON_USES) == set(USES_OF_REASON)
    assert set(TASKS) == set(TASKS_KNOWN)
    assert set(CATALOGUE) - STORED_ONLY <= set(THING_WORDS)


@pytest.mark.parametrize(("kind", "cell"), sorted(CELLS))
def test_cells_with_codes_are_there_and_begin_with_one(kind: str, cell: str) -> None:
    field = next(one for one in fields(THINGS[kind]) if one.name == cell)
    if isinstance(field.default, str) and field.default not in ("", "kg"):
        assert field.default in CELLS[kind, cell]


def test_own_words_stay_as_they_are() -> None:
    assert say_state("void") == "never was"
    assert say_code(ROOM_USES, "drying loft") == "drying loft"
