"""Entries of the day book as plain sentences, with the names of what they are about."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.cells import Cell, Cells, Column, columns_of
from farmdesk.domain.codes import DIGITS, bag_name, code_of, kind_of
from farmdesk.domain.events import Entry
from farmdesk.domain.things import THINGS
from farmdesk.reports.farm_terms import FarmTerms
from farmdesk.store.life import Heap, entries_numbered, names_of_things
from farmdesk.store.transaction import Reading
from farmdesk.wording.happenings import FOLLOWING, tell_happening
from farmdesk.wording.language import tr
from farmdesk.wording.states import CELLS, say_code

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_INSTANT = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z")
_MONEY = frozenset({"total", "unit_price", "price", "tax", "cost_per_kg"})
_MONEY_OF_INVOICE = frozenset({"net"})
_LOTS = {("removal", "lot"), ("delivery_line", "lot"), ("printing", "subject")}
"""Cells that hold the id of a scannable thing of any kind."""
_SPOKEN = {("put_off", "section")}
"""Cells that hold a word of the program's own, told in the reader's language."""
_SILENT = frozenset({"id", "stage_since", "room_since", "card_since", "status"})
_PARTS_TOLD = 3

Names = Mapping[tuple[str, int], str]


@dataclass(frozen=True)
class Told:
    """A heap of entries in words; `turns` counts how often it was taken back and done again."""

    heap: Heap
    entry: Entry
    sentence: str
    turns: int

    @property
    def is_late(self) -> bool:
        """Whether it was written down later than it happened."""
        return self.entry.happened_at < self.entry.written_at


def tell_heaps(reading: Reading, heaps: Sequence[Heap], terms: FarmTerms) -> list[Told]:
    """Each heap told by its first entry, with names looked up for all of them together."""
    entries = entries_numbered(reading, (heap.first for heap in heaps))
    kept = [(heap, entries[heap.first]) for heap in heaps if heap.first in entries]
    turns = _count_turns(reading, [entry for _, entry in kept])
    names = names_of_things(
        reading, {one for _, entry in kept for one in _mentioned(entry, turns[entry.number])}
    )
    return [
        Told(
            heap, entry, _tell(heap, entry, turns[entry.number], names, terms), turns[entry.number]
        )
        for heap, entry in kept
    ]


def sentence_for(told: Sequence[Told]) -> str:
    """One sentence for an act: what leads speaks, what follows from it is silent."""
    leading = [one for one in told if one.heap.kind not in FOLLOWING] or list(told)
    parts = [one.sentence for one in leading[:_PARTS_TOLD]]
    rest = len(leading) - len(parts)
    text = "; ".join(parts) + (tr("; and {rest} more").format(rest=rest) if rest else "")
    return f"{_prefix(told[0].turns)}{text}" if told else ""


def _prefix(turns: int) -> str:
    if not turns:
        return ""
    return tr("Taken back: ") if turns % 2 else tr("Done again: ")


def _count_turns(reading: Reading, entries: Iterable[Entry]) -> dict[int, int]:
    """How long the chain of undoing behind each entry is: 0 for a plain one."""
    links = {entry.number: entry.undoes for entry in entries}
    wanted = {one for one in links.values() if one is not None and one not in links}
    while wanted:
        found = entries_numbered(reading, wanted)
        links |= {number: entry.undoes for number, entry in found.items()}
        wanted = {e.undoes for e in found.values() if e.undoes is not None} - set(links)
    return {number: _chain(links, number) for number in links}


def _chain(links: Mapping[int, int | None], number: int) -> int:
    turns = 0
    before = links.get(number)
    while before is not None:
        turns += 1
        before = links.get(before)
    return turns


def _cells(entry: Entry, turns: int) -> Cells:
    """The cells that the happening itself wrote, also when this entry takes it back."""
    after, before = entry.after, entry.before
    if turns % 2:
        after, before = before, after
    return dict(after if after is not None else before or {})


def _mentioned(entry: Entry, turns: int) -> Iterator[tuple[str, int]]:
    """Every thing that an entry names."""
    if entry.thing == "link":
        yield kind_of(entry.subject), entry.subject
        yield kind_of(entry.other), entry.other
        return
    yield entry.thing, entry.subject
    columns = {column.name: column for column in columns_of(THINGS[entry.thing])}
    for cells in (_cells(entry, turns), entry.before or {}):
        for name, value in cells.items():
            kind = _refers(entry.thing, columns.get(name), value)
            if kind and isinstance(value, int):
                yield kind, value


def _refers(thing: str, column: Column | None, value: Cell) -> str | None:
    if column is None or not isinstance(value, int):
        return None
    if (thing, column.name) in _LOTS:
        return kind_of(value)
    return column.ref


def _tell(heap: Heap, entry: Entry, turns: int, names: Names, terms: FarmTerms) -> str:
    facts = _facts(entry, turns, names, terms)
    facts["count"] = terms.formats.number(heap.entries)
    text = tell_happening(entry.kind, entry.thing, facts, heap.entries)
    return f"{text} ({entry.note})" if entry.note and heap.entries == 1 else text


def _facts(entry: Entry, turns: int, names: Names, terms: FarmTerms) -> dict[str, str]:
    cells = _cells(entry, turns)
    facts: dict[str, str] = {}
    for column in columns_of(THINGS[entry.thing]):
        if column.name in cells:
            key = "packs" if column.name == "count" else column.name
            facts[key] = _show(entry.thing, column, cells[column.name], names, terms)
    if entry.thing == "link":
        facts["name"] = _name(kind_of(entry.subject), entry.subject, {}, names)
        facts["parent"] = _name(kind_of(entry.other), entry.other, {}, names)
    else:
        facts["name"] = _name(entry.thing, entry.subject, cells, names)
    if entry.before is not None and entry.after is not None:
        facts["changes"] = ", ".join(_changes(entry, names, terms))
    return facts


def _changes(entry: Entry, names: Names, terms: FarmTerms) -> Iterator[str]:
    before, after = entry.before or {}, entry.after or {}
    for column in columns_of(THINGS[entry.thing]):
        if column.name in after and column.name not in _SILENT:
            old, new = (
                _show(entry.thing, column, cells.get(column.name), names, terms) or tr("nothing")
                for cells in (before, after)
            )
            title = column.name.removesuffix("_mg").replace("_", " ")
            yield tr("{title} from {old} to {new}").format(title=title, old=old, new=new)


def _name(kind: str, thing: int, cells: Cells, names: Names) -> str:
    """A thing's name, also when it is gone: from its cells, or its code."""
    for known in (names.get((kind, thing)), cells.get("name"), cells.get("title")):
        if known:
            return str(known)
    batch, number = cells.get("batch"), cells.get("number")
    if isinstance(batch, int) and isinstance(number, int) and ("batch", batch) in names:
        return bag_name(names["batch", batch], number)
    return code_of(thing) if kind in DIGITS else str(thing)


