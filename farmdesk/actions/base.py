"""The one way anything changes: an act reads, decides, changes things, and is committed whole."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any, Generic, TypeVar, cast

from farmdesk.actions.changes import Changes, changes_of
from farmdesk.domain.bags import Link
from farmdesk.domain.catalogue import Farm
from farmdesk.domain.cells import Cells, Thing, cell, to_cells
from farmdesk.domain.codes import DELIVERY_IDS, DIGITS, make_id
from farmdesk.domain.events import Entry, new_act_id
from farmdesk.domain.things import KIND_OF
from farmdesk.errors import Asked, FarmdeskError, NotFound, Problem, Refused, problem
from farmdesk.quantities.times import local_day
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.transaction import ActRepeated, Writing, key_of

R = TypeVar("R")
T = TypeVar("T", bound=Thing)
FARM_ID = 1


@dataclass(frozen=True)
class Who:
    """Who acts, and at which station."""

    station: str = "desk"
    person: int | None = None


@dataclass(frozen=True)
class Done(Generic[R]):
    """What became of an act. `repeated` says that it had been done before and counts once."""

    result: R | None
    act: str
    entries: tuple[Entry, ...]
    changes: Changes
    repeated: bool = False


class Act:
    """An open act: reads through `tx`, changes through these methods, all in one commit."""

    def __init__(
        self,
        tx: Writing,
        *,
        act: str,
        who: Who,
        now: str,
        happened_at: str,
        confirmed: frozenset[str],
    ) -> None:
        self.tx = tx
        self.act = act
        self.who = who
        self.now = now
        self.happened_at = happened_at
        self.confirmed = confirmed
        self.entries: list[Entry] = []
        self._farm: Farm | None = None

    @property
    def farm(self) -> Farm:
        """The farm's own row."""
        if self._farm is None:
            self._farm = self.need(Farm, FARM_ID)
        return self._farm

    def know_farm(self, farm: Farm) -> None:
        """Spare this act the question for the farm's row; for a caller that keeps it fresh."""
        self._farm = farm

    @property
    def day(self) -> str:
        """The farm's calendar day on which this act happened."""
        return local_day(self.happened_at, self.farm.zone)

    def need(self, cls: type[T], thing_id: int) -> T:
        """The thing with this id; raises NotFound."""
        found = self.tx.get(cls, thing_id)
        if found is None:
            raise NotFound(problem("not_found", kind=KIND_OF[cls], id=thing_id))
        return found

    def ask(self, *questions: Problem) -> None:
        """Stop and ask, unless each of these is already confirmed; raises Asked."""
        open_ones = [one for one in questions if one.code not in self.confirmed]
        if open_ones:
            raise Asked(*open_ones)

    def next_id(self, kind: str) -> int:
        """The next free id of a kind; never used twice."""
        if kind in DIGITS:
            return self.tx.next_id(kind, make_id(kind, self.farm.first_serial))
        return self.tx.next_id(kind, DELIVERY_IDS if kind == "delivery" else 1)

    def running(self, kind: str, thing_id: int) -> int:
        """The running number for people of a thing with this id, from 1."""
        if kind in DIGITS:
            return thing_id - make_id(kind, self.farm.first_serial) + 1
        return thing_id - DELIVERY_IDS + 1 if kind == "delivery" else thing_id

    def make(self, happening: str, thing: T, *, note: str = "") -> T:
        """Bring a new thing into being."""
        self.tx.insert(thing)
        kind, subject, other = key_of(thing)
        self._record(happening, kind, subject, other, None, to_cells(thing), note)
        return thing

    def make_many(self, happening: str, things: Iterable[Thing]) -> None:
        """Bring many new things of one kind into being, in one go."""
        rows: list[Cells] = []
        kind = ""
        for thing in things:
            cells = to_cells(thing)
            kind, subject, other = key_of(thing)
            rows.append(cells)
            self._record(happening, kind, subject, other, None, cells, "")
        if rows:
            self.tx.insert_cells(kind, rows)

    def change(self, happening: str, thing: T, *, note: str = "", **fields: object) -> T:
        """Change some fields of a thing; fields that stay the same are left out.

        `note` is the entry's own; a thing's field `note` is changed by `change_fields`.
        """
        return self.change_fields(happening, thing, fields, note=note)

    def change_fields(
        self, happening: str, thing: T, fields: Mapping[str, object], *, note: str = ""
    ) -> T:
        """Change the fields named in a mapping, whatever their names are."""
        before, after = _changed(thing, fields)
        if not after:
            return thing
        kind, subject, other = key_of(thing)
        self.tx.update_cells(kind, subject, other, after)
        self._record(happening, kind, subject, other, before, after, note)
        return cast(T, replace(cast(Any, thing), **fields))

    def change_many(
        self, happening: str, things: Sequence[T], *, note: str = "", **fields: object
    ) -> list[T]:
        """Change the same fields of many things of one kind, in few statements."""
        rows: dict[tuple[str, ...], list[tuple[int, Cells]]] = {}
        kind = ""
        for thing in things:
            before, after = _changed(thing, fields)
            if after:
                kind, subject, other = key_of(thing)
                rows.setdefault(tuple(after), []).append((subject, after))
                self._record(happening, kind, subject, other, before, after, note)
        for same_names in rows.values():
            self.tx.update_many(kind, same_names)
        return [cast(T, replace(cast(Any, thing), **fields)) for thing in things]

    def keep_single(self, thing: T) -> T:
        """Keep the thing of a kind that has only one, such as settings; its id is not heeded."""
        kind = KIND_OF[type(thing)]
        now = self.tx.first(type(thing))
        if now is None:
            made = replace(cast(Any, thing), id=self.next_id(kind))
            return self.make(f"{kind}_made", cast(T, made))
        fields = {name: value for name, value in vars(thing).items() if name != "id"}
        return self.change_fields(f"{kind}_changed", now, fields)

    def take_away(self, happening: str, thing: Thing, *, note: str = "") -> None:
        """Take a thing away; the day book keeps what it was."""
        kind, subject, other = key_of(thing)
        self.tx.delete_thing(kind, subject, other)
        self._record(happening, kind, subject, other, to_cells(thing), None, note)

    def link(
        self,
        happening: str,
        *,
        parent: int,
        child: int,
        amount_mg: int,
        how: str = "",
        flush: int = 0,
    ) -> None:
        """Record that an amount of a parent went into a child; adds to a link that is there."""
        now = self.tx.first(Link, child=child, parent=parent)
        if now is None:
            self.make(happening, Link(child, parent, amount_mg, how, flush))
        else:
            self.change(happening, now, amount_mg=now.amount_mg + amount_mg, how=how or now.how)

    def put_back(self, entry: Entry) -> None:
        """Write the inverse of an entry as a new one."""
        if entry.before is None:
            self.tx.delete_thing(entry.thing, entry.subject, entry.other)
        elif entry.after is None:
            self.tx.insert_cells(entry.thing, [entry.before])
        else:
            self.tx.update_cells(entry.thing, entry.subject, entry.other, entry.before)
        self._record(
            entry.kind,
            entry.thing,
            entry.subject,
            entry.other,
            entry.after,
            entry.before,
            "",
            undoes=entry.number,
        )

    def _record(
        self,
        happening: str,
        thing: str,
        subject: int,
        other: int,
        before: Cells | None,
        after: Cells | None,
        note: str,
        *,
        undoes: int | None = None,
    ) -> None:
        self.entries.append(
            Entry(
                0,
                self.act,
                len(self.entries),
                happening,
                thing,
                subject,
                other,
                before,
                after,
                self.happened_at,
                self.now,
                self.who.person,
                self.who.station,
                undoes,
                note,
            )
        )


