"""What a weight says of a pick: its share for each bag, what looks wrong, and its shelf dates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from farmdesk.actions.base import Act
from farmdesk.arithmetic.shelf import ShelfNode, plan_shelf
from farmdesk.arithmetic.yields import share_crate
from farmdesk.domain.bags import Link
from farmdesk.domain.catalogue import StorageLife
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.mass import HEAVIEST_MG, MG_PER_KG, format_mass
from farmdesk.store.picks import BagInPick
from farmdesk.store.transaction import Reading

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
    if net_mg > MOST_FROM_A_BAG_MG * count:
        most = shown_mass(act, MOST_FROM_A_BAG_MG)
        found.append(problem("pick_absurd", net=shown_mass(act, net_mg), bags=count, most=most))
    blocks_mg = sum(bag.block_mg for bag in bags)
    if 0 < _TIMES_ITS_BLOCK * blocks_mg < net_mg:
        facts = {"net": shown_mass(act, net_mg), "blocks": shown_mass(act, blocks_mg)}
        found.append(problem("pick_above_blocks", bags=count, **facts))
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
            return [ShelfNode(float(one.temperature_c), float(one.days)) for one in rows]
    return []


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
    )
    return ShelfDates(plan.ends_on, plan.sell_by, plan.is_clamped)
