"""Taking the whole farm out as CSV, and bringing one in."""

from __future__ import annotations

import csv
import os
import re
import shutil
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from pathlib import Path

from farmdesk.actions.base import Act, Who, perform
from farmdesk.actions.photo_files import need_photo_files, read_photo_files, write_photo_files
from farmdesk.domain.cells import Cells, columns_of, from_cells
from farmdesk.domain.events import Entry, State, fold
from farmdesk.domain.things import CATALOGUE, THINGS
from farmdesk.errors import NotWritten, Refused, problem
from farmdesk.quantities.times import local_day
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.store.exchange import (
    Folder,
    Tell,
    csv_texts,
    different_rows,
    fill,
    is_empty,
    read_folder,
)
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.photos import keep_photos

_DAY_FIELDS = ("_on", "_by", "_from", "_to")
_INSTANT_FIELDS = ("_at", "_since")
_WEEK_FIELDS = ("week", "pauses")
_WEEK = re.compile(r"[0-9]{4}-W[0-9]{2}")


@dataclass(frozen=True)
class Moved:
    """How much went out or came in."""

    files: int
    rows: int
    photos: int = 0


def _tell_nobody(_name: str, _rows: int) -> None:
    return


def export_farm(store: FarmStore, folder: Path, tell: Tell = _tell_nobody) -> Moved:
    """Write the whole farm as CSV files into a folder; the old files stay until all are written."""
    rows = 0
    was_there = folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=folder, prefix=".farmdesk-") as place:
            names = []
            with store.reading() as reading:
                for name, lines in csv_texts(reading):
                    done = _write_lines(Path(place) / name, lines)
                    tell(name, done)
                    rows += done
                    names.append(name)
                photos = write_photo_files(reading, folder)
            for name in names:
                (Path(place) / name).replace(folder / name)
    except (OSError, NotWritten) as error:
        if not was_there:
            shutil.rmtree(folder, ignore_errors=True)
        if isinstance(error, NotWritten):
            raise
        reason = error.strerror or str(error)
        raise NotWritten(problem("file_not_written", path=str(folder), reason=reason)) from error
    return Moved(len(names), rows, photos)


def _write_lines(path: Path, lines: Iterable[Sequence[str]]) -> int:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        done = -1
        for line in lines:
            writer.writerow(line)
            done += 1
        file.flush()
        os.fsync(file.fileno())
    return done


def import_farm(
    store: FarmStore,
    folder: Path,
    *,
    last_day: date | None = None,
    who: Who = Who(),  # noqa: B008 - a frozen value
    tell: Tell = _tell_nobody,
) -> Moved:
    """Fill an empty farm from a folder of CSV files, or change nothing at all.

    With a day book the same farm comes to be, and the other files must agree with it; without
    one, just the catalogue is taken in, as a new act. `last_day` shifts all dates so that the
    day book ends on that day (the demo farm). Raises Refused with file, row and reason.
    """
    with store.reading() as reading:
        if not is_empty(reading):
            raise Refused(problem("import_not_empty", path=store.where))
    found = read_folder(folder, tell)
    if not found.has_daybook:
        return _import_catalogue(store, found, who)
    state = fold(found.entries)
    for trouble in different_rows(found, state):
        raise Refused(trouble)
    entries = found.entries
    photos = need_photo_files(folder, entries)
    if last_day is not None and entries:
        entries = _shifted(entries, state, last_day)
        state = fold(entries)
    with store.writing() as writing:
        if not is_empty(writing):
            raise Refused(problem("import_not_empty", path=store.where))
        fill(writing, entries, state)
        keep_photos(writing, read_photo_files(folder, photos))
    return Moved(len(found.things) + 1, len(entries), len(photos))


def _import_catalogue(store: FarmStore, found: Folder, who: Who) -> Moved:
    strange = [kind for kind, rows in found.things.items() if kind not in CATALOGUE and rows]
    if strange:
        raise Refused(problem("import_without_daybook", file=f"{strange[0]}.csv"))
    if not found.things.get("farm"):
        raise Refused(problem("import_without_farm"))

    def bring_in(act: Act) -> int:
        rows = 0
        for kind in CATALOGUE:
            for row, cells in found.things.get(kind, []):
                _check_refs(kind, row, cells, found)
                act.make("imported", from_cells(THINGS[kind], cells))
                rows += 1
        for kind in CATALOGUE:
            ids = [int(str(cells["id"])) for _, cells in found.things.get(kind, [])]
            if ids and kind != "farm":
                act.tx.set_counter(kind, max(ids) + 1, is_new=True)
        return rows

    return Moved(len(found.things), perform(store, bring_in, who=who).result or 0)


def _check_refs(kind: str, row: int, cells: Cells, found: Folder) -> None:
    refs = {column.name: column.ref for column in columns_of(THINGS[kind]) if column.ref}
    for name, wanted in refs.items():
        value = cells[name]
        known = {other["id"] for _, other in found.things.get(wanted, [])}
        if value is not None and value not in known:
            reason = f"{name} {value} is not in {wanted}.csv"
            raise Refused(problem("import_bad_row", file=f"{kind}.csv", row=row, reason=reason))
    twins = [r for r, other in found.things[kind] if other["id"] == cells["id"] and r < row]
    if twins:
        reason = f"id {cells['id']} stands in row {twins[0]} too"
        raise Refused(problem("import_bad_row", file=f"{kind}.csv", row=row, reason=reason))


def _shifted(entries: list[Entry], state: State, last_day: date) -> list[Entry]:
    zone = str(state[("farm", 1, 0)]["zone"])
    ends_on = date.fromisoformat(local_day(max(one.happened_at for one in entries), zone))
    days = (last_day - ends_on).days
    return [_shift_entry(entry, days) for entry in entries]


def _shift_entry(entry: Entry, days: int) -> Entry:
    return Entry(
        **{
            **vars(entry),
            "before": _shift_cells(entry.before, days),
            "after": _shift_cells(entry.after, days),
            "happened_at": _shift_instant(entry.happened_at, days),
            "written_at": _shift_instant(entry.written_at, days),
        }
    )


def _shift_cells(cells: Cells | None, days: int) -> Cells | None:
    if cells is None:
        return None
    shifted: Cells = {}
    for name, value in cells.items():
        if isinstance(value, str) and value:
            if name.endswith(_INSTANT_FIELDS) or name == "at":
                value = _shift_instant(value, days)
            elif name.endswith(_DAY_FIELDS) or name == "day":
                value = (date.fromisoformat(value) + timedelta(days=days)).isoformat()
            elif name.endswith(_WEEK_FIELDS):
                value = _WEEK.sub(partial(_shift_week, days=days), value)
        shifted[name] = value
    return shifted


def _shift_week(week: re.Match[str], days: int) -> str:
    return str(IsoWeek.of(date.fromisoformat(IsoWeek.parse(week[0]).monday) + timedelta(days=days)))


def _shift_instant(text: str, days: int) -> str:
    moved = datetime.fromisoformat(text) + timedelta(days=days)
    return moved.strftime("%Y-%m-%dT%H:%M:%SZ")
