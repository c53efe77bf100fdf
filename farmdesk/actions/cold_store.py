"""The cold store: what leaves it unsold, and where it lies; no lot ever goes below nothing."""

from __future__ import annotations

from collections.abc import Iterator

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.pick_shares import shown_mass
from farmdesk.domain.catalogue import Reason, Room
from farmdesk.domain.codes import kind_of
from farmdesk.domain.harvest import Pack, PackWeight, Pick, Removal
from farmdesk.errors import NotFound, Problem, Refused, problem
from farmdesk.quantities.times import local_day
from farmdesk.store.sales import weights_left

USES = ("waste", "gift", "own", "drying")
Lot = Pick | Pack


def remove_stock(
    act: Act,
    lot_id: int,
    *,
    reason: int,
    amount_mg: int | None = None,
    count: int | None = None,
    note: str = "",
) -> Removal:
    """Take stock out unsold: an amount of a pick or a count of packs, all of it when not given.

    Raises Refused when more is asked than is left, or the reason is not one for stock.
    """
    found = list(check_text("note", note, needed=False, long=True))
    why = act.need(Reason, reason)
    if why.use not in USES:
        found.append(problem("reason_not_for_stock", field="reason", reason=why.name))
    lot = need_lot(act, lot_id)
    if found:
        raise Refused(*found)
    weighed = next_weights(act, lot, count)
    mass, packs = take_from_lot(act, lot, amount_mg=amount_mg, count=count)
    removal = act.make(
        "stock_removed",
        Removal(
            id=act.next_id("removal"),
            lot=lot.id,
            reason=why.id,
            amount_mg=mass,
            count=packs,
            removed_at=act.happened_at,
            person=act.who.person,
            note=note.strip(),
        ),
    )
    for one in weighed:
        act.change("pack_weight_removed", one, removal=removal.id)
    return removal


def place_stock(act: Act, lot_id: int, *, room: int | None) -> Lot:
    """Put a lot into a room, or say that nobody knows where it lies."""
    if room is not None:
        act.need(Room, room)
    lot = need_lot(act, lot_id)
    return act.change("stock_placed", lot, room=room)


def hold_stock(act: Act, lot_id: int, *, why: str) -> Lot:
    """Hold a lot back: nothing of it is packed, promised or sold until it is released.

    Waste may still be taken out of it. Raises Refused without a reason.
    """
    found = tuple(check_text("why", why, needed=True))
    if found:
        raise Refused(*found)
    return act.change("stock_held", need_lot(act, lot_id), hold=why.strip())


def release_stock(act: Act, lot_id: int) -> Lot:
    """Let a lot go again that was held back."""
    return act.change("stock_released", need_lot(act, lot_id), hold="")


def check_hold(lot: Lot, field: str) -> Iterator[Problem]:
    """That a lot is held back."""
    if lot.hold:
        yield problem("lot_on_hold", field=field, lot=lot.name, why=lot.hold)


def need_lot(act: Act, lot_id: int) -> Lot:
    """The weighed pick or the packs with this id; raises NotFound, or Refused when not weighed."""
    kind = kind_of(lot_id)
    if kind == "pack":
        return act.need(Pack, lot_id)
    if kind != "pick":
        raise NotFound(problem("not_found", kind="lot", id=lot_id))
    pick = act.need(Pick, lot_id)
    if pick.net_mg is None:
        raise Refused(problem("pick_not_weighed", pick=pick.name))
    return pick


def take_from_lot(
    act: Act,
    lot: Lot,
    *,
    amount_mg: int | None = None,
    count: int | None = None,
    happening: str = "stock_taken",
) -> tuple[int, int]:
    """Lower what is left of a lot; gives the mass (mg) and the packs that went.

    What is neither said in mg nor in packs is all that is left. Raises Refused when it is not
    there.
    """
    if isinstance(lot, Pick):
        wanted = lot.left_mg if amount_mg is None else amount_mg
        if count:
            raise Refused(problem("pick_has_no_packs", field="count", lot=lot.name))
        _check_left(act, lot, wanted, lot.left_mg)
        act.change(happening, lot, left_mg=lot.left_mg - wanted)
        return wanted, 0
    packs = lot.left if count is None else count
    if amount_mg is not None and count is None:
        raise Refused(problem("packs_are_counted", field="count", lot=lot.name))
    _check_left(act, lot, packs, lot.left)
    mass = mass_of_packs(act, lot, packs)
    act.change(happening, lot, left=lot.left - packs)
    return mass, packs


def next_weights(act: Act, lot: Lot, packs: int | None) -> list[PackWeight]:
    """The next packs of a lot (all when None) if each was weighed alone; else nothing."""
    return weights_left(act.tx, lot.id)[:packs] if isinstance(lot, Pack) else []


def mass_of_packs(act: Act, lot: Pack, packs: int) -> int:
    """Milligrams in the next packs of a lot: what each was weighed, or all of them alike."""
    weighed = next_weights(act, lot, packs)
    if packs > 0 and len(weighed) == packs:
        return sum(one.net_mg for one in weighed)
    return share_of_packs(lot, packs)


def share_of_packs(lot: Pack, packs: int) -> int:
    """Milligrams in the next packs when all are alike; all of them together are the net mass."""
    return lot.net_mg * lot.left // lot.count - lot.net_mg * (lot.left - packs) // lot.count


def first_day_of(act: Act, lot: Lot) -> str:
    """The farm's day on which a lot came into being."""
    return local_day(lot.picked_at if isinstance(lot, Pick) else lot.packed_on, act.farm.zone)


def say_left(act: Act, lot: Lot) -> str:
    """What is left of a lot, ready for a sentence."""
    if isinstance(lot, Pick):
        return shown_mass(act, lot.left_mg)
    return f"{lot.left} packs" if lot.left != 1 else "1 pack"


def _check_left(act: Act, lot: Lot, wanted: int, left: int) -> None:
    field = "amount_mg" if isinstance(lot, Pick) else "count"
    found: list[Problem] = []
    if left == 0:
        found.append(problem("lot_empty", field=field, lot=lot.name))
    elif wanted <= 0:
        found.append(problem("amount_missing", field=field, lot=lot.name))
    elif wanted > left:
        asked = shown_mass(act, wanted) if isinstance(lot, Pick) else f"{wanted} packs"
        facts = {"lot": lot.name, "left": say_left(act, lot), "wanted": asked}
        found.append(problem("lot_overdrawn", field=field, **facts))
    if found:
        raise Refused(*found)
