"""What a weight says of a pick: its share for each bag, what looks wrong, and its shelf dates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from farmdesk.actions.base import Act
from farmdesk.arithmetic.shelf import (
    SellByRule,
    ShelfNode,
    Stay,
    find_shelf_life,
    plan_shelf,
    use_life,
)
from farmdesk.arithmetic.yields import share_crate
from farmdesk.domain.bags import Link
from farmdesk.domain.catalogue import StorageLife
from farmdesk.domain.climate import ShelfSetting
from farmdesk.domain.harvest import Pick
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.mass import HEAVIEST_MG, MG_PER_KG, format_mass
from farmdesk.quantities.times import from_iso, local_day, to_iso
from farmdesk.store.picks import BagInPick
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr_count

LOOSE = "loose"
# No block on sale gives this much in one picking: common practice, no source.
MOST_FROM_A_BAG_MG = 30 * MG_PER_KG
_TIMES_ITS_BLOCK = 2


@dataclass(frozen=True)
class ShelfDates:
    """The last day of a lot's life and the day to have sold it by, None when nobody knows."""

    shelf_on: str | None = None
    sell_by: str | None = None
    is_clamped: bool = False


def shown_mass(act: Act, mg: int) -> str:
    """A mass in the farm's unit, ready for a sentence."""
    return format_mass(mg, act.farm.mass_unit, act.farm.locale)


def net_of(act: Act, *, gross_mg: int, tare_mg: int) -> int:
    """Gross less tare; raises Refused when that cannot be."""
    found: list[Problem] = []
    if not 0 < gross_mg <= HEAVIEST_MG:
        most = shown_mass(act, HEAVIEST_MG)
        found.append(problem("gross_out_of_range", field="gross_mg", most=most))
    if tare_mg < 0:
        found.append(problem("tare_negative", field="tare_mg"))
    if not found and tare_mg >= gross_mg:
        facts = {"gross": shown_mass(act, gross_mg), "tare": shown_mass(act, tare_mg)}
        found.append(problem("tare_above_gross", field="tare_mg", **facts))
    if found:
        raise Refused(*found)
    return gross_mg - tare_mg


def doubts_of_weight(act: Act, net_mg: int, bags: Sequence[BagInPick]) -> list[Problem]:
    """What looks like a slip in the weight of so many bags."""
    found = []
    count = len(bags)
    named = tr_count(count, "{n} bag", "{n} bags").format(n=count)
    if net_mg > MOST_FROM_A_BAG_MG * count:
        most = shown_mass(act, MOST_FROM_A_BAG_MG)
        found.append(problem("pick_absurd", net=shown_mass(act, net_mg), bags=named, most=most))
    blocks_mg = sum(bag.block_mg for bag in bags)
    if 0 < _TIMES_ITS_BLOCK * blocks_mg < net_mg:
        facts = {"net": shown_mass(act, net_mg), "blocks": shown_mass(act, blocks_mg)}
        found.append(problem("pick_above_blocks", bags=named, **facts))
    return found


def share_over_bags(
    act: Act, pick: int, net_mg: int, bags: Sequence[BagInPick], *, note: str = ""
) -> None:
    """Write each bag's share of a pick; together they are the net weight to the milligram."""
    weights = {bag.bag: bag.block_mg for bag in bags}
    shares = share_crate(net_mg, [bag.bag for bag in bags], weights)
    for bag, share in zip(bags, shares, strict=True):
        now = Link(pick, bag.bag, bag.amount_mg, bag.how, bag.flush)
        act.change("bag_share_weighed", now, amount_mg=share.picked_mg, how=share.basis, note=note)


def shelf_nodes(reading: Reading, species: int, wrap: str = LOOSE) -> list[ShelfNode]:
    """Known lives of a species in a wrap; those of loose mushrooms when the wrap is not known."""
    known = reading.all(StorageLife, species=species)
    for wanted in (wrap, LOOSE, ""):
        rows = [one for one in known if one.wrap == wanted]
        if rows:
            return _nodes_of(rows)
    return []


def sell_by_rule(reading: Reading) -> SellByRule:
    """What the sell-by share is a share of on this farm: of what remains, unless it was chosen."""
    known = reading.first(ShelfSetting)
    return "of_total" if known is not None and known.rule == "of_total" else "of_remaining"


def find_shelf_dates(act: Act, species: int, *, picked_at: str, wrap: str = LOOSE) -> ShelfDates:
    """Shelf dates of a lot kept in the cold store from its picking on."""
    nodes = shelf_nodes(act.tx, species, wrap)
    if not nodes:
        return ShelfDates()
    plan = plan_shelf(
        nodes,
        picked_at=picked_at,
        store_c=float(act.farm.cold_store_c),
        zone=act.farm.zone,
        sell_by_percent=act.farm.sell_by_percent,
        rule=sell_by_rule(act.tx),
    )
    return ShelfDates(plan.ends_on, plan.sell_by, plan.is_clamped)


def find_packed_dates(act: Act, pick: Pick, *, packed_at: str, wrap: str) -> ShelfDates:
    """Shelf dates of what is packed from a pick: the share of life used loose stays used.

    What is left of the life counts on from packing as life in the wrap; where nothing is known
    of the wrap, or the pick's own life is not known, the pick's dates stay.
    """
    loose = shelf_nodes(act.tx, pick.species)
    known = act.tx.all(StorageLife, species=pick.species, wrap=wrap)
    if not loose or not known or wrap == LOOSE:
        return ShelfDates(pick.shelf_on, pick.sell_by)
    store_c = float(act.farm.cold_store_c)
    hours = (from_iso(packed_at) - from_iso(pick.picked_at)).total_seconds() / 3600
    spent = use_life(loose, [Stay(hours, store_c)])
    life = find_shelf_life(_nodes_of(known), store_c)
    days = max(0.0, 1 - spent.used) * life.days
    share = act.farm.sell_by_percent / 100
    sell_days = days * share
    if sell_by_rule(act.tx) == "of_total":
        sell_days = max(0.0, share - spent.used) * life.days
    return ShelfDates(
        shelf_on=_day_after(act, packed_at, days),
        sell_by=_day_after(act, packed_at, sell_days),
        is_clamped=spent.is_clamped or bool(life.clamp),
    )


def _day_after(act: Act, instant: str, days: float) -> str:
    return local_day(to_iso(from_iso(instant) + timedelta(days=days)), act.farm.zone)


def _nodes_of(known: Sequence[StorageLife]) -> list[ShelfNode]:
    return [ShelfNode(float(one.temperature_c), float(one.days)) for one in known]
