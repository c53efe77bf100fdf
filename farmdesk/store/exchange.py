"""The whole farm as plain CSV and back: one file for each kind of thing, and the day book.

Text that a spreadsheet would take for a formula gets a leading apostrophe, and loses it again
when it is read, so the files are safe to open and still come back the same.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, fields
from pathlib import Path

from farmdesk.domain.cells import Cell, Cells, Column, columns_of
from farmdesk.domain.events import Entry, State, fold_one, read_cells, write_cells
from farmdesk.domain.things import THINGS
from farmdesk.errors import Problem, Refused, problem
from farmdesk.store.transaction import Reading, Writing, all_cells, key_of_cells

DAYBOOK_FILE = "daybook.csv"
Tell = Callable[[str, int], None]
"""Called with the name of a file and how many rows of it are done."""

_RISKY = ("=", "+", "-", "@", "\t", "\r", "'")
_ENTRY_COLUMNS = tuple(one.name for one in fields(Entry))
_ENTRY_INTEGERS = {"number", "line", "subject", "other", "person", "undoes"}
_ENTRY_OPTIONAL = {"person", "undoes"}


@dataclass
class Folder:
    """What a folder of CSV files holds: entries, and the cells of each kind's file."""

    entries: list[Entry] = field(default_factory=list)
    things: dict[str, list[tuple[int, Cells]]] = field(default_factory=dict)
    has_daybook: bool = False


def file_of(kind: str) -> str:
    """The name of the CSV file that holds a kind of thing."""
    return f"{kind}.csv"


def csv_texts(reading: Reading) -> Iterator[tuple[str, Iterator[list[str]]]]:
    """Each file's name with its rows as text, the heading first."""
    for kind, cls in THINGS.items():
        yield file_of(kind), _thing_rows(reading, kind, columns_of(cls))
    yield DAYBOOK_FILE, _entry_rows(reading.entries())


def _thing_rows(reading: Reading, kind: str, columns: Sequence[Column]) -> Iterator[list[str]]:
    yield [column.name for column in columns]
    for cells in all_cells(reading, kind):
        yield [to_text(value) for value in cells.values()]


def _entry_rows(entries: Iterable[Entry]) -> Iterator[list[str]]:
    yield list(_ENTRY_COLUMNS)
    for entry in entries:
        values = vars(entry) | {
            "before": write_cells(entry.before),
            "after": write_cells(entry.after),
        }
        yield [to_text(values[name]) for name in _ENTRY_COLUMNS]


def to_text(value: Cell) -> str:
    """A cell as CSV text, safe to open in a spreadsheet."""
    if value is None:
        return ""
    if isinstance(value, int):
        return str(value)
    return "'" + value if value.startswith(_RISKY) else value


def read_folder(folder: Path, tell: Tell = lambda _name, _rows: None) -> Folder:
    """Read a folder of CSV files; raises Refused with file, row and reason, and changes nothing."""
    if not folder.is_dir():
        raise Refused(problem("import_no_folder", path=str(folder)))
    known = {file_of(kind): kind for kind in THINGS}
    found = Folder()
    present = sorted(path.name for path in folder.glob("*.csv"))
    strange = [name for name in present if name not in known and name != DAYBOOK_FILE]
    if strange:
        raise Refused(problem("import_unknown_file", file=strange[0], path=str(folder)))
    if not present:
        raise Refused(problem("import_nothing", path=str(folder)))
    for name, kind in known.items():
        if name in present:
            found.things[kind] = list(_read_things(folder / name, columns_of(THINGS[kind])))
            tell(name, len(found.things[kind]))
    if DAYBOOK_FILE in present:
        found.has_daybook = True
        found.entries = list(_read_entries(folder / DAYBOOK_FILE))
        tell(DAYBOOK_FILE, len(found.entries))
    return found


def _read_rows(path: Path, wanted: Sequence[str]) -> Iterator[tuple[int, dict[str, str]]]:
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        row = error.object[: error.start].count(b"\n") + 1
        raise Refused(problem("import_bad_encoding", file=path.name, row=row)) from error
    except OSError as error:
        reason = error.strerror or str(error)
        raise Refused(problem("import_unreadable", file=path.name, reason=reason)) from error
    rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        heading = next(rows, [])
        if sorted(heading) != sorted(wanted):
            raise Refused(_wrong_columns(path.name, heading, wanted))
        for values in rows:
            if not values:
                continue
            if len(values) != len(heading):
                reason = f"{len(values)} cells instead of {len(heading)}"
                raise _bad_row(path.name, rows.line_num, reason)
            plain = [v[1:] if v.startswith("'") else v for v in values]
            yield rows.line_num, dict(zip(heading, plain, strict=True))
    except csv.Error as error:
        raise _bad_row(path.name, rows.line_num, str(error)) from error


