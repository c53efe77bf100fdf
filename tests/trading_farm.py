"""A farm with two species that picks, packs, sells and throws away over two ISO weeks.

It lies five hours behind UTC, so that Sunday evening there is Monday in UTC. All figures are
given here by hand, so that tests can add them up for themselves.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from decimal import Decimal

from farmdesk.actions.base import Act, perform
from farmdesk.domain.bags import Bag, Batch, Link
from farmdesk.domain.catalogue import Customer, Farm, Product, Reason, Recipe, Room, Species, Strain
from farmdesk.domain.harvest import Pack, Pick, Removal
from farmdesk.domain.lab import Culture, HeatRun, Spawn
from farmdesk.domain.trade import Delivery, DeliveryLine, Invoice, Order, OrderLine
from farmdesk.store.farm_store import FarmStore

NOW = "2026-11-22T20:00:00Z"
"""Sunday of 2026-W47, three in the afternoon at the farm."""
KG = 1_000_000
ZONE = "America/New_York"


@dataclass
class TradingFarm:
    """Ids by name, and what was put in by hand."""

    ids: dict[str, int] = field(default_factory=dict)
    bags: dict[str, list[int]] = field(default_factory=dict)


def begin_trading(
    store: FarmStore, *, with_spawn_dry: int = 0, mass_unit: str = "kg"
) -> TradingFarm:
    """Make the whole farm in a few acts."""
    farm = TradingFarm()

    def catalogue(act: Act) -> None:
        _make_catalogue(act, farm, with_spawn_dry, mass_unit)

    for action in (catalogue, *(_bind(one, farm) for one in (_grow, _pick, _sell))):
        perform(store, action, now=NOW, happened_at=NOW)
    return farm


def _bind(action, farm):  # type: ignore[no-untyped-def]
    return lambda act: action(act, farm)


def _make_catalogue(act: Act, farm: TradingFarm, with_spawn_dry: int, mass_unit: str) -> None:
    act.make(
        "farm_begun",
        Farm(
            id=1, name="Nine Alders", address="1 Ferry Lane", zone=ZONE, currency="USD",
            locale="en_US", mass_unit=mass_unit, temperature_unit="C", first_serial=1000,
            sell_by_percent=65, with_spawn_dry=with_spawn_dry, inoculation_weekday=2,
            tax_percent=Decimal(0), cold_store_c=Decimal(3),
        ),
    )  # fmt: skip
    oyster = Species(
        id=act.next_id("species"), code="OY", name="Oyster", scientific="Pleurotus ostreatus",
        incubation_days_low=12, incubation_days_high=21, incubation_c=None,
        fruiting_c_low=None, fruiting_c_high=None, humidity_low=None, humidity_high=None,
        co2_max=None, open_pick_days_low=7, open_pick_days_high=12, flushes=3,
        rest_days_low=7, rest_days_high=14, be_percent_low=Decimal(50),
        be_percent_high=Decimal(100), flush_shares="60/30/10", spawn_percent=Decimal(5),
        moisture_percent=Decimal(62), caution="", source="", status="",
    )  # fmt: skip
    act.make("species_made", oyster)
    mane = replace(oyster, id=act.next_id("species"), code="LM", name="Lion's mane")
    act.make("species_made", mane)
    for code, species in (("OY", oyster), ("LM", mane)):
        strain = Strain(act.next_id("strain"), species.id, "01", f"{species.name} 01")
        farm.ids[f"strain {code}"] = act.make("strain_made", strain).id
        farm.ids[code] = species.id
    for name, use in (("Shelves", "incubation"), ("Mist", "fruiting"), ("Cold", "cold store")):
        farm.ids[name] = act.make("room_made", Room(act.next_id("room"), name, use, 100)).id
    for code, use, contamination in (
        ("Green mould", "discard", 1), ("Too wet", "discard", 0), ("Spoiled", "waste", 0),
        ("Gift", "gift", 0),
    ):  # fmt: skip
        reason = Reason(act.next_id("reason"), code.lower(), code, use, contamination)
        farm.ids[code] = act.make("reason_made", reason).id
    loose = Product(act.next_id("product"), "Oyster, loose", oyster.id, "kg")
    punnet = Product(act.next_id("product"), "Oyster punnet", oyster.id, "pack", 200_000)
    for name in ("Bluebell Kitchen", "=Fern Market"):
        customer = Customer(act.next_id("customer"), name)
        farm.ids[name] = act.make("customer_made", customer).id
    farm.ids["loose"] = act.make("product_made", loose).id
    farm.ids["punnet"] = act.make("product_made", punnet).id


def _grow(act: Act, farm: TradingFarm) -> None:
    strain = farm.ids["strain OY"]
    recipe = Recipe(act.next_id("recipe"), "Oak and bran", Decimal(62), 2_500_000, "steam")
    act.make("recipe_made", recipe)
    run = HeatRun(act.next_id("run"), "R-0001", recipe.id, "2026-09-30", 40, 2_500_000)
    farm.ids["run"] = act.make("run_recorded", run).id
    culture = Culture(act.next_id("culture"), "C-OY01-0001", strain, made_on="2026-08-01")
    farm.ids["culture"] = act.make("culture_registered", culture).id
    spawn = Spawn(
        act.next_id("spawn"), "S-OY01-0001", strain, made_mg=2 * KG, left_mg=100_000,
        made_on="2026-09-01", use_by="2026-12-01",
    )  # fmt: skip
    farm.ids["spawn"] = act.make("spawn_registered", spawn).id
    act.link("culture_to_spawn", parent=culture.id, child=spawn.id, amount_mg=10_000)
    plan = (
        ("OY01-0001", "strain OY", "2026-10-01", 6, "fruiting", "2026-10-20"),
        ("OY01-0002", "strain OY", "2026-11-17", 5, "incubating", None),
        ("LM01-0003", "strain LM", "2026-10-05", 4, "fruiting", "2026-11-18"),
    )
    for name, strain_name, day, count, stage, opened in plan:
        batch = Batch(
            act.next_id("batch"), name, farm.ids[strain_name], run.id, day, count,
            2_500_000, 1_000_000, 70_000, "2026-10-13", "2026-10-22",
        )  # fmt: skip
        farm.ids[name] = act.make("batch_inoculated", batch).id
        room = farm.ids["Mist" if opened else "Shelves"]
        bags = [
            Bag(
                act.next_id("bag"), batch.id, number, stage, f"{day}T15:00:00Z", room,
                f"{day}T15:00:00Z", "2026-11-01", None, opened,
            )
            for number in range(1, count + 1)
        ]  # fmt: skip
        act.make_many("bag_made", bags)
        farm.bags[name] = [bag.id for bag in bags]
    _discard(act, farm, "OY01-0001", 5, "Green mould", "2026-11-19T15:00:00Z")
    _discard(act, farm, "OY01-0001", 4, "Too wet", "2026-11-12T15:00:00Z")


def _discard(act: Act, farm: TradingFarm, batch: str, at: int, why: str, when: str) -> None:
    bag = act.need(Bag, farm.bags[batch][at])
    act.change(
        "bag_discarded", bag, stage="discarded", stage_since=when, opened_on=None,
        reason=farm.ids[why], room=None, room_since=None,
    )  # fmt: skip


PICKS: tuple[tuple[str, str, str, str, int, dict[tuple[str, int], tuple[int, int]]], ...] = (
    # name, species, picked at, grade, left, {(batch, bag place): (mg, flush)}
    ("P-OY-0001", "OY", "2026-11-01T15:00:00Z", "A", 0, {("OY01-0001", 0): (600_000, 1)}),
    # Sunday of W46 at the farm, Monday in UTC
    ("P-OY-0002", "OY", "2026-11-16T04:30:00Z", "A", 0, {("OY01-0001", 0): (250_000, 2)}),
    ("P-OY-0003", "OY", "2026-11-17T15:00:00Z", "A", 300_000, {
        ("OY01-0001", 1): (400_001, 1), ("OY01-0001", 2): (399_999, 1),
        ("OY01-0001", 0): (50_000, 2),
    }),
    ("P-LM-0004", "LM", "2026-11-20T15:00:00Z", "B", 500_000, {("LM01-0003", 0): (500_000, 1)}),
    # Sunday of W47 at the farm, Monday in UTC
    ("P-OY-0005", "OY", "2026-11-23T04:30:00Z", "A", 111_000, {("OY01-0001", 3): (111_000, 1)}),
)  # fmt: skip


def _pick(act: Act, farm: TradingFarm) -> None:
    for name, species, when, grade, left, shares in PICKS:
        net = sum(mg for mg, _ in shares.values())
        pick = Pick(
            act.next_id("pick"), name, farm.ids[species], None, 1, grade, when, net + 500_000,
            500_000, net, f"{net / KG} kg", left, "2026-11-28", "2026-11-25", farm.ids["Cold"],
            "weighed",
        )  # fmt: skip
        farm.ids[name] = act.make("pick_weighed", pick).id
        how = "measured" if len(shares) == 1 else "allocated"
        for (batch, at), (mg, flush) in shares.items():
            act.make("bag_into_pick", Link(pick.id, farm.bags[batch][at], mg, how, flush))
            bag = act.need(Bag, farm.bags[batch][at])
            act.change("bag_picked", bag, flush=flush, picked_on="2026-11-17")
    waiting = Pick(
        act.next_id("pick"), "P-OY-0006", farm.ids["OY"], picked_at="2026-11-21T15:00:00Z"
    )
    farm.ids["P-OY-0006"] = act.make("pick_started", waiting).id


def _sell(act: Act, farm: TradingFarm) -> None:
    pack = Pack(
        act.next_id("pack"), "K-0001", farm.ids["punnet"], "2026-11-18", 2, 400_000, 1,
        "2026-11-26", "2026-11-24", farm.ids["Cold"],
    )  # fmt: skip
    farm.ids["K-0001"] = act.make("packs_made", pack).id
    act.make("picks_packed", Link(pack.id, farm.ids["P-OY-0003"], 400_000))
    kitchen, market = farm.ids["Bluebell Kitchen"], farm.ids["=Fern Market"]
    order = Order(act.next_id("order"), "O-0001", kitchen, "2026-11-18", "2026-11-21")
    act.make("order_taken", order)
    line = OrderLine(
        act.next_id("order_line"), order.id, farm.ids["loose"], Decimal("0.500"), "kg",
        Decimal("21.30"),
    )  # fmt: skip
    act.make("order_line_taken", line)
    sold = (
        # day, customer, product, lot, mg, packs, quantity, unit, price, total
        ("2026-11-14", kitchen, "loose", "P-OY-0001", 593_000, 0, "0.593", "kg", "20", "11.86"),
        ("2026-11-16", kitchen, "loose", "P-OY-0002", 250_000, 0, "0.250", "kg", "21.30", "5.33"),
        ("2026-11-19", kitchen, "loose", "P-OY-0003", 50_000, 0, "0.050", "kg", "21.30", "1.07"),
        ("2026-11-22", market, "punnet", "K-0001", 0, 1, "1", "pack", "6.50", "6.50"),
    )
    for day, customer, product, lot, mg, packs, quantity, unit, price, total in sold:
        number = act.next_id("delivery")
        name = f"D-{number - 99_999_999:04d}"
        act.make("delivered", Delivery(number, name, customer, None, day))
        act.make(
            "line_delivered",
            DeliveryLine(
                act.next_id("delivery_line"), number, None, farm.ids[product], farm.ids[lot], mg,
                packs, Decimal(quantity), unit, Decimal(price), Decimal(total),
            ),
        )  # fmt: skip
        invoice = act.next_id("invoice")
        act.make(
            "invoice_issued",
            Invoice(
                invoice, f"I-{invoice:04d}", customer, number, day, "2026-12-01",
                Decimal(total), Decimal(0), Decimal(0), Decimal(total),
            ),
        )  # fmt: skip
    removed = (
        ("P-OY-0003", "Spoiled", 80_000, "2026-11-19T15:00:00Z"),
        ("P-OY-0003", "Gift", 20_000, "2026-11-20T15:00:00Z"),
        ("P-OY-0001", "Spoiled", 7_000, "2026-11-10T15:00:00Z"),
    )
    for lot, why, mg, when in removed:
        act.make(
            "stock_removed",
            Removal(act.next_id("removal"), farm.ids[lot], farm.ids[why], mg, 0, when),
        )
