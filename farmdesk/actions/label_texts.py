"""What stands on the label of each thing of the farm: its fields as text."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import cached_property
from typing import Any, TypeVar

from babel.dates import format_interval

from farmdesk.actions.packs import FRESH
from farmdesk.actions.trade_labels import trade_symbol_of, trade_texts
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import (
    Crate,
    Farm,
    Person,
    Product,
    Reason,
    Recipe,
    Room,
    Species,
    Strain,
)
from farmdesk.domain.cells import Thing
from farmdesk.domain.codes import code_of, kind_of
from farmdesk.domain.harvest import Pack, PackWeight, Pick
from farmdesk.domain.lab import Culture, HeatRun, Spawn
from farmdesk.domain.stations import Card
from farmdesk.domain.things import THINGS
from farmdesk.domain.trade import TradeSetting
from farmdesk.errors import NotFound, Refused, problem
from farmdesk.labels import fields
from farmdesk.labels.fields import LabelItem
from farmdesk.store.lab import parents_of_many, things_by_id
from farmdesk.store.transaction import Reading
from farmdesk.wording.cards import MEANINGS
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

T = TypeVar("T", bound=Thing)
Texts = Mapping[str, str]
_MG_PER_G = 1_000
_KEEPS = {"dried": tr("Keep dry"), "preserve": tr("Made by a tested process only")}
_OUNCE_UNITS = ("lb", "oz", "lb_oz")


def label_items(reading: Reading, ids: Sequence[int]) -> list[LabelItem]:
    """A label for each of these things, in their order.

    Raises NotFound for an id of nothing here, Refused for a thing that has no label.
    """
    by_kind: dict[str, list[int]] = {}
    for one in ids:
        by_kind.setdefault(kind_of(one), []).append(one)
    source = _Source(reading)
    texts: dict[int, Texts] = {}
    for kind, wanted in by_kind.items():
        if kind not in _WRITERS:
            raise Refused(problem("no_label_for_kind", kind=kind))
        found = things_by_id(reading, THINGS[kind], wanted)
        for one in wanted:
            if one not in found:
                raise NotFound(problem("not_found", kind=kind, id=one))
        texts |= _WRITERS[kind](source, list(found.values()))
    return [
        LabelItem(_LABELS[kind_of(one)], code_of(one), texts[one], trade_symbol_of(texts[one]))
        for one in ids
    ]


class _Source:
    """What labels of many things share, read when it is first wanted and kept."""

    def __init__(self, reading: Reading) -> None:
        self.reading = reading
        self._kept: dict[type[Any], dict[int, Any]] = {}

    @cached_property
    def farm(self) -> Farm:
        """The farm's own row."""
        return self.reading.all(Farm)[0]

    @cached_property
    def formats(self) -> Formats:
        """How this farm writes days and masses."""
        farm = self.farm
        return Formats(
            locale=farm.locale,
            mass_unit=farm.mass_unit,
            zone=farm.zone,
            currency=farm.currency,
            temperature_unit=farm.temperature_unit,
        )

    def fetch(self, cls: type[T], ids: Iterable[int | None]) -> dict[int, T]:
        """The things of a kind with these ids; each is read once."""
        kept = self._kept.setdefault(cls, {})
        missing = {one for one in ids if one is not None and one not in kept}
        kept.update(things_by_id(self.reading, cls, sorted(missing)))
        return kept

    def day(self, day: str | None) -> str:
        """A day in the locale's form, empty when there is none."""
        return self.formats.day(day) if day else ""


def _bags(source: _Source, bags: Sequence[Bag]) -> dict[int, Texts]:
    parents = parents_of_many(source.reading, [bag.id for bag in bags])
    spawn_ids = {one for ids in parents.values() for one in ids if kind_of(one) == "spawn"}
    spawn = source.fetch(Spawn, spawn_ids)
    shared = _batches(source, {bag.batch for bag in bags})
    names: dict[tuple[int, ...], str] = {}
    texts: dict[int, Texts] = {}
    for bag in bags:
        own = tuple(one for one in parents.get(bag.id, ()) if one in spawn)
        if own not in names:
            names[own] = ", ".join(spawn[one].name for one in own)
        texts[bag.id] = {
            **shared[bag.batch],
            "number": f"{bag.number:03d}",
            "spawn": names[own],
            "note": bag.note,
        }
    return texts


