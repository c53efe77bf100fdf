"""Anything in the farm by a code, a name or words: what it is, and at which place it is found."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Customer
from farmdesk.domain.codes import bag_name, code_of, kind_of, read_code
from farmdesk.domain.harvest import Pack, Pick, Removal
from farmdesk.domain.stages import INCUBATING, is_alive
from farmdesk.domain.stations import Card
from farmdesk.domain.things import CATALOGUE, THINGS
from farmdesk.domain.trade import Invoice, Order
from farmdesk.errors import NotUnderstood
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.names import names_of
from farmdesk.store.search import (
    act_notes_like,
    bags_like,
    kinds_with_notes,
    names_like,
    notes_like,
    stages_of,
    written_notes_like,
)
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_state

MOST = 6
"""So many of a kind are shown."""
_LONGEST = 100
_SNIPPET = 70
LOTS = ("batch", "bag", "spawn", "culture", "run", "pick", "pack")
TRADE = ("order", "delivery", "invoice")
_SEARCHED = ("name", "code", "scientific", "initials", "address", "note", "title", "maker")

KIND_TITLES = {
    "batch": tr("Batches"),
    "bag": tr("Bags"),
    "spawn": tr("Spawn"),
    "culture": tr("Cultures"),
    "run": tr("Heat runs"),
    "pick": tr("Picks"),
    "pack": tr("Packs"),
    "order": tr("Orders"),
    "delivery": tr("Deliveries"),
    "invoice": tr("Invoices"),
    "customer": tr("Customers"),
    "species": tr("Species"),
    "strain": tr("Strains"),
    "recipe": tr("Recipes"),
    "ingredient": tr("Ingredients"),
    "product": tr("Products"),
    "person": tr("People"),
    "room": tr("Rooms"),
    "crate": tr("Crates"),
    "reason": tr("Reasons"),
    "card": tr("Wall cards"),
    "note": tr("Notes"),
}
"""Titles of the groups of findings, in the order shown."""


@dataclass(frozen=True)
class Finding:
    """One thing found: its group, its name, a line about it, and where it is shown.

    `place` is a place of the desk and `subject` what it shows there; a lot that is on no list any
    more has '' as place: its life is shown.
    """

    kind: str
    id: int
    name: str
    detail: str
    place: str
    subject: str
    day: str = ""


def search_farm(
    store: FarmStore, text: str, is_cancelled: Callable[[], bool] = lambda: False
) -> list[Finding]:
    """What a text finds, in the order of the groups; empty when cancelled or nothing matches."""
    words = text.strip()[:_LONGEST].split()
    if not words:
        return []
    found: dict[tuple[str, int, str], Finding] = {}
    with store.reading() as reading:
        for step in _steps(reading, words):
            for one in step:
                found.setdefault((one.kind, one.id, one.detail), one)
            if is_cancelled():
                return []
    order = list(KIND_TITLES)
    return sorted(
        found.values(),
        key=lambda one: order.index(one.kind) if one.kind in order else len(order),
    )


def fold(text: str) -> str:
    """Text without letter case and marks over letters, to be compared."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(sign for sign in plain if not unicodedata.combining(sign))


def _steps(reading: Reading, words: list[str]) -> Iterator[Sequence[Finding]]:
    """The parts of a search; between them it can be cancelled."""
    joined = "".join(words).upper()
    yield _by_code(reading, joined)
    for kind in (*LOTS, *TRADE):
        if kind == "bag":
            yield _bags(reading, joined)
        else:
            named = names_like(reading, kind, joined, MOST)
            yield list(_lots(reading, kind, [one for one, _ in named]))
    for kind in CATALOGUE:
        yield _in_catalogue(reading, kind, words)
    yield _goods_of(reading, words)
    yield list(_written(reading, words))
    for kind in kinds_with_notes():
        yield list(_notes(reading, kind, words))
    yield [
        Finding("note", number, tr("Day book"), _snippet(note, words), "day_book", note)
        for number, note in act_notes_like(reading, words, MOST)
    ]


def _by_code(reading: Reading, text: str) -> Sequence[Finding]:
    try:
        thing = read_code(text)
    except NotUnderstood:
        return []
    kind = kind_of(thing)
    if kind in CATALOGUE:
        known = reading.get(THINGS[kind], thing)
        return [_of_catalogue(kind, known)] if known is not None else []
    return list(_lots(reading, kind, [thing]))


def _bags(reading: Reading, text: str) -> Sequence[Finding]:
    batch, _, number = text.rpartition("-")
    if "-" not in batch and not number.isdigit():
        return []
    rows = bags_like(reading, batch, number, MOST)
    return [_bag(one, bag_name(name, at), stage) for one, name, at, stage in rows]


def _bag(thing: int, name: str, stage: str) -> Finding:
    place = "incubation" if stage == INCUBATING else "fruiting" if is_alive(stage) else ""
    return Finding("bag", thing, name, say_state(stage), place, code_of(thing))


