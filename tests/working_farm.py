"""Fills a begun farm with two batches that fruit, crates, products, prices and customers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from farmdesk.actions.bags import open_bag
from farmdesk.actions.base import Act
from farmdesk.actions.catalogue import save
from farmdesk.actions.inoculation import SpawnUse, inoculate
from farmdesk.actions.lab import register_spawn
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import (
    Crate,
    Customer,
    Person,
    Price,
    PriceList,
    Product,
    Room,
    Species,
    Strain,
)

KG = 1_000_000
Do = Callable[..., Any]


@dataclass(frozen=True)
class WorkingFarm:
    """The ids of what was made."""

    batches: list[Batch]
    bags: list[list[Bag]]
    crates: list[Crate]
    products: dict[str, int]
    customers: dict[str, int]


def days_ago(days: int) -> str:
    """The instant so many days before now."""
    return (datetime.now(UTC) - timedelta(days=days)).strftime("%Y-%m-%dT%H:%M:%SZ")


def fill_farm(do: Do, *, bags: int = 6) -> WorkingFarm:
    """Make it by acts; `do(action, happened_at=...)` does one and gives its result."""
    trade = do(_trade)
    batches = do(lambda act: _inoculate(act, bags), happened_at=days_ago(30))
    grown: list[list[Bag]] = []
    for batch in batches:
        found = do(lambda act, batch=batch: _open_half(act, batch), happened_at=days_ago(11))
        grown.append(found)
    return WorkingFarm(batches, grown, *trade)


def _inoculate(act: Act, bags: int) -> list[Batch]:
    room = next(one.id for one in act.tx.all(Room) if one.use == "fruiting")
    made = []
    for code in ("OY", "SH"):
        species = act.tx.first(Species, code=code)
        assert species is not None
        strain = act.tx.all(Strain, species=species.id)[0]
        spawn = register_spawn(act, strain=strain.id, bags=1, each_mg=5 * KG, origin="Bought in")
        uses = [SpawnUse(spawn[0].id, 200_000 * bags)]
        made.append(
            inoculate(
                act, strain=strain.id, spawn=uses, bags=bags, room=room, block_mg=5 * KG // 2,
                dry_mg=KG,
            )
        )  # fmt: skip
    return made


def _open_half(act: Act, batch: Batch) -> list[Bag]:
    bags = sorted(act.tx.all(Bag, batch=batch.id), key=lambda bag: bag.number)
    act.confirmed |= {"opened_early"}
    half = (len(bags) + 1) // 2
    return [open_bag(act, one) for one in bags[:half]] + bags[half:]


def _trade(act: Act) -> tuple[list[Crate], dict[str, int], dict[str, int]]:
    crates = [save(act, Crate(0, name, 650_000)) for name in ("C1", "C2")]
    save(act, Person(0, "Ines", "IN"))
    species = {one.code: one.id for one in act.tx.all(Species)}
    wanted = {
        "oyster": Product(0, "Oyster, loose", species["OY"], "kg"),
        "shiitake": Product(0, "Shiitake, loose", species["SH"], "kg"),
        "punnet": Product(
            0, "Oyster punnet", species["OY"], "pack", 200_000, "perforated",
        ),
    }  # fmt: skip
    products = {name: save(act, one).id for name, one in wanted.items()}
    prices = act.tx.all(PriceList)[0].id
    for name, unit, price in (("oyster", "kg", "13.50"), ("shiitake", "kg", "18.00"),
                              ("punnet", "pack", "4.20")):  # fmt: skip
        save(act, Price(0, prices, products[name], unit, Decimal(price)))
    customers = {
        "inn": save(act, Customer(0, "Harbour Inn", "2 Quay", "", prices)).id,
        "market": save(act, Customer(0, "Market stall", "", "", prices)).id,
    }
    return crates, products, customers
