"""What was paid: goods bought in lots, bought cultures, hours of work, overhead, and settings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any, TypeVar, cast

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.domain.bags import Batch
from farmdesk.domain.catalogue import Ingredient, Person, Product
from farmdesk.domain.cells import Thing, to_cells
from farmdesk.domain.codes import kind_of, shown
from farmdesk.domain.costs import (
    AVERAGE,
    FIFO,
    TASKS,
    CostSetting,
    Labour,
    LabPurchase,
    Overhead,
    Purchase,
    Supply,
)
from farmdesk.domain.lab import Culture, Spawn
from farmdesk.domain.things import KIND_OF
from farmdesk.errors import NotFound, Problem, Refused, problem, refuse_any
from farmdesk.quantities.mass import HEAVIEST_MG
from farmdesk.quantities.times import from_iso, local_day

T = TypeVar("T", bound=Thing)
MOST_MINUTES = 16 * 60
_HIGHEST_PRICE = Decimal(1_000_000_000)
_MOST_PIECES = Decimal(1_000)
_FORGOTTEN_MINUTES = 12 * 60


def keep_supply(act: Act, supply: Supply) -> Supply:
    """Keep a new supply (id 0) or the changes of one."""
    found = list(check_text("name", supply.name, needed=True))
    if not 0 <= supply.pieces <= _MOST_PIECES:
        found.append(problem("supply_pieces_wrong", field="pieces", pieces=supply.pieces))
    refuse_any(found)
    if supply.product is not None:
        act.need(Product, supply.product)
    return _keep(act, replace(supply, name=supply.name.strip()))


def receive_goods(act: Act, purchase: Purchase) -> Purchase:
    """Keep a lot that was bought (id 0), or the changes of one; its price is for all of it.

    Raises Refused with every field that cannot be; asks when a lot is out of date already.
    """
    refuse_any(_check_purchase(act, purchase))
    if purchase.use_by is not None and purchase.use_by < purchase.received_on:
        facts = {"use_by": purchase.use_by, "received_on": purchase.received_on}
        act.ask(problem("lot_expired_on_arrival", field="use_by", **facts))
    return _keep(act, replace(purchase, lot=purchase.lot.strip()))


def price_lab(
    act: Act, subject: int, *, price: Decimal, bought_on: str | None = None, note: str = ""
) -> LabPurchase:
    """Note or correct what one bought culture or bag of spawn cost."""
    kind = kind_of(subject)
    if kind not in ("culture", "spawn"):
        raise NotFound(problem("not_found", kind="spawn", id=subject))
    bought: Culture | Spawn = (
        act.need(Culture, subject) if kind == "culture" else act.need(Spawn, subject)
    )
    day = bought_on or bought.made_on or act.day
    refuse_any([*_check_price(price), *_check_day(act, "bought_on", day, "received_in_future")])
    now = act.tx.first(LabPurchase, subject=subject)
    wanted = LabPurchase(0 if now is None else now.id, subject, price, day, note.strip())
    return _keep(act, wanted)


def note_labour(act: Act, labour: Labour) -> Labour:
    """Keep hours of work as typed (id 0), or the changes of them."""
    refuse_any(_check_labour(act, labour))
    if labour.id:
        return _keep(act, labour)
    return act.make("labour_noted", replace(labour, id=act.next_id("labour")))


def begin_labour(
    act: Act, *, task: str, person: int | None = None, batch: int | None = None, note: str = ""
) -> Labour:
    """Start the clock of a work."""
    wanted = Labour(
        0, act.who.person if person is None else person, batch, task, act.day,
        started_at=act.happened_at, note=note,
    )  # fmt: skip
    refuse_any(_check_labour(act, wanted, is_running=True))
    return act.make("labour_begun", replace(wanted, id=act.next_id("labour")))


def end_labour(act: Act, labour: int) -> Labour:
    """Stop the clock of a work; asks when it ran so long that it was likely forgotten."""
    now = act.need(Labour, labour)
    if now.started_at is None or now.ended_at is not None:
        raise Refused(problem("labour_ended_already", minutes=now.minutes))
    seconds = (from_iso(act.happened_at) - from_iso(now.started_at)).total_seconds()
    minutes = max(1, round(seconds / 60))
    if minutes > _FORGOTTEN_MINUTES:
        act.ask(problem("labour_very_long", hours=minutes // 60))
    return act.change("labour_ended", now, minutes=minutes, ended_at=act.happened_at)


def keep_overhead(act: Act, overhead: Overhead) -> Overhead:
    """Keep an overhead (id 0), or the changes of one."""
    found = [*check_text("name", overhead.name, needed=True)]
    found += _check_price(overhead.per_week, field="per_week")
    if overhead.to_on is not None and overhead.to_on < overhead.from_on:
        facts = {"from_on": overhead.from_on, "to_on": overhead.to_on}
        found.append(problem("overhead_days_wrong", field="to_on", **facts))
    refuse_any(found)
    return _keep(act, replace(overhead, name=overhead.name.strip()))


def keep_cost_setting(act: Act, setting: CostSetting) -> CostSetting:
    """Set how costs are counted."""
    found = list(_check_price(setting.home_spawn_per_kg, field="home_spawn_per_kg"))
    if setting.method not in (AVERAGE, FIFO):
        text = shown(setting.method)
        found.append(problem("cost_method_unknown", field="method", text=text))
    if setting.wage_per_hour < 0:
        found.append(problem("wage_negative", field="wage_per_hour"))
    if not 0 <= setting.normal_loss_percent < 100:
        percent = setting.normal_loss_percent
        found.append(problem("loss_out_of_range", field="normal_loss_percent", percent=percent))
    refuse_any(found)
    return act.keep_single(setting)


def remove_costs(act: Act, kind: str, ids: Sequence[int]) -> None:
    """Take purchases, hours of work or overheads away; the day book keeps what they were."""
    cls = {"purchase": Purchase, "labour": Labour, "overhead": Overhead}[kind]
    for one in ids:
        act.take_away(f"{kind}_removed", cast(Any, act.need(cast(Any, cls), one)))


def retire_supply(act: Act, supply: int) -> Supply:
    """Take a supply out of the choices."""
    return act.change("supply_retired", act.need(Supply, supply), retired=1)


def _keep(act: Act, thing: T) -> T:
    known = cast(Any, thing)
    kind = KIND_OF[type(thing)]
    if not known.id:
        return cast(T, act.make(f"{kind}_made", replace(known, id=act.next_id(kind))))
    now = act.need(type(thing), known.id)
    fields = {name: getattr(thing, name) for name in to_cells(thing) if name != "id"}
    return act.change_fields(f"{kind}_changed", now, fields)


def _check_purchase(act: Act, one: Purchase) -> Iterator[Problem]:
    yield from check_text("lot", one.lot, needed=False)
    yield from check_text("seller", one.seller, needed=False)
    yield from check_text("note", one.note, needed=False, long=True)
    yield from _check_price(one.price)
    yield from _check_day(act, "received_on", one.received_on, "received_in_future")
    if one.ingredient is None and one.supply is None:
        yield problem("purchase_of_nothing", field="ingredient")
    elif one.ingredient is not None and one.supply is not None:
        yield problem("purchase_of_two", field="supply")
    elif one.ingredient is not None:
        name = act.need(Ingredient, one.ingredient).name
        # A delivery of a season weighs more than one weighing ever does.
        if not 0 < one.amount_mg <= 100 * HEAVIEST_MG:
            yield problem("purchase_amount_missing", field="amount_mg", what=name)
    elif one.supply is not None and not 0 < one.pieces <= 10_000_000:
        name = act.need(Supply, one.supply).name
        yield problem("purchase_amount_missing", field="pieces", what=name)


def _check_price(price: Decimal, field: str = "price") -> Iterator[Problem]:
    if price < 0:
        yield problem("price_negative", field=field)
    elif price > _HIGHEST_PRICE:
        yield problem("price_too_high", field=field, price=price)


def _check_day(act: Act, field: str, day: str, code: str) -> Iterator[Problem]:
    if day > local_day(act.now, act.farm.zone):
        yield Problem(code, {"field": field, "day": day})


def _check_labour(act: Act, one: Labour, *, is_running: bool = False) -> list[Problem]:
    found = list(check_text("note", one.note, needed=False, long=True))
    if one.task not in TASKS:
        found.append(problem("task_unknown", field="task", text=shown(one.task)))
    if not is_running and not 1 <= one.minutes <= MOST_MINUTES:
        facts = {"minutes": one.minutes, "most": MOST_MINUTES}
        found.append(problem("minutes_out_of_range", field="minutes", **facts))
    found += _check_day(act, "day", one.day, "labour_in_future")
    if one.person is not None:
        act.need(Person, one.person)
    if one.batch is not None:
        act.need(Batch, one.batch)
    return found
