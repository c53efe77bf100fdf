"""Shelf life by temperature, life used by a temperature history, and the dates that follow.

Life between two known temperatures is interpolated on the logarithm of the days; outside them it
stays at the nearest known one and says so: it is never extrapolated. Life used is the sum of
hours / (24 x life at that temperature), common practice for additive ageing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from math import exp, isfinite, log
from typing import Literal

from farmdesk.errors import Problem, Refused, problem, refuse_any
from farmdesk.quantities.times import from_iso, local_day, to_iso

Clamp = Literal["", "colder", "warmer"]
SellByRule = Literal["of_remaining", "of_total"]


@dataclass(frozen=True)
class ShelfNode:
    """Days of life that are known at one temperature, Celsius."""

    temperature_c: float
    days: float


@dataclass(frozen=True)
class ShelfLife:
    """Days of life at a temperature; `clamp` says when it lies outside the known ones."""

    days: float
    clamp: Clamp = ""


@dataclass(frozen=True)
class Stay:
    """Hours spent at one temperature, Celsius."""

    hours: float
    temperature_c: float


@dataclass(frozen=True)
class LifeUsed:
    """The share of life used, 1.0 is all, and whether a temperature was outside the table."""

    used: float
    is_clamped: bool


@dataclass(frozen=True)
class ShelfPlan:
    """Where a lot stands after its history: life used, life left, and its dates.

    `ends_at` and `sell_by_at` are instants in UTC, `ends_on` and `sell_by` the farm's calendar
    days they fall in: never a day later.
    """

    used: float
    left_days: float
    ends_at: str
    ends_on: str
    sell_by_at: str
    sell_by: str
    is_clamped: bool


def find_shelf_life(nodes: Sequence[ShelfNode], temperature_c: float) -> ShelfLife:
    """Days of life at a temperature, log-linear between the two nearest known ones."""
    ordered = _sort_nodes(nodes)
    if not isfinite(temperature_c):
        raise Refused(problem("temperature_not_a_number"))
    if temperature_c < ordered[0].temperature_c:
        return ShelfLife(ordered[0].days, "colder")
    if temperature_c > ordered[-1].temperature_c:
        return ShelfLife(ordered[-1].days, "warmer")
    for low, high in pairwise(ordered):
        if temperature_c <= high.temperature_c:
            return ShelfLife(_interpolate(low, high, temperature_c))
    return ShelfLife(ordered[0].days)


def use_life(nodes: Sequence[ShelfNode], history: Sequence[Stay]) -> LifeUsed:
    """The share of life that a history of temperatures used up; it may go beyond 1."""
    refuse_any(_check_hours(stay) for stay in history)
    lives = [find_shelf_life(nodes, stay.temperature_c) for stay in history]
    used = sum(stay.hours / (24 * life.days) for stay, life in zip(history, lives, strict=True))
    return LifeUsed(used, any(life.clamp for life in lives))


def plan_shelf(
    nodes: Sequence[ShelfNode],
    *,
    picked_at: str,
    store_c: float,
    zone: str,
    sell_by_percent: float,
    history: Sequence[Stay] = (),
    rule: SellByRule = "of_remaining",
) -> ShelfPlan:
    """Dates of a lot picked at an instant (UTC), after its history, if it now stays at `store_c`.

    The sell-by day is a share of the life: of what remains at the end of the history, or of the
    whole (it stops when that share is used). It never lies after the end of life, and once its
    share is used it is the end of the history.
    """
    if not 0 < sell_by_percent <= 100:
        raise Refused(problem("sell_by_out_of_range", percent=sell_by_percent))
    life = find_shelf_life(nodes, store_c)
    spent = use_life(nodes, history)
    left_days = max(0.0, 1 - spent.used) * life.days
    share = sell_by_percent / 100
    sell_days = left_days * share
    if rule == "of_total":
        sell_days = max(0.0, share - spent.used) * life.days
    now = from_iso(picked_at) + timedelta(hours=sum(stay.hours for stay in history))
    ends_at = to_iso(now + timedelta(days=left_days))
    sell_by_at = to_iso(now + timedelta(days=sell_days))
    return ShelfPlan(
        used=spent.used,
        left_days=left_days,
        ends_at=ends_at,
        ends_on=local_day(ends_at, zone),
        sell_by_at=sell_by_at,
        sell_by=local_day(sell_by_at, zone),
        is_clamped=spent.is_clamped or bool(life.clamp),
    )


def _sort_nodes(nodes: Sequence[ShelfNode]) -> list[ShelfNode]:
    if not nodes:
        raise Refused(problem("shelf_life_unknown"))
    refuse_any(_check_node(node) for node in nodes)
    ordered = sorted(nodes, key=lambda node: node.temperature_c)
    for low, high in pairwise(ordered):
        if low.temperature_c == high.temperature_c:
            raise Refused(problem("shelf_life_twice", temperature_c=low.temperature_c))
    return ordered


def _check_node(node: ShelfNode) -> Problem | None:
    if isfinite(node.temperature_c) and isfinite(node.days) and node.days > 0:
        return None
    return problem("shelf_life_wrong", temperature_c=node.temperature_c, days=node.days)


def _check_hours(stay: Stay) -> Problem | None:
    if isfinite(stay.hours) and stay.hours >= 0:
        return None
    return problem("amount_negative", what="hours of a stay", amount=stay.hours)


def _interpolate(low: ShelfNode, high: ShelfNode, temperature_c: float) -> float:
    share = (temperature_c - low.temperature_c) / (high.temperature_c - low.temperature_c)
    days = exp((1 - share) * log(low.days) + share * log(high.days))
    # The last digit of a float must not lead outside what is known.
    shorter, longer = sorted((low.days, high.days))
    return min(max(days, shorter), longer) if 0 < share < 1 else (high if share else low).days
