"""What an act changed, computed from its day book entries; the same for every station's acts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from farmdesk.domain.events import Entry
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.history import entries_after


@dataclass(frozen=True)
class Changes:
    """Kinds and ids that changed, and the last day book number they reach."""

    kinds: frozenset[str]
    subjects: frozenset[int]
    last_number: int


def changes_of(entries: Sequence[Entry]) -> Changes:
    """The changes that these entries amount to."""
    subjects = {entry.subject for entry in entries} | {
        entry.other for entry in entries if entry.other
    }
    return Changes(
        kinds=frozenset(entry.thing for entry in entries),
        subjects=frozenset(subjects),
        last_number=max((entry.number for entry in entries), default=0),
    )


def changes_since(store: FarmStore, number: int) -> Changes | None:
    """What any station has changed after a day book number; None when nothing has."""
    with store.reading() as reading:
        entries = entries_after(reading, number)
    return changes_of(entries) if entries else None
