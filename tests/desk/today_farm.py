"""Things that wait on the page Today, made with dates long ago."""

from __future__ import annotations

from farm_window import FarmWindow

from farmdesk.actions.base import Act
from farmdesk.actions.inoculation import SpawnUse, inoculate
from farmdesk.actions.lab import register_spawn
from farmdesk.domain.bags import Batch
from farmdesk.domain.catalogue import Customer
from farmdesk.domain.trade import Order
from farmdesk.quantities.times import day_plus

KG = 1_000_000
LONG_AGO = "2026-01-05T10:00:00Z"


def old_batch(window: FarmWindow) -> Batch:
    """A batch that is overdue to open and was never walked."""
    strain = window.all("strain")[0].id
    spawn = window.act(
        lambda act: register_spawn(act, strain=strain, bags=1, each_mg=3 * KG), happened_at=LONG_AGO
    )[0]
    made: Batch = window.act(
        lambda act: inoculate(
            act, strain=strain, spawn=[SpawnUse(spawn.id, KG)], bags=4, block_mg=2 * KG
        ),
        happened_at=LONG_AGO,
    )
    return made


def late_order(act: Act) -> Order:
    """An order that was due two days ago."""
    buyer = act.make("customer_made", Customer(act.next_id("customer"), "Reed Street Kitchen"))
    wanted = Order(act.next_id("order"), "O-0001", customer=buyer.id, due_on=day_plus(act.day, -2))
    return act.make("order_taken", wanted)
