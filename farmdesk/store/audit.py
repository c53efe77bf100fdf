"""Comparing the tables with the day book folded again, and balancing every lot."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from sqlalchemy import func, select, text

from farmdesk.domain.cells import Cells
from farmdesk.domain.events import State, fold_one
from farmdesk.domain.things import THINGS
from farmdesk.store.exchange import Tell, file_of, next_ids
from farmdesk.store.markets import at_markets
from farmdesk.store.photos import lost_photos
from farmdesk.store.schema import COUNTER, TABLES
from farmdesk.store.transaction import Reading, all_cells, key_of_cells

PICK, LINK, REMOVAL = TABLES["pick"].c, TABLES["link"].c, TABLES["removal"].c


@dataclass(frozen=True)
class Difference:
    """One place where the farm is not what its day book says: a code and its facts."""

    code: str
    thing: str
    subject: int
    detail: str


def compare_with_daybook(reading: Reading, tell: Tell) -> Iterator[Difference]:
    """Every row that differs from the folded day book, either way."""
    state: State = {}
    last = 0
    for entry in reading.entries():
        if entry.number != last + 1:
            yield Difference("gap", "daybook", entry.number, f"follows entry {last}")
        last = entry.number
        try:
            fold_one(state, entry)
        except ValueError as error:
            yield Difference("torn", entry.thing, entry.subject, str(error))
        if entry.number % 5000 == 0:
            tell("daybook", entry.number)
    for kind in THINGS:
        tell(file_of(kind), 0)
        for cells in all_cells(reading, kind):
            key = key_of_cells(kind, cells)
            folded = state.pop(key, None)
            if folded != cells:
                yield Difference("differs", kind, key[1], _what_differs(folded, cells))
    for kind, subject, _ in state:
        yield Difference("missing", kind, subject, "is in the day book, not in the table")


def _what_differs(folded: Cells | None, cells: Cells) -> str:
    if folded is None:
        return "is in the table, not in the day book"
    names = [name for name, value in cells.items() if folded.get(name) != value]
    return ", ".join(f"{n}: {cells[n]!r}, day book {folded.get(n)!r}" for n in names)


def check_counters(reading: Reading) -> Iterator[Difference]:
    """Counters that could hand out an id twice."""
    counters = {row[0]: row[1] for row in reading.run(select(COUNTER))}
    for kind, wanted in next_ids(reading.entries()).items():
        if counters.get(kind, 0) < wanted:
            yield Difference("counter", kind, wanted, f"next is {counters.get(kind)}")


def balance_lots(reading: Reading) -> Iterator[Difference]:
    """Lots and spawn whose amounts do not add up."""
    for check in (_balance_picks, _balance_packs, _balance_spawn):
        yield from check(reading)


def check_paper_numbers(reading: Reading) -> Iterator[Difference]:
    """Numbers of invoices and credit notes that are missing between others."""
    for kind in ("invoice", "credit_note"):
        table = TABLES[kind].c
        numbered = sorted(
            (int(name.rpartition("-")[2]), one, name)
            for one, name in reading.run(select(table.id, table.name))
        )
        for (before, _, earlier), (number, one, name) in pairwise(numbered):
            if number != before + 1:
                yield Difference("number_gap", kind, one, f"{name} follows {earlier}")


def check_photos(reading: Reading) -> Iterator[Difference]:
    """Notes whose picture is missing or is another one."""
    for number, name, wrong in lost_photos(reading):
        yield Difference("photo", "note", number, f"photo {name} {wrong}")


def _gone_forward(reading: Reading) -> dict[int, int]:
    statement = select(LINK.parent, func.sum(LINK.amount_mg)).group_by(LINK.parent)
    return {row[0]: int(row[1]) for row in reading.run(statement)}


def _balance_picks(reading: Reading) -> Iterator[Difference]:
    gone = _gone_forward(reading)
    statement = select(REMOVAL.lot, func.sum(REMOVAL.amount_mg)).group_by(REMOVAL.lot)
    removed = {row[0]: int(row[1]) for row in reading.run(statement)}
    away = at_markets(reading)
    from_bags = {
        row[0]: int(row[1])
        for row in reading.run(select(LINK.child, func.sum(LINK.amount_mg)).group_by(LINK.child))
    }
    for row in reading.run(
        select(PICK.id, PICK.net_mg, PICK.left_mg).where(PICK.net_mg.is_not(None))
    ):
        out = gone.get(row.id, 0) + removed.get(row.id, 0) + away.get(row.id, 0)
        if row.left_mg < 0 or row.net_mg != row.left_mg + out:
            detail = f"net {row.net_mg} mg, left {row.left_mg} mg, gone {out} mg"
            yield Difference("unbalanced", "pick", row.id, detail)
        if from_bags.get(row.id, row.net_mg) != row.net_mg:
            detail = f"net {row.net_mg} mg, its bags gave {from_bags[row.id]} mg"
            yield Difference("unbalanced", "pick", row.id, detail)


def _balance_packs(reading: Reading) -> Iterator[Difference]:
    pack, line = TABLES["pack"].c, TABLES["delivery_line"].c
    sold = {
        row[0]: int(row[1])
        for row in reading.run(select(line.lot, func.sum(line.count)).group_by(line.lot))
    }
    removed = {
        row[0]: int(row[1])
        for row in reading.run(select(REMOVAL.lot, func.sum(REMOVAL.count)).group_by(REMOVAL.lot))
    }
    away = at_markets(reading)
    for row in reading.run(select(pack.id, pack["count"], pack.left)):
        out = sold.get(row[0], 0) + removed.get(row[0], 0) + away.get(row[0], 0)
        if row[2] < 0 or row[1] != row[2] + out:
            detail = f"made {row[1]}, left {row[2]}, gone {out}"
            yield Difference("unbalanced", "pack", row[0], detail)


def _balance_spawn(reading: Reading) -> Iterator[Difference]:
    spawn = TABLES["spawn"].c
    gone = _gone_forward(reading)
    for row in reading.run(select(spawn.id, spawn.made_mg, spawn.left_mg, spawn.status)):
        left = row.made_mg - gone.get(row.id, 0)
        if row.left_mg < 0 or (row.status == "kept" and row.left_mg != left):
            detail = f"made {row.made_mg} mg, left {row.left_mg} mg, used {gone.get(row.id, 0)} mg"
            yield Difference("unbalanced", "spawn", row.id, detail)


def check_file(reading: Reading) -> Iterator[Difference]:
    """What SQLite itself finds wrong with the file; nothing to ask of a server."""
    if reading.statements.dialect.name != "sqlite":
        return
    for row in reading.run(text("PRAGMA quick_check")):
        if row[0] != "ok":
            yield Difference("file", "farm", 0, str(row[0]))


CHECKS: tuple[Callable[[Reading, Tell], Iterator[Difference]], ...] = (
    lambda reading, _tell: check_file(reading),
    compare_with_daybook,
    lambda reading, _tell: check_counters(reading),
    lambda reading, _tell: check_paper_numbers(reading),
    lambda reading, _tell: balance_lots(reading),
    lambda reading, _tell: check_photos(reading),
)
"""All of what `farmdesk check` looks at."""
