"""What the mill's customers want each week, a market that differs, and a first planned batch."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from functools import partial

from mill_catalogue import Mill
from mill_diary import Diary

from farmdesk.actions.demand import save_demand_event, save_standing_order
from farmdesk.actions.mixing import save_vessel
from farmdesk.actions.plans import PlanWish, accept_plan, save_plan_setting
from farmdesk.domain.demand import DemandEvent, StandingOrder
from farmdesk.domain.mixing import Vessel
from farmdesk.domain.plans import PlanSetting
from farmdesk.quantities.weeks import IsoWeek

_STANDING = (
    ("ladle", "Oyster, loose", "6", "lb", 4),
    ("larkfoot", "Shiitake, loose", "5", "lb", 4),
    ("noodle", "Oyster, loose", "4", "lb", 4),
    ("grocer", "Oyster punnet, 8 oz", "16", "pack", 4),
    ("rye", "Lion's mane, loose", "4", "lb", 5),
    ("school", "Chestnut, loose", "3", "lb", 5),
)
_VESSELS = (
    Vessel(0, "Tall retort", 30, Decimal("4.5"), "Pressure vessel; seal seen to in spring."),
    Vessel(0, "Steam barrel", 18, Decimal(14)),
)


def note_plans(diary: Diary, mill: Mill) -> None:
    """An evening in the office: standing orders, the winter market, one batch for it."""
    products = {one.name: one for one in mill.products.values()}
    for customer, product, amount, unit, weekday in _STANDING:
        order = StandingOrder(
            0, mill.customers[customer], products[product].id, Decimal(amount), unit, weekday,
            diary.day.isoformat(),
        )  # fmt: skip
        diary.do(partial(save_standing_order, order=order))
    oyster = products["Oyster, loose"].species
    market = diary.day + timedelta(weeks=9)
    week = str(IsoWeek.of(market))
    event = DemandEvent(
        0, "Winter market", week, week, market.isoformat(), oyster, None, Decimal(1), 9_000_000,
        "Two stalls this year.",
    )  # fmt: skip
    diary.do(partial(save_demand_event, event=event))
    for vessel in _VESSELS:
        diary.do(partial(save_vessel, vessel=vessel))
    setting = PlanSetting(0, runs_per_day=1, hours_per_week=Decimal(40))
    diary.do(partial(save_plan_setting, setting=setting))
    days = [(diary.day + timedelta(n)).isoformat() for n in (-20, -9, 6, 25, 35)]
    wish = PlanWish(oyster or 0, str(IsoWeek.of(days[4])), 24, *days)  # type: ignore[arg-type]
    diary.do(partial(accept_plan, wishes=[wish]))
