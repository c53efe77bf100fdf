"""Taking back an act, as new entries; taking back that is doing it again."""

from __future__ import annotations

from farmdesk.actions.base import Act
from farmdesk.actions.paper_numbers import check_taking_back
from farmdesk.domain.bags import Link
from farmdesk.domain.cells import to_cells
from farmdesk.domain.events import Entry
from farmdesk.domain.things import THINGS
from farmdesk.errors import NotFound, Refused, problem
from farmdesk.store.history import ActHead, is_undone, latest_acts
from farmdesk.store.transaction import Reading

STATION_ONLY = "station_"
"""Acts that only say what a station's next scans mean; nobody means these by "the last act"."""


def undo_act(act: Act, wanted: str) -> list[Entry]:
    """Take back all entries of an act; raises Refused when later acts build on it."""
    entries = act.tx.entries_of_act(wanted)
    if not entries:
        raise NotFound(problem("act_not_found", act=wanted))
    if is_undone(act.tx, entries[0].number):
        raise Refused(problem("act_undone_already", number=entries[0].number))
    check_taking_back(act, entries)
    for entry in reversed(entries):
        _check_still_so(act, entry)
        act.put_back(entry)
    return entries


def undo_last(act: Act, *, station: str | None = None) -> list[Entry]:
    """Take back the newest act (of a station) that is not an undo and not undone."""
    head = find_undo(act.tx, station=station)
    if head is None:
        raise Refused(problem("nothing_to_undo"))
    return undo_act(act, head.act)


def redo_last(act: Act, *, station: str | None = None) -> list[Entry]:
    """Do again what was taken back last, when nothing else was done since."""
    head = find_redo(act.tx, station=station)
    if head is None:
        raise Refused(problem("nothing_to_redo"))
    return undo_act(act, head.act)


def find_undo(reading: Reading, *, station: str | None = None) -> ActHead | None:
    """The act that `undo_last` would take back, or None."""
    for head in latest_acts(reading, limit=100, station=station):
        is_done = not head.is_undo and not head.kind.startswith(STATION_ONLY)
        if is_done and not is_undone(reading, head.first_number):
            return head
    return None


def find_redo(reading: Reading, *, station: str | None = None) -> ActHead | None:
    """The undo that `redo_last` would take back, or None."""
    for head in latest_acts(reading, limit=100, station=station):
        if head.kind.startswith(STATION_ONLY):
            continue
        if not head.is_undo:
            break
        first = reading.entries_of_act(head.act)[0]
        if not is_undone(reading, head.first_number) and _undo_depth(reading, first) % 2 == 1:
            return head
    return None


def _undo_depth(reading: Reading, entry: Entry) -> int:
    depth = 0
    found: Entry | None = entry
    while found is not None and found.undoes is not None:
        depth += 1
        found = reading.entry(found.undoes)
    return depth


def _check_still_so(act: Act, entry: Entry) -> None:
    now = _cells_now(act, entry)
    if entry.after is None:
        fits = now is None
    else:
        fits = now is not None and all(now[name] == value for name, value in entry.after.items())
    if not fits:
        raise Refused(
            problem("undo_built_upon", number=entry.number, thing=entry.thing, kind=entry.kind)
        )


def _cells_now(act: Act, entry: Entry) -> dict[str, object] | None:
    if entry.thing == "link":
        found = act.tx.first(Link, child=entry.subject, parent=entry.other)
    else:
        found = act.tx.get(THINGS[entry.thing], entry.subject)
    return None if found is None else dict(to_cells(found))
