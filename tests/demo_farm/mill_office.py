"""The mill's books: goods bought in lots, bags, hours of work and rent."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

from mill_diary import Diary

from farmdesk.actions.base import Act
from farmdesk.actions.costs import (
    keep_cost_setting,
    keep_overhead,
    keep_supply,
    note_labour,
    price_lab,
    receive_goods,
)
from farmdesk.domain.catalogue import Ingredient
from farmdesk.domain.costs import CostSetting, Labour, Overhead, Purchase, Supply
from farmdesk.domain.lab import Spawn

_WEEKS = 26
_KG = 1_000_000
_PRICES = {"pellets": "0.42", "sawdust": "0.35", "bran": "0.55", "gypsum": "0.95", "hull": "0.60",
           "millet": "1.10", "rye": "0.90", "chips": "0.30", "straw": "0.25"}  # fmt: skip
_TASKS = (("substrate", 210), ("inoculation", 180), ("picking", 420), ("fruiting", 150),
          ("cleaning", 90), ("packing", 200), ("delivery", 180))  # fmt: skip


def keep_books(diary: Diary) -> None:
    """An evening with the folder of bills."""
    diary.do(lambda act: _set_up(act, diary), person="june")
    diary.do(lambda act: _receive(act, diary), person="june")
    diary.do(lambda act: _note_work(act, diary), person="june")
    diary.do(_price_spawn, person="june")


def _set_up(act: Act, diary: Diary) -> CostSetting:
    first = (diary.day - timedelta(weeks=_WEEKS)).isoformat()
    keep_overhead(act, Overhead(0, "Rent of the mill", Decimal("95.00"), first))
    keep_overhead(act, Overhead(0, "Power and water", Decimal("38.50"), first))
    bag = keep_supply(act, Supply(0, "Filter bag"))
    label = keep_supply(act, Supply(0, "Bag label"))
    punnet = keep_supply(act, Supply(0, "Punnet", "pack"))
    for supply, pieces, price in ((bag, 1_500, "930.00"), (label, 2_000, "80.00"),
                                  (punnet, 1_200, "168.00")):  # fmt: skip
        bought = Purchase(0, None, supply.id, "", 0, pieces, Decimal(price), first)
        receive_goods(act, bought)
    setting = CostSetting(0, "average", Decimal("18.00"), Decimal(5), Decimal("3.20"))
    return keep_cost_setting(act, setting)


def _receive(act: Act, diary: Diary) -> Purchase:
    bought = Purchase(0)
    for at, weeks in enumerate((26, 17, 8)):
        day = (diary.day - timedelta(weeks=weeks)).isoformat()
        for one in act.tx.all(Ingredient):
            price = next((p for word, p in _PRICES.items() if word in one.name.casefold()), None)
            if price is None:
                continue
            # Bran rose by a tenth with each delivery.
            rise = 1 + Decimal(at) / 10 if "bran" in one.name.casefold() else Decimal(1)
            paid = (Decimal(price) * 250 * rise).quantize(Decimal("0.01"))
            lot = f"{one.name[:2].upper()}{at + 1}"
            bought = Purchase(0, one.id, None, lot, 250 * _KG, 0, paid, day, None, "Feed mill")
            receive_goods(act, bought)
    return bought


def _note_work(act: Act, diary: Diary) -> Labour:
    kept = Labour(0)
    for weeks in range(_WEEKS, 0, -1):
        day = (diary.day - timedelta(weeks=weeks)).isoformat()
        for at, (task, minutes) in enumerate(_TASKS):
            person = diary.people["june" if at % 2 else "tomas"]
            spread = 15 * ((weeks * 7 + at * 3) % 5) - 30
            kept = note_labour(act, Labour(0, person, None, task, day, minutes + spread))
    return kept


def _price_spawn(act: Act) -> int:
    bought = [one for one in act.tx.all(Spawn) if one.origin]
    for one in bought:
        per_kg = Decimal("7.80")
        price = (per_kg * one.made_mg / _KG).quantize(Decimal("0.01"))
        price_lab(act, one.id, price=price)
    return len(bought)
