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
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.times import day_start, local_day

MOST_PACKS = 5_000


@dataclass(frozen=True)
class _Packing:
    product: Product
    count: int
    picks: Sequence[Pick]
    amounts: Sequence[int]
    filled_mg: int
    day: str


def make_packs(
    act: Act,
    *,
    product: int,
    count: int,
    from_picks: Mapping[int, int],
    packed_on: str | None = None,
    filled_mg: int | None = None,
    room: int | None = None,
    note: str = "",
) -> Pack:
    """Fill packs from named picks with an amount (mg) set aside of each.

    Only what went into the packs is drawn, in proportion to the amounts; the rest stays in its
    pick. That is the packs' net mass, or `filled_mg` when they were weighed and hold more.
    Raises Refused when there is not enough; Asked when a pick is past its shelf date.
    """
    known = act.need(Product, product)
    picks = [act.need(Pick, one) for one in from_picks]
    nominal = (known.pack_mg or 0) * count
    packing = _Packing(
        product=known,
        count=count,
        picks=picks,
        amounts=[from_picks[pick.id] for pick in picks],
        filled_mg=nominal if filled_mg is None else filled_mg,
        day=packed_on or act.day,
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
    if not product.pack_mg:
        yield problem("product_not_in_packs", field="product", product=product.name)
    elif not 1 <= packing.count <= MOST_PACKS:
        yield problem(
            "pack_count_out_of_range", field="count", count=packing.count, most=MOST_PACKS
        )
    elif not packing.picks:
        yield problem("packs_from_nothing", field="from_picks")
    else:
        yield from _check_amounts(act, packing, product.pack_mg * packing.count)
    if packing.day > act.day:
        yield problem("day_in_future", field="packed_on", day=packing.day, today=act.day)


def _check_amounts(act: Act, packing: _Packing, nominal: int) -> Iterator[Problem]:
    together = sum(packing.amounts)
    if any(amount <= 0 for amount in packing.amounts):
        yield problem("pack_amount_empty", field="from_picks")
    elif packing.filled_mg < nominal:
        facts = {"filled": shown_mass(act, packing.filled_mg), "needed": shown_mass(act, nominal)}
        yield problem("packs_underfilled", field="filled_mg", **facts)
    elif together < packing.filled_mg:
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
            shelf_on=min((one.shelf_on for one in dates if one.shelf_on), default=None),
            sell_by=min((one.sell_by for one in dates if one.sell_by), default=None),
            room=room,
            person=act.who.person,
            note=note.strip(),
        ),
    )
    drawn = split_exactly(packing.filled_mg, packing.amounts)
    how = "measured" if len(drawn) == 1 else "allocated"
    for pick, amount in zip(packing.picks, drawn, strict=True):
        if amount:
            take_from_lot(act, pick, amount_mg=amount, happening="pick_packed")
            act.link("packs_filled", parent=pick.id, child=pack.id, amount_mg=amount, how=how)
    return pack


def _dates(act: Act, packing: _Packing) -> list[ShelfDates]:
    """The dates that each pick brings into the packs; the earliest count for all."""
    packed_at = act.happened_at
    if packing.day != act.day:
        packed_at = day_start(packing.day, act.farm.zone)
    return [
        find_packed_dates(act, pick, packed_at=max(packed_at, pick.picked_at), wrap=wrap)
        for wrap in [packing.product.wrap]
        for pick in packing.picks
    ]