def _changed(thing: Thing, fields: Mapping[str, object]) -> tuple[Cells, Cells]:
    """The fields that become something else: as they were, and as they will be."""
    before: Cells = {}
    after: Cells = {}
    for name, value in fields.items():
        old, new = cell(getattr(thing, name)), cell(value)
        if old != new:
            before[name] = old
            after[name] = new
    return before, after


def perform(
    store: FarmStore,
    action: Callable[[Act], R],
    *,
    who: Who = Who(),
    act: str | None = None,
    happened_at: str | None = None,
    now: str | None = None,
    confirmed: Iterable[str] = (),
) -> Done[R]:
    """Do one act and commit it with its day book entries, or nothing at all.

    `act` is the id the sender made for it: sent twice, it counts once. `happened_at` earlier
    than `now` is a late entry, kept as such. Raises Refused, Asked, NotFound, StoreUnavailable.
    """
    act_id = act or new_act_id()
    written = now or datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    happened = happened_at or written
    if happened > written:
        raise Refused(problem("time_in_future", field="happened_at", happened_at=happened))
    try:
        with store.writing() as tx:
            one = Act(
                tx,
                act=act_id,
                who=who,
                now=written,
                happened_at=happened,
                confirmed=frozenset(confirmed),
            )
            result = action(one)
            entries = tx.append(one.entries) if one.entries else []
    except ActRepeated:
        return _done_before(store, act_id)
    except FarmdeskError:
        if act is not None:
            before = _done_before(store, act_id)
            if before.entries:
                return before
        raise
    return Done(result, act_id, tuple(entries), changes_of(entries))


def _done_before(store: FarmStore, act: str) -> Done[Any]:
    with store.reading() as reading:
        entries = reading.entries_of_act(act)
    return Done(None, act, tuple(entries), changes_of(entries), repeated=True)
