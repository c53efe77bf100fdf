"""Third Hopper Farm, a feed mill turned mushroom farm: its rooms, people, customers and prices."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from mill_diary import ZONE, Diary

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue import begin_farm, save
from farmdesk.domain.catalogue import (
    Crate,
    Customer,
    Farm,
    Person,
    Price,
    PriceList,
    Product,
    Room,
    Species,
    Strain,
)

FIRST_SERIAL = 2_100_000
NAME = "Third Hopper Farm"
ADDRESS = "The Old Feed Mill\n14 Weighbridge Lane\nPellen Falls, New York"
LOFT, ROLLERS, SILO, COLD = "Grain loft", "Roller floor", "Silo room", "Cold store"
SHELVES = {
    LOFT: "A1 A2 A3 A4 A5 B1 B2 B3 B4 B5",
    ROLLERS: "C1 C2 C3 C4 C5 C6 C7",
    SILO: "D1 D2 D3 D4 D5 D6",
}
"""The shelves of the rooms in which blocks stand; two dozen blocks or some more on each."""
OUNCE_8, OUNCE_6, POUND = 226_796, 170_097, 453_592

_PEOPLE = (
    ("wren", "Wren Hollowell", "WH"),
    ("tomas", "Tomas Iberra", "TI"),
    ("june", "June Pettibow", "JP"),
    ("silas", "Silas Oakhame", "SO"),
)
_PRODUCTS = (
    ("OY", "Oyster, loose", "lb", None, "", "11.00", "14.00"),
    ("SH", "Shiitake, loose", "lb", None, "", "13.50", "17.00"),
    ("LM", "Lion's mane, loose", "lb", None, "", "15.00", "20.00"),
    ("CH", "Chestnut, loose", "lb", None, "", "14.50", "18.00"),
    ("KO", "King oyster, loose", "lb", None, "", "13.00", "16.00"),
    ("MA", "Maitake, loose", "lb", None, "", "17.50", "22.00"),
    ("OY", "Oyster punnet, 8 oz", "pack", OUNCE_8, "wrapped", "6.25", "8.00"),
    ("LM", "Lion's mane punnet, 6 oz", "pack", OUNCE_6, "", "6.50", "8.50"),
    (None, "Mixed share, 1 lb", "pack", POUND, "", "14.25", "18.00"),
)
_CUSTOMERS = (
    ("ladle", "The Tin Ladle", "2 Canal Street", "kitchen@tinladle.example", 2, 14),
    ("larkfoot", "Larkfoot Table", "31 Orchard Row", "orders@larkfoot.example", 2, 14),
    ("noodle", "Ninth Lock Noodle House", "9 Lock Road", "555-0142", 1, 14),
    ("rye", "Brindle & Rye", "118 Main Street", "chef@brindlerye.example", 2, 21),
    ("grocer", "Pellen Corner Grocer", "7 Church Street", "produce@pellencorner.example", 3, 30),
    ("shares", "Weighbridge Farm Shares", "14 Weighbridge Lane", "hello@weighbridge.example", 2, 7),
    ("market", "Saturday market stall", "Millpond Square", "", 0, 0),
    ("school", "Fernside School Kitchen", "60 Fernside Avenue", "555-0177", 1, 30),
)  # fmt: skip

_CHANNELS = {
    "ladle": "restaurants", "larkfoot": "restaurants", "noodle": "restaurants",
    "rye": "restaurants", "grocer": "shops", "shares": "farm shares", "market": "markets",
    "school": "kitchens",
}  # fmt: skip


class Mill:
    """The ids of what the farm knows, by the grower's own short names."""

    def __init__(self) -> None:
        self.rooms: dict[str, int] = {}
        self.species: dict[str, Species] = {}
        self.strains: dict[str, int] = {}
        self.crates: list[Crate] = []
        self.products: dict[str, Product] = {}
        self.customers: dict[str, int] = {}


def begin_mill(diary: Diary) -> Mill:
    """Begin the farm and fill in its catalogue as a grower would on the first evening."""
    diary.do(
        lambda act: begin_farm(
            act,
            name=NAME,
            zone=ZONE,
            currency="USD",
            locale="en_US",
            mass_unit="lb",
            temperature_unit="F",
            address=ADDRESS,
            first_serial=FIRST_SERIAL,
        )
    )
    mill = Mill()
    diary.do(_settle_farm)
    diary.do(lambda act: _keep_rooms(act, mill))
    diary.people = diary.do(_keep_people)
    diary.do(lambda act: _keep_strains(act, mill), person="wren")
    diary.do(lambda act: _keep_crates(act, mill), person="wren")
    diary.do(lambda act: _keep_trade(act, mill), person="june")
    return mill


def _settle_farm(act: Act) -> Farm:
    return save(act, replace(act.farm, cold_store_c=Decimal(3), sell_by_percent=60))


def _keep_rooms(act: Act, mill: Mill) -> None:
    """The seeded rooms get the mill's names; a cooler fruiting room comes in addition."""
    names = {"incubation": (LOFT, 480), "fruiting": (ROLLERS, 170), "cold store": (COLD, 200)}
    for room in act.tx.all(Room):
        name, capacity = names.get(room.use, ("Weighing office", room.capacity))
        shelves = SHELVES.get(name, "")
        named = replace(room, name=name, capacity=capacity, shelves=shelves)
        mill.rooms[name] = save(act, named).id
    cool = Room(
        0, SILO, "fruiting", 150, Decimal(14), Decimal(17), Decimal(85), Decimal(92), 1000,
        shelves=SHELVES[SILO],
    )  # fmt: skip
    mill.rooms[SILO] = save(act, cool).id


def _keep_people(act: Act) -> dict[str, int]:
    return {key: save(act, Person(0, name, initials)).id for key, name, initials in _PEOPLE}


def _keep_strains(act: Act, mill: Mill) -> None:
    for one in act.tx.all(Species):
        mill.species[one.code] = one
        first = act.tx.first(Strain, species=one.id)
        if first is not None:
            mill.strains[f"{one.code}01"] = first.id
    summer = Strain(0, mill.species["OY"].id, "02", "Oyster 02, for warm months", "bought in")
    mill.strains["OY02"] = save(act, summer).id


def _keep_crates(act: Act, mill: Mill) -> None:
    for number in range(1, 11):
        tare = 612_000 + number * 7_000 % 41_000
        mill.crates.append(save(act, Crate(0, f"Crate {number}", tare)))


def _keep_trade(act: Act, mill: Mill) -> None:
    usual = act.tx.all(PriceList)[0].id
    market = save(act, PriceList(0, "Market stall prices")).id
    for code, name, unit, pack_mg, wrap, price, stall in _PRODUCTS:
        kind = None if code is None else mill.species[code]
        caution = "Cook thoroughly." if kind is None else kind.caution
        product = Product(0, name, kind and kind.id, unit, pack_mg, wrap, caution)
        kept = save(act, product)
        mill.products[name] = kept
        save(act, Price(0, usual, kept.id, unit, Decimal(price)))
        save(act, Price(0, market, kept.id, unit, Decimal(stall)))
    for key, name, address, contact, life, days in _CUSTOMERS:
        prices = market if key == "market" else usual
        customer = Customer(
            0, name, f"{address}\nPellen Falls, New York", contact, prices, life, days,
            channel=_CHANNELS[key],
        )  # fmt: skip
        mill.customers[key] = save(act, customer).id