def _batches(source: _Source, ids: Iterable[int]) -> dict[int, Texts]:
    """What all bags of a batch have in common."""
    batches = things_by_id(source.reading, Batch, sorted(ids))
    lines = _lines(source, [batch.strain for batch in batches.values()])
    runs = source.fetch(HeatRun, [batch.run for batch in batches.values()])
    return {
        batch.id: {
            "farm": source.farm.name,
            **lines[batch.strain],
            "batch": batch.name,
            "inoculated": source.day(batch.inoculated_on),
            "heat_run": runs[batch.run].name if batch.run is not None else "",
            "ready_window": _window(source, batch.ready_from, batch.ready_to),
        }
        for batch in batches.values()
    }


def _window(source: _Source, first: str, last: str) -> str:
    """Both days, short: the year stands with the day of inoculation already."""
    if not first or not last:
        return ""
    days = (date.fromisoformat(first), date.fromisoformat(last))
    return format_interval(*days, "MMMd", locale=source.farm.locale)


def _lines(source: _Source, strains: Iterable[int]) -> dict[int, Texts]:
    """Species and strain of each strain id, as texts."""
    wanted = set(strains)
    known = source.fetch(Strain, wanted)
    species = source.fetch(Species, [known[one].species for one in wanted])
    return {
        one: {
            "species": species[known[one].species].name,
            "strain": known[one].name or f"{species[known[one].species].code}{known[one].code}",
        }
        for one in wanted
    }


def _spawn(source: _Source, lots: Sequence[Spawn]) -> dict[int, Texts]:
    lines = _lines(source, [one.strain for one in lots])
    return {
        one.id: {
            "farm": source.farm.name,
            "strain": lines[one.strain]["strain"],
            "generation": f"G{one.generation}",
            "lot": one.name,
            "made": source.day(one.made_on),
            "use_by": source.day(one.use_by),
        }
        for one in lots
    }


def _cultures(source: _Source, cultures: Sequence[Culture]) -> dict[int, Texts]:
    lines = _lines(source, [one.strain for one in cultures])
    return {
        one.id: {
            "strain": f"{one.name} {lines[one.strain]['strain']}",
            "transfers": str(one.transfers),
            "made": source.day(one.made_on),
        }
        for one in cultures
    }


def _picks(source: _Source, picks: Sequence[Pick]) -> dict[int, Texts]:
    parents = parents_of_many(source.reading, [pick.id for pick in picks])
    bags = source.fetch(Bag, {one for ids in parents.values() for one in ids})
    batches = source.fetch(Batch, {bag.batch for bag in bags.values()})
    strains = _lines(source, {batch.strain for batch in batches.values()})
    species = source.fetch(Species, [pick.species for pick in picks])
    people = source.fetch(Person, [pick.person for pick in picks])
    texts: dict[int, Texts] = {}
    for pick in picks:
        own = [bags[one] for one in parents.get(pick.id, ()) if one in bags]
        from_batches = [batches[one] for one in dict.fromkeys(bag.batch for bag in own)]
        names = dict.fromkeys(strains[batch.strain]["strain"] for batch in from_batches)
        texts[pick.id] = {
            "farm": source.farm.name,
            "species": species[pick.species].name,
            "strain": ", ".join(names),
            "harvest_lot": pick.name,
            "picked_at": source.formats.instant(pick.picked_at) if pick.picked_at else "",
            "flush": str(pick.flush),
            "batches": ", ".join(batch.name for batch in from_batches),
            **_weights(source, pick),
            "grade": pick.grade,
            "picker": people[pick.person].initials if pick.person is not None else "",
            "shelf_date": source.day(pick.sell_by or pick.shelf_on),
        }
    return texts


def _weights(source: _Source, pick: Pick) -> Texts:
    if pick.net_mg is None:
        return {"net": "", "gross_tare": ""}
    mass = source.formats.mass
    gross = mass(pick.gross_mg) if pick.gross_mg is not None else ""
    tare = mass(pick.tare_mg) if pick.tare_mg is not None else ""
    return {"net": mass(pick.net_mg), "gross_tare": f"{gross} / {tare}" if gross else ""}