def _lots(reading: Reading, kind: str, ids: Iterable[int]) -> Iterator[Finding]:
    things: list[Any] = [
        one for thing in ids if (one := reading.get(THINGS[kind], thing)) is not None
    ]
    names = names_of(reading, [one.id for one in things]) if kind == "bag" else {}
    stages = stages_of(reading, [one.id for one in things]) if kind == "batch" else {}
    customers = _customers(reading, things) if kind in TRADE else {}
    for one in things:
        if isinstance(one, Bag):
            yield _bag(one.id, names[one.id], one.stage)
            continue
        place = _place_of(kind, one, stages.get(one.id, set()))
        detail = customers.get(one.customer, "") if kind in TRADE else ""
        yield Finding(kind, one.id, one.name, detail, place, one.name, _day_of(one))


def _place_of(kind: str, thing: Any, stages: set[str]) -> str:
    """The place whose list still has the thing; '' when none has."""
    if kind in TRADE:
        return "sales"
    if kind == "batch":
        if INCUBATING in stages or "colonised" in stages:
            return "incubation"
        return "fruiting" if any(is_alive(one) for one in stages) else ""
    if isinstance(thing, Pick | Pack):
        left = thing.left_mg if isinstance(thing, Pick) else thing.left
        return "cold_store" if left else ""
    return "lab" if kind == "run" or thing.status == "kept" else ""


def _day_of(thing: Any) -> str:
    """The day that tells a thing from others of its kind."""
    fields = ("due_on", "delivered_on", "issued_on", "inoculated_on", "made_on", "run_on")
    days = (getattr(thing, one, None) for one in (*fields, "picked_at", "packed_on"))
    return str(next((one for one in days if one), ""))


def _customers(reading: Reading, things: Sequence[Any]) -> dict[int, str]:
    wanted = {one.customer for one in things}
    return {one: found.name for one in wanted if (found := reading.get(Customer, one)) is not None}


def _in_catalogue(reading: Reading, kind: str, words: list[str]) -> list[Finding]:
    cls = THINGS[kind]
    if kind == "farm" or "name" not in cls.__dataclass_fields__:
        return []
    folded = [fold(word) for word in words]
    found = []
    for one in reading.all(cls):
        text = fold("\n".join(str(getattr(one, name, "")) for name in _SEARCHED))
        if all(word in text for word in folded):
            found.append(one)
    found.sort(key=lambda one: (not fold(one.name).startswith(folded[0]), one.name))
    return [_of_catalogue(kind, one) for one in found[:MOST]]


def _of_catalogue(kind: str, thing: Any) -> Finding:
    detail = next(
        (text for name in ("scientific", "code", "initials") if (text := getattr(thing, name, ""))),
        "",
    )
    name = getattr(thing, "name", "") or getattr(thing, "title", "") or str(thing.id)
    subject = _target_of(thing) if isinstance(thing, Card) else f"{kind}:{thing.id}"
    return Finding(kind, thing.id, name, detail, "catalogue", subject)


def _target_of(card: Card) -> str:
    """A wall card is on no list: it leads to the room or reason it names, if it names one."""
    if card.room:
        return f"room:{card.room}"
    return f"reason:{card.reason}" if card.reason else ""


def _goods_of(reading: Reading, words: list[str]) -> list[Finding]:
    """The newest orders and invoices of the customers whose names hold the words."""
    folded = [fold(word) for word in words]
    names = {one.id: one.name for one in reading.all(Customer)}
    wanted = [one for one, name in names.items() if all(word in fold(name) for word in folded)]
    found: list[Finding] = []
    for kind, cls in (("order", Order), ("invoice", Invoice)):
        goods: list[Any] = [
            one for customer in wanted[:3] for one in reading.all(cls, customer=customer)
        ]
        newest = sorted(goods, key=lambda one: -one.id)[:3]
        found += [_of_customer(kind, one, names[one.customer]) for one in newest]
    return found


def _of_customer(kind: str, thing: Any, customer: str) -> Finding:
    return Finding(kind, thing.id, thing.name, customer, "sales", thing.name, _day_of(thing))


def _notes(reading: Reading, kind: str, words: list[str]) -> Iterator[Finding]:
    for thing, note in notes_like(reading, kind, words, MOST):
        about, about_kind = thing, kind
        if kind == "removal":
            removal = reading.get(Removal, thing)
            if removal is None:
                continue
            about, about_kind = removal.lot, kind_of(removal.lot)
        elif kind not in (*LOTS, *TRADE):
            continue
        for one in _lots(reading, about_kind, [about]):
            yield Finding("note", thing, one.name, _snippet(note, words), one.place, one.subject)


def _written(reading: Reading, words: list[str]) -> Iterator[Finding]:
    """Notes that were written about things, each at the thing it is about."""
    for subject, text in written_notes_like(reading, words, MOST):
        for one in _lots(reading, kind_of(subject), [subject]):
            yield Finding("note", subject, one.name, _snippet(text, words), one.place, one.subject)


def _snippet(note: str, words: list[str]) -> str:
    """The part of a note around the first word."""
    flat = " ".join(note.split())
    at = max(0, fold(flat).find(fold(words[0])) - _SNIPPET // 3)
    part = flat[at : at + _SNIPPET]
    return f"{'… ' if at else ''}{part}{' …' if at + _SNIPPET < len(flat) else ''}"
