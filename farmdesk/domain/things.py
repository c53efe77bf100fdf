"""The list of every kind of thing, in an order in which each comes after what it refers to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from farmdesk.domain import (
    bags,
    catalogue,
    climate,
    costs,
    demand,
    growth,
    harvest,
    lab,
    mixing,
    plans,
    stations,
    stocktake,
    trade,
)

THINGS: Mapping[str, type[Any]] = {
    "farm": catalogue.Farm,
    "species": catalogue.Species,
    "storage_life": catalogue.StorageLife,
    "strain": catalogue.Strain,
    "room": catalogue.Room,
    "person": catalogue.Person,
    "ingredient": catalogue.Ingredient,
    "recipe": catalogue.Recipe,
    "recipe_part": catalogue.RecipePart,
    "crate": catalogue.Crate,
    "reason": catalogue.Reason,
    "label_stock": catalogue.LabelStock,
    "price_list": catalogue.PriceList,
    "product": catalogue.Product,
    "price": catalogue.Price,
    "customer": catalogue.Customer,
    "card": stations.Card,
    "culture": lab.Culture,
    "spawn": lab.Spawn,
    "run": lab.HeatRun,
    "run_ingredient": lab.RunIngredient,
    "probe_reading": lab.ProbeReading,
    "mixing_note": mixing.MixingNote,
    "vessel": mixing.Vessel,
    "growth_look": growth.GrowthLook,
    "batch": bags.Batch,
    "bag": bags.Bag,
    "pick": harvest.Pick,
    "pack": harvest.Pack,
    "removal": harvest.Removal,
    "stocktake": stocktake.Stocktake,
    "stock_count": stocktake.StockCount,
    "order": trade.Order,
    "order_line": trade.OrderLine,
    "delivery": trade.Delivery,
    "delivery_line": trade.DeliveryLine,
    "invoice": trade.Invoice,
    "standing_order": demand.StandingOrder,
    "demand_event": demand.DemandEvent,
    "planned_batch": plans.PlannedBatch,
    "plan_setting": plans.PlanSetting,
    "room_reading": climate.RoomReading,
    "climate_day": climate.ClimateDay,
    "logger_format": climate.LoggerFormat,
    "shelf_setting": climate.ShelfSetting,
    "supply": costs.Supply,
    "purchase": costs.Purchase,
    "lab_purchase": costs.LabPurchase,
    "labour": costs.Labour,
    "overhead": costs.Overhead,
    "cost_setting": costs.CostSetting,
    "station": stations.Station,
    "printing": stations.Printing,
    "link": bags.Link,
}

CATALOGUE: tuple[str, ...] = tuple(THINGS)[: tuple(THINGS).index("culture")]
"""Kinds that are known beforehand; the rest is what happened."""

KIND_OF: Mapping[type[Any], str] = {cls: kind for kind, cls in THINGS.items()}
