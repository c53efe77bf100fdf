"""Sentences of the day book: every kind that acts write has one, and none has a hole."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from farmdesk.domain.things import THINGS as KINDS
from farmdesk.wording.happenings import (
    FOLLOWING,
    HAPPENINGS,
    THINGS,
    name_things,
    tell_happening,
)

_PARTS = Path(__file__).resolve().parent.parent.parent / "farmdesk" / "actions"
_WRITTEN = re.compile(
    r"(?:act\.(?:make|make_many|change|link|take_away)\(\s*|happening(?:: str )?= ?)\"([a-z_]+)\""
)
_PLAIN = re.compile(r".*_(made|changed|removed|retired)")


def test_every_kind_that_acts_write_has_a_sentence() -> None:
    kinds = {
        kind for file in _PARTS.glob("*.py") for kind in _WRITTEN.findall(file.read_text("utf-8"))
    }
    assert len(kinds) > 30
    missing = {kind for kind in kinds if kind not in HAPPENINGS and not _PLAIN.fullmatch(kind)}
    assert missing == set()


@pytest.mark.parametrize("kind", sorted(HAPPENINGS))
def test_parts_without_their_facts_are_left_out(kind: str) -> None:
    needed = re.findall(r"\{([a-z_]+)\}", re.sub(r"\[[^\]]*\]", "", " ".join(HAPPENINGS[kind])))
    facts = dict.fromkeys(needed, "X")
    for count in (1, 3):
        told = tell_happening(kind, "bag", facts, count)
        assert not set(told) & set("[]{}()")
        assert told


def test_facts_that_are_known_are_said() -> None:
    told = tell_happening("bag_discarded", "bag", {"name": "B", "reason": "Green mould"})
    assert told == "B discarded: Green mould"
    assert tell_happening("bag_discarded", "bag", {"name": "B"}) == "B discarded"


def test_any_other_kind_is_told_plainly() -> None:
    facts = {"name": "Mist", "changes": "capacity from 100 to 120"}
    told = tell_happening("room_changed", "room", facts)
    assert told == "Room Mist changed: capacity from 100 to 120"
    assert tell_happening("storage_life_made", "storage_life", {"count": "12"}, 12) == (
        "12 storage lives added"
    )
    assert name_things("batch", 2) == "batches"


def test_something_leads_in_every_act() -> None:
    assert "batch_inoculated" not in FOLLOWING
    assert "pick_weighed" not in FOLLOWING
    assert FOLLOWING & set(HAPPENINGS)


def test_every_kind_of_thing_has_a_name_that_can_be_put_into_other_languages() -> None:
    assert [kind for kind in KINDS if kind not in THINGS] == []