def _wrong_columns(name: str, heading: Sequence[str], wanted: Sequence[str]) -> Problem:
    missing = [column for column in wanted if column not in heading]
    unknown = [column for column in heading if column not in wanted]
    return problem(
        "import_wrong_columns",
        file=name,
        missing=", ".join(missing) or "none",
        unknown=", ".join(unknown) or "none",
    )


def _bad_row(name: str, row: int, reason: str) -> Refused:
    return Refused(problem("import_bad_row", file=name, row=row, reason=reason))


def _read_things(path: Path, columns: Sequence[Column]) -> Iterator[tuple[int, Cells]]:
    for row, texts in _read_rows(path, [column.name for column in columns]):
        cells: Cells = {}
        for column in columns:
            try:
                cells[column.name] = column.read(texts[column.name])
            except (ValueError, ArithmeticError) as error:
                shown = texts[column.name][:40]
                what = "a whole number" if column.is_integer else "a number"
                reason = f'{column.name} is "{shown}", not {what}'
                raise _bad_row(path.name, row, reason) from error
        yield row, cells


def _read_entries(path: Path) -> Iterator[Entry]:
    state: State = {}
    expected = 1
    for row, texts in _read_rows(path, _ENTRY_COLUMNS):
        entry = _read_entry(path.name, row, texts)
        if entry.number < expected:
            raise _bad_row(path.name, row, f"entry {entry.number} is out of order")
        if entry.thing not in THINGS:
            raise _bad_row(path.name, row, f'no kind of thing is called "{entry.thing}"')
        try:
            fold_one(state, entry)
        except ValueError as error:
            raise _bad_row(path.name, row, str(error)) from error
        expected = entry.number + 1
        yield entry


def _read_entry(name: str, row: int, texts: dict[str, str]) -> Entry:
    values: dict[str, object] = dict(texts)
    for key in _ENTRY_INTEGERS:
        if texts[key] == "" and key in _ENTRY_OPTIONAL:
            values[key] = None
            continue
        try:
            values[key] = int(texts[key])
        except ValueError as error:
            reason = f'{key} is "{texts[key][:40]}", not a whole number'
            raise _bad_row(name, row, reason) from error
    for key in ("before", "after"):
        try:
            values[key] = read_cells(texts[key])
        except ValueError as error:
            raise _bad_row(name, row, f"{key}: {error}") from error
    return Entry(**values)  # type: ignore[arg-type]


def is_empty(reading: Reading) -> bool:
    """Whether nothing has ever been written to this farm."""
    return reading.last_number() == 0


def fill(writing: Writing, entries: Sequence[Entry], state: State) -> None:
    """Put a folded day book and its things into an empty farm, in this one transaction."""
    by_kind: dict[str, list[Cells]] = {}
    for (kind, _, _), cells in sorted(state.items(), key=lambda item: item[0]):
        by_kind.setdefault(kind, []).append(cells)
    for kind in THINGS:
        if kind in by_kind:
            writing.insert_cells(kind, by_kind[kind])
    writing.restore_entries(entries)
    for kind, value in next_ids(entries).items():
        writing.set_counter(kind, value, is_new=True)


def next_ids(entries: Iterable[Entry]) -> dict[str, int]:
    """The next free id of each kind, one above every id that was ever made."""
    highest: dict[str, int] = {}
    for entry in entries:
        if entry.thing not in ("link", "farm") and entry.before is None:
            highest[entry.thing] = max(highest.get(entry.thing, 0), entry.subject)
    return {kind: value + 1 for kind, value in sorted(highest.items())}


def different_rows(found: Folder, state: State, folder_name: str = "") -> Iterator[Problem]:
    """Rows of the files that say other than the day book does."""
    for kind, rows in found.things.items():
        seen = set()
        for row, cells in rows:
            key = key_of_cells(kind, cells)
            seen.add(key)
            if state.get(key) != cells:
                yield problem(
                    "import_bad_row",
                    file=folder_name + file_of(kind),
                    row=row,
                    reason="it differs from what the day book says",
                )
        missing = [key for key in state if key[0] == kind and key not in seen]
        if missing:
            yield problem(
                "import_bad_row",
                file=folder_name + file_of(kind),
                row=len(rows) + 1,
                reason=f"{len(missing)} things of the day book are missing",
            )
