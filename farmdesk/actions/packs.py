"""Packing: picks become packs of one product, and keep knowing which picks they came from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.cold_store import check_hold, take_from_lot
from farmdesk.actions.pick_shares import ShelfDates, find_packed_dates, shown_mass
from farmdesk.arithmetic.portions import split_exactly
from farmdesk.domain.catalogue import Product, Room
from farmdesk.domain.codes import name_for
from farmdesk.domain.harvest import Pack, PackWeight, Pick
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.times import day_start, local_day

MOST_PACKS = 5_000


# Drying takes nine tenths away; fresh for dry beyond these is a slip. Common practice, no source.
_DRY_FROM_PERCENT, _DRY_TO_PERCENT = 4, 30
FRESH, DRIED, PRESERVE = "fresh", "dried", "preserve"


@dataclass(frozen=True)
class _Packing:
    """What is packed; `used_mg` goes in, `filled_mg` is what the packs hold."""

    product: Product
    count: int
    picks: Sequence[Pick]
    amounts: Sequence[int]
    filled_mg: int
    used_mg: int
    day: str
    weights: Sequence[int]
    tare_mg: int


def make_packs(  # noqa: PLR0913 - one packing, told in one go
    act: Act,
    *,
    product: int,
    count: int | None = None,
    from_picks: Mapping[int, int],
    packed_on: str | None = None,
    filled_mg: int | None = None,
    room: int | None = None,
    note: str = "",
    weights: Sequence[int] = (),
    tare_mg: int | None = None,
) -> Pack:
    """Fill packs from named picks with an amount (mg) set aside of each.

    `weights` are what each pack weighed whole (mg), needed for products of catch weight; less
    the empty package's `tare_mg` (the product's unless given) they are what the packs hold.
    Dried and preserved products use all that is set aside; what they hold is told by their
    labels or weights. Preserves get no shelf date: a licensed process decides.

    Only what went into the packs is drawn, in proportion to the amounts; the rest stays in its
    pick. That is the packs' net mass, or `filled_mg` when they were weighed and hold more.
    Raises Refused when there is not enough; Asked when a pick is past its shelf date.
    """
    known = act.need(Product, product)
    picks = [act.need(Pick, one) for one in from_picks]
    made = (len(weights) if count is None else count) or 0
    tare = known.tare_mg if tare_mg is None else tare_mg
    filled = (known.pack_mg or 0) * made if filled_mg is None else filled_mg
    if weights:
        filled = sum(weights) - tare * len(weights)
    amounts = [from_picks[pick.id] for pick in picks]
    packing = _Packing(
        product=known,
        count=made,
        picks=picks,
        amounts=amounts,
        filled_mg=filled,
        used_mg=filled if known.form == FRESH else sum(amounts),
        day=packed_on or act.day,
        weights=weights,
        tare_mg=tare,
    )
    problems = [*check_text("note", note, needed=False, long=True), *_check(act, packing)]
    problems += [one for pick in picks for one in _check_pick(act, packing, pick, from_picks)]
    if problems:
        raise Refused(*problems)
    if room is not None:
        act.need(Room, room)
    act.ask(*_questions(packing))
    return _fill(act, packing, room, note)


def _check(act: Act, packing: _Packing) -> Iterator[Problem]:
    product = packing.product
    is_catch = product.fill == "catch"
    if not product.pack_mg and not is_catch:
        yield problem("product_not_in_packs", field="product", product=product.name)
    elif not 1 <= packing.count <= MOST_PACKS:
        yield problem(
            "pack_count_out_of_range", field="count", count=packing.count, most=MOST_PACKS
        )
    elif not packing.picks:
        yield problem("packs_from_nothing", field="from_picks")
    elif is_catch and not packing.weights:
        yield problem("packs_need_weights", field="weights", product=product.name)
    else:
        yield from _check_weights(packing)
        yield from _check_amounts(act, packing, (product.pack_mg or 0) * packing.count)
    if packing.day > act.day:
        yield problem("day_in_future", field="packed_on", day=packing.day, today=act.day)


def _check_weights(packing: _Packing) -> Iterator[Problem]:
    if not packing.weights:
        return
    if len(packing.weights) != packing.count:
        facts = {"count": packing.count, "weighed": len(packing.weights)}
        yield problem("packs_not_all_weighed", field="weights", **facts)
    if packing.tare_mg < 0:
        yield problem("tare_negative", field="tare_mg")
    for at, weight in enumerate(packing.weights, start=1):
        if weight <= packing.tare_mg:
            yield problem("net_weight_wrong", field="weights", number=at)


def _check_amounts(act: Act, packing: _Packing, nominal: int) -> Iterator[Problem]:
    together = sum(packing.amounts)
    if any(amount <= 0 for amount in packing.amounts):
        yield problem("pack_amount_empty", field="from_picks")
    elif packing.product.fill != "catch" and packing.filled_mg < nominal:
        facts = {"filled": shown_mass(act, packing.filled_mg), "needed": shown_mass(act, nominal)}
        yield problem("packs_underfilled", field="filled_mg", **facts)
    elif packing.product.form == FRESH and together < packing.filled_mg:
        yield problem(
            "packs_need_more",
            field="from_picks",
            count=packing.count,
            needed=shown_mass(act, packing.filled_mg),
            given=shown_mass(act, together),
        )


def _check_pick(
    act: Act, packing: _Packing, pick: Pick, from_picks: Mapping[int, int]
) -> Iterator[Problem]:
    product, wanted = packing.product, from_picks[pick.id]
    yield from check_hold(pick, "from_picks")
    if pick.net_mg is None:
        yield problem("pick_not_weighed", field="from_picks", pick=pick.name)
    elif wanted > pick.left_mg:
        facts = {"left": shown_mass(act, pick.left_mg), "wanted": shown_mass(act, wanted)}
        yield problem("lot_overdrawn", field="from_picks", lot=pick.name, **facts)
    if product.species is not None and pick.species != product.species:
        yield problem(
            "pack_of_other_species", field="from_picks", pick=pick.name, product=product.name
        )
    picked_on = local_day(pick.picked_at, act.farm.zone)
    if packing.day < picked_on:
        facts = {"day": packing.day, "pick": pick.name, "picked_on": picked_on}
        yield problem("packed_before_pick", field="packed_on", **facts)


def _questions(packing: _Packing) -> Iterator[Problem]:
    if packing.product.form == DRIED:
        percent = 100 * packing.filled_mg / packing.used_mg
        if not _DRY_FROM_PERCENT <= percent <= _DRY_TO_PERCENT:
            yield problem("drying_odd", percent=f"{percent:.1f}")
    for pick in packing.picks:
        if pick.shelf_on is not None and pick.shelf_on < packing.day:
            yield problem("packing_expired", pick=pick.name, shelf_on=pick.shelf_on)


def _fill(act: Act, packing: _Packing, room: int | None, note: str) -> Pack:
    pack_id = act.next_id("pack")
    dates = _dates(act, packing)
    pack = act.make(
        "packs_made",
        Pack(
            id=pack_id,
            name=name_for("pack", act.running("pack", pack_id)),
            product=packing.product.id,
            packed_on=packing.day,
            count=packing.count,
            net_mg=packing.filled_mg,
            left=packing.count,
            used_mg=packing.used_mg,
            tare_mg=packing.tare_mg,
            shelf_on=min((one.shelf_on for one in dates if one.shelf_on), default=None),
            sell_by=min((one.sell_by for one in dates if one.sell_by), default=None),
            room=room,
            person=act.who.person,
            note=note.strip(),
        ),
    )
    for number, weight in enumerate(packing.weights, start=1):
        act.make(
            "pack_weighed",
            PackWeight(
                act.next_id("pack_weight"), pack.id, number, weight, packing.tare_mg,
                weight - packing.tare_mg,
            ),
        )  # fmt: skip
    drawn = split_exactly(packing.used_mg, packing.amounts)
    how = "measured" if len(drawn) == 1 else "allocated"
    for pick, amount in zip(packing.picks, drawn, strict=True):
        if amount:
            take_from_lot(act, pick, amount_mg=amount, happening="pick_packed")
            act.link("packs_filled", parent=pick.id, child=pack.id, amount_mg=amount, how=how)
    return pack


def _dates(act: Act, packing: _Packing) -> list[ShelfDates]:
    """The dates that each pick brings into the packs; the earliest count for all.

    Dried and preserved packs have none of the fresh mushrooms' life.
    """
    if packing.product.form != FRESH:
        return []
    packed_at = act.happened_at
    if packing.day != act.day:
        packed_at = day_start(packing.day, act.farm.zone)
    return [
        find_packed_dates(act, pick, packed_at=max(packed_at, pick.picked_at), wrap=wrap)
        for wrap in [packing.product.wrap]
        for pick in packing.picks
    ]
