"""A farm with two species, crates, customers and prices, to pick, pack and sell on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, TypeVar

from farmdesk.actions.base import Act, Done, perform
from farmdesk.actions.picks import record_pick
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import (
    Crate,
    Customer,
    Farm,
    Price,
    PriceList,
    Product,
    Reason,
    Species,
    StorageLife,
    Strain,
)
from farmdesk.domain.harvest import Pick
from farmdesk.domain.things import KIND_OF
from farmdesk.errors import Asked, FarmdeskError, Refused
from farmdesk.store.audit import balance_lots, compare_with_daybook
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.sentences import SENTENCES

R = TypeVar("R")
BEGUN = "2026-01-05T08:00:00Z"
TODAY = "2026-03-02"
NOW = f"{TODAY}T09:00:00Z"
KG = 1_000_000


@dataclass(frozen=True)
class HarvestFarm:
    """The ids of what was made; `bags` by species code."""

    store: FarmStore
    species: dict[str, int]
    batches: dict[str, int]
    bags: dict[str, list[int]]
    crates: list[int]
    products: dict[str, int]
    customers: dict[str, int]
    reasons: dict[str, int]

    def do(
        self,
        action: Callable[[Act], R],
        *,
        at: str = NOW,
        confirmed: Iterable[str] = (),
    ) -> R:
        """Do one act at an instant and give what it made."""
        return self.done(action, at=at, confirmed=confirmed).result  # type: ignore[return-value]

    def get(self, cls: type[R], thing_id: int) -> R:
        """The thing with this id as it is now."""
        with self.store.reading() as reading:
            return reading.get(cls, thing_id)  # type: ignore[type-var, return-value]

    def pick(self, code: str, net_mg: int, *, on: str = TODAY) -> Pick:
        """A weighed pick from the first bags of a species."""
        bags = self.bags[code][: 1 + net_mg // (4 * KG)]
        at = f"{on}T09:00:00Z"
        return self.do(lambda act: record_pick(act, bags=bags, gross_mg=net_mg), at=at)

    def refusal(self, action: Callable[[Act], object], **options: Any) -> list[str]:
        """The codes with which an act is refused; each of them has a sentence."""
        return self._codes(Refused, action, options)

    def question(self, action: Callable[[Act], object], **options: Any) -> list[str]:
        """The codes with which an act asks back; each of them has a sentence."""
        return self._codes(Asked, action, options)

    def _codes(
        self, kind: type[FarmdeskError], action: Callable[[Act], object], options: dict[str, Any]
    ) -> list[str]:
        try:
            self.do(action, **options)
        except kind as error:
            for one in error.problems:
                sentence = SENTENCES[one.code].format_map(dict(one.facts))
                assert "{" not in sentence
            return [one.code for one in error.problems]
        raise AssertionError("the act was done")

    def clean(self) -> None:
        """Everything adds up, and the day book tells the same as the tables."""
        with self.store.reading() as reading:
            found = [*balance_lots(reading), *compare_with_daybook(reading, lambda *_: None)]
        assert found == []

    def done(
        self, action: Callable[[Act], R], *, at: str = NOW, confirmed: Iterable[str] = ()
    ) -> Done[R]:
        """Do one act at an instant and give all that became of it."""
        return perform(self.store, action, now=at, confirmed=confirmed)


def begin_harvest_farm(
    store: FarmStore, *, currency: str = "USD", tax: str = "0", bags: int = 6
) -> HarvestFarm:
    """Make the farm in one act, long enough ago for bags to have been inoculated."""
    done = perform(store, lambda act: _make(act, store, currency, tax, bags), now=BEGUN)
    assert done.result is not None
    return done.result


def _make(act: Act, store: FarmStore, currency: str, tax: str, bags: int) -> HarvestFarm:
    act.make(
        "farm_begun",
        Farm(
            id=1, name="Nine Alders", address="1 Ferry Lane\nLower Quay", zone="UTC",
            currency=currency, locale="en_US", mass_unit="kg", temperature_unit="C",
            first_serial=1000, sell_by_percent=50, with_spawn_dry=0, inoculation_weekday=2,
            tax_percent=Decimal(tax), cold_store_c=Decimal(3),
        ),
    )  # fmt: skip
    species = {code: _species(act, code, name) for code, name in _SPECIES}
    strains = {
        code: act.make("strain_made", Strain(act.next_id("strain"), one, "01")).id
        for code, one in species.items()
    }
    life = StorageLife(0, species["OY"], "loose", Decimal(3), Decimal(10))
    _keep(act, life)
    _keep(act, replace(life, species=species["SH"], temperature_c=Decimal(5), days=Decimal(20)))
    _keep(act, replace(life, wrap="wrapped", days=Decimal(16)))
    batches = {code: _batch(act, code, strain, bags) for code, strain in strains.items()}
    return HarvestFarm(
        store=store,
        species=species,
        batches=batches,
        bags={code: _bags(act, batch, bags) for code, batch in batches.items()},
        crates=[_keep(act, Crate(0, f"C{n}", 1_200_000)).id for n in (1, 2)],
        products=_products(act, species),
        customers=_customers(act),
        reasons={
            use: _keep(act, Reason(0, use, use.title(), use, 0)).id
            for use in ("waste", "gift", "own", "drying", "discard")
        },
    )


_SPECIES = (("OY", "Oyster"), ("SH", "Shiitake"))


def _keep(act: Act, thing: R) -> R:
    kind = KIND_OF[type(thing)]
    return act.make(f"{kind}_made", replace(thing, id=act.next_id(kind)))  # type: ignore[type-var]


def _species(act: Act, code: str, name: str) -> int:
    caution = "Cook thoroughly: raw shiitake can cause a rash." if code == "SH" else ""
    return _keep(
        act,
        Species(
            id=0, code=code, name=name, scientific="", incubation_days_low=12,
            incubation_days_high=21, incubation_c=None, fruiting_c_low=None,
            fruiting_c_high=None, humidity_low=None, humidity_high=None, co2_max=None,
            open_pick_days_low=7, open_pick_days_high=12, flushes=3, rest_days_low=8,
            rest_days_high=14, be_percent_low=Decimal(50), be_percent_high=Decimal(100),
            flush_shares="60/30/10", spawn_percent=Decimal(5), moisture_percent=Decimal(62),
            caution=caution, source="", status="",
        ),
    ).id  # fmt: skip


def _batch(act: Act, code: str, strain: int, bags: int) -> int:
    batch_id = act.next_id("batch")
    number = act.running("batch", batch_id)
    return act.make(
        "batch_made",
        Batch(batch_id, f"{code}01-{number:04d}", strain, None, act.day, bags, 2_500_000, 950_000),
    ).id


def _bags(act: Act, batch: int, count: int) -> list[int]:
    made = [
        Bag(act.next_id("bag"), batch, number, stage_since=act.now)
        for number in range(1, count + 1)
    ]
    act.make_many("bag_made", made)
    return [bag.id for bag in made]


def _products(act: Act, species: dict[str, int]) -> dict[str, int]:
    wanted = {
        "oyster loose": Product(0, "Oyster, loose", species["OY"], "kg"),
        "shiitake loose": Product(0, "Shiitake, loose", species["SH"], "lb"),
        "oyster punnet": Product(0, "Oyster punnet", species["OY"], "pack", 250_000, "wrapped"),
        "mixed box": Product(0, "Mixed box", None, "pack", 500_000),
    }
    return {name: _keep(act, one).id for name, one in wanted.items()}


def _customers(act: Act) -> dict[str, int]:
    prices = _keep(act, PriceList(0, "Trade")).id
    products = {one.name: one.id for one in act.tx.all(Product)}
    for name, unit, price in (
        ("Oyster, loose", "kg", "13.50"),
        ("Shiitake, loose", "lb", "9.25"),
        ("Oyster punnet", "pack", "4.20"),
        ("Mixed box", "pack", "8.75"),
    ):
        _keep(act, Price(0, prices, products[name], unit, Decimal(price)))
    return {
        "inn": _keep(act, Customer(0, "Harbour Inn", "2 Quay", "", prices)).id,
        "shop": _keep(act, Customer(0, "Corner Shop", "", "", prices, minimum_life_days=5)).id,
        "market": _keep(act, Customer(0, "Market stall")).id,
    }


def say_codes(problems: Sequence[object]) -> list[str]:
    """The codes of problems, for assertions."""
    return [one.code for one in problems]  # type: ignore[attr-defined]