def _show(thing: str, column: Column, value: Cell, names: Names, terms: FarmTerms) -> str:
    """A cell as the person reads it; nothing for none and for an amount of zero."""
    if value is None or value == "":
        return ""
    kind = _refers(thing, column, value)
    if kind is not None and isinstance(value, int):
        return names.get((kind, value)) or (code_of(value) if kind in DIGITS else str(value))
    if isinstance(value, int):
        return _show_number(column, value, terms)
    if column.is_decimal:
        return _show_decimal(thing, column, Decimal(value), terms)
    if (thing, column.name) in _SPOKEN:
        return tr(value)
    if _INSTANT.fullmatch(value):
        return terms.formats.instant(value)
    if _DAY.fullmatch(value):
        return terms.formats.day(value)
    return say_code(CELLS.get((thing, column.name), {}), value)


def _show_number(column: Column, value: int, terms: FarmTerms) -> str:
    if column.name.endswith("_mg"):
        return terms.formats.mass(value) if value or column.name != "amount_mg" else ""
    if column.name == "count" and not value:
        return ""
    return terms.formats.number(value)


def _show_decimal(thing: str, column: Column, value: Decimal, terms: FarmTerms) -> str:
    if column.name in _MONEY or (thing == "invoice" and column.name in _MONEY_OF_INVOICE):
        return terms.formats.money(value)
    digits = max(0, -int(value.normalize().as_tuple().exponent)) if value else 0
    return terms.formats.number(value, digits)