def _packs(source: _Source, packs: Sequence[Pack]) -> dict[int, Texts]:
    products = source.fetch(Product, [pack.product for pack in packs])
    species = source.fetch(Species, [one.species for one in products.values()])
    texts: dict[int, Texts] = {}
    setting = source.reading.first(TradeSetting) or TradeSetting(0)
    for pack in packs:
        product = products[pack.product]
        caution = product.caution
        if not caution and product.species is not None:
            caution = species[product.species].caution
        keep = {"keep": setting.handling} if setting.handling and product.form == FRESH else {}
        if product.form != FRESH:
            keep = {"keep": _KEEPS[product.form]}
        texts[pack.id] = {
            **keep,
            **trade_texts(pack, product, setting),
            "common_name": product.name,
            "net": _net(
                source, product.pack_mg or pack.net_mg // max(pack.count, 1), setting.second_unit
            ),
            "packed_on": source.day(pack.packed_on),
            "sell_by": source.day(pack.sell_by or pack.shelf_on),
            "lot": pack.name,
            "farm": source.farm.name,
            "address": source.farm.address,
            "caution": caution,
        }
    return texts


def weighed_items(reading: Reading, pack: Pack, item: LabelItem) -> list[LabelItem]:
    """One label for each pack of catch weight, with its own weight and number; else nothing."""
    source = _Source(reading)
    product = source.fetch(Product, [pack.product])[pack.product]
    weights = reading.all(PackWeight, pack=pack.id) if product.fill == "catch" else []
    setting = reading.first(TradeSetting) or TradeSetting(0)
    made = []
    for one in sorted(weights, key=lambda each: each.number):
        texts = {
            **item.fields,
            **trade_texts(pack, product, setting, net_mg=one.net_mg),
            "net": _net(source, one.net_mg, setting.second_unit),
            "lot": f"{pack.name} · {one.number}",
        }
        made.append(replace(item, fields=texts, trade=trade_symbol_of(texts)))
    return made


def _net(source: _Source, mg: int, second: str) -> str:
    """Net weight in grams; where ounces are sold, both, the customary unit first.

    `second` is oz to add ounces everywhere, g to leave them out.
    """
    grams = source.formats.mass_in(round(mg / _MG_PER_G) * _MG_PER_G, "g")
    if source.farm.mass_unit in _OUNCE_UNITS and second != "g":
        return f"{source.formats.mass_in(mg, 'oz')} ({grams})"
    return f"{grams} ({source.formats.mass_in(mg, 'oz')})" if second == "oz" else grams


def _cards(source: _Source, cards: Sequence[Card]) -> dict[int, Texts]:
    rooms = source.fetch(Room, [card.room for card in cards])
    reasons = source.fetch(Reason, [card.reason for card in cards])
    texts: dict[int, Texts] = {}
    for card in cards:
        target = ""
        if card.room is not None:
            target = rooms[card.room].name
        elif card.reason is not None:
            target = reasons[card.reason].name
        if card.shelf:
            target = tr("{room}, shelf {shelf}").format(room=target, shelf=card.shelf)
        meaning = tr(MEANINGS.get(card.act, "")).replace("{target}", target)
        texts[card.id] = {"title": card.title, "meaning": meaning}
    return texts


def _crates(source: _Source, crates: Sequence[Crate]) -> dict[int, Texts]:
    return {
        one.id: {
            "title": one.name,
            "meaning": tr("Tare {tare_mg}").format(tare_mg=source.formats.mass(one.tare_mg)),
        }
        for one in crates
    }


def _runs(source: _Source, runs: Sequence[HeatRun]) -> dict[int, Texts]:
    recipes = source.fetch(Recipe, [run.recipe for run in runs])
    return {
        run.id: {
            "title": run.name,
            "meaning": f"{recipes[run.recipe].name}, {source.day(run.run_on)}",
        }
        for run in runs
    }


_WRITERS: Mapping[str, Callable[[_Source, Any], dict[int, Texts]]] = {
    "bag": _bags,
    "spawn": _spawn,
    "culture": _cultures,
    "pick": _picks,
    "pack": _packs,
    "card": _cards,
    "crate": _crates,
    "run": _runs,
}
_LABELS: Mapping[str, str] = {
    "bag": fields.BAG,
    "spawn": fields.SPAWN,
    "culture": fields.CULTURE,
    "pick": fields.CRATE,
    "pack": fields.PACK,
    "card": fields.CARD,
    "crate": fields.CARD,
    "run": fields.CARD,
}
"""Crates and heat runs need a code and a name only, as a card has them."""
