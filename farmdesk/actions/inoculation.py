"""Inoculation: spawn and blocks become a batch and its bags, in one act."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.lab import DISCARDED, say_overdrawn, take_spawn
from farmdesk.actions.spawn_shares import SpawnUse, share_spawn
from farmdesk.arithmetic.incubation import expect_ready
from farmdesk.arithmetic.limits import round_half_up
from farmdesk.arithmetic.portions import split_evenly
from farmdesk.arithmetic.substrate import find_dry_mass
from farmdesk.domain.bags import Bag, Batch, Link
from farmdesk.domain.catalogue import Person, Room, Species, Strain
from farmdesk.domain.codes import bag_name, name_for
from farmdesk.domain.lab import HeatRun, Spawn
from farmdesk.domain.mixing import NamedSpawn
from farmdesk.domain.stages import INCUBATING, VOID
from farmdesk.errors import Problem, Refused, problem, refuse_any
from farmdesk.quantities.mass import HEAVIEST_MG
from farmdesk.quantities.times import day_start
from farmdesk.store.lab import blocks_taken_from

__all__ = ["SpawnUse", "inoculate", "name_spawn", "void_bags"]

MOST_BAGS = 2_000
# Grain spawn holds about 45 % water: common practice, no source.
SPAWN_MOISTURE_PERCENT = Decimal(45)
PLANNED, FAILED = "planned", "failed"


@dataclass(frozen=True)
class _Order:
    """What was asked, with everything it names looked up."""

    strain: Strain
    species: Species
    run: HeatRun | None
    spawn: Mapping[int, Spawn]
    uses: Sequence[SpawnUse]
    bags: int
    printed: int
    day: str

    def wanted_mg(self, spawn: int) -> int:
        return sum(use.amount_mg for use in self.uses if use.spawn == spawn)


def inoculate(  # noqa: PLR0913 - the fields of the inoculation form, each by name
    act: Act,
    *,
    strain: int,
    spawn: Sequence[SpawnUse],
    bags: int,
    run: int | None = None,
    printed: int | None = None,
    room: int | None = None,
    inoculated_on: str | None = None,
    block_mg: int | None = None,
    dry_mg: int | None = None,
    person: int | None = None,
    note: str = "",
) -> Batch:
    """Make a batch and its bags from named spawn, and take the spawn from what is left.

    `printed` labels beyond `bags` become void bags, so that their codes answer. Masses default
    to the heat run's block and moisture. Raises Refused with what cannot be; Asked when the run
    failed, has no blocks left, or the spawn is of another strain or past its day.
    """
    known = act.need(Strain, strain)
    order = _Order(
        strain=known,
        species=act.need(Species, known.species),
        run=act.need(HeatRun, run) if run is not None else None,
        spawn={use.spawn: act.need(Spawn, use.spawn) for use in spawn},
        uses=spawn,
        bags=bags,
        printed=bags if printed is None else printed,
        day=inoculated_on or act.day,
    )
    texts = check_text("note", note, needed=False, long=True)
    refuse_any([*_check_count(order), *_check_days(act, order), *texts])
    refuse_any(_check_spawn(act, order))
    if room is not None:
        act.need(Room, room)
    if person is not None:
        act.need(Person, person)
    shares = share_spawn(spawn, bags)
    act.ask(*_questions(act, order))
    batch = act.make("batch_inoculated", _plan_batch(act, order, block_mg, dry_mg, person, note))
    _make_bags(act, order, batch, room, shares)
    if run is not None:
        _forget_named(act, run)
    return batch


def name_spawn(act: Act, run: int, uses: Sequence[SpawnUse]) -> HeatRun:
    """Note which spawn was scanned for a run's blocks, so that a desk that ends loses nothing.

    Nothing is taken from the spawn; `inoculate` does that and forgets the note. It takes the
    place of what was noted before; the same again changes nothing.
    """
    known = act.need(HeatRun, run)
    for use in uses:
        act.need(Spawn, use.spawn)
    noted = [
        SpawnUse(one.spawn, one.amount_mg, one.first, one.last)
        for one in act.tx.all(NamedSpawn, run=run)
    ]
    if noted == list(uses):
        return known
    _forget_named(act, run)
    act.make_many(
        "spawn_named",
        [
            NamedSpawn(act.next_id("named_spawn"), run, use.spawn, use.amount_mg, use.first,
                       use.last)
            for use in uses
        ],
    )  # fmt: skip
    return known


def _forget_named(act: Act, run: int) -> None:
    for one in act.tx.all(NamedSpawn, run=run):
        act.take_away("named_spawn_dropped", one)


def _check_count(order: _Order) -> Iterator[Problem]:
    if not 1 <= order.bags <= MOST_BAGS:
        yield problem("bags_out_of_range", field="bags", bags=order.bags, most=f"{MOST_BAGS:,}")
    elif not order.bags <= order.printed <= MOST_BAGS:
        yield problem(
            "printed_out_of_range",
            field="printed",
            printed=order.printed,
            bags=order.bags,
            most=f"{MOST_BAGS:,}",
        )


def _check_days(act: Act, order: _Order) -> Iterator[Problem]:
    day = order.day
    if day > act.day:
        yield problem("day_in_future", field="inoculated_on", day=day, today=act.day)
    if order.run is not None and day < order.run.run_on:
        yield problem(
            "inoculated_before_run",
            field="inoculated_on",
            day=day,
            run=order.run.name,
            run_on=order.run.run_on,
        )
    for one in order.spawn.values():
        if day < one.made_on:
            yield problem(
                "inoculated_before_spawn",
                field="inoculated_on",
                day=day,
                spawn=one.name,
                made_on=one.made_on,
            )


def _check_spawn(act: Act, order: _Order) -> Iterator[Problem]:
    if order.run is not None and order.run.status == PLANNED:
        yield problem("run_not_weighed", field="run", run=order.run.name)
    for one in order.spawn.values():
        wanted = order.wanted_mg(one.id)
        if one.status == DISCARDED:
            yield problem("spawn_discarded", field="spawn", spawn=one.name)
        elif wanted > one.left_mg:
            yield say_overdrawn(act, one, wanted)


def _questions(act: Act, order: _Order) -> Iterator[Problem]:
    run = order.run
    if run is not None and run.status == FAILED:
        yield problem("run_failed", run=run.name)
    if run is not None and run.blocks:
        left = run.blocks - blocks_taken_from(act.tx, run.id)
        if order.bags > left:
            yield problem("run_has_fewer_blocks", run=run.name, left=max(left, 0), bags=order.bags)
    for one in order.spawn.values():
        if one.strain != order.strain.id:
            yield problem("spawn_of_other_strain", spawn=one.name, strain=order.strain.name)
        if one.use_by is not None and one.use_by < order.day:
            yield problem("spawn_past_use_by", spawn=one.name, use_by=one.use_by)


def _plan_batch(
    act: Act,
    order: _Order,
    block_mg: int | None,
    dry_mg: int | None,
    person: int | None,
    note: str,
) -> Batch:
    block = block_mg if block_mg is not None else (order.run.block_mg if order.run else 0)
    if not 0 < block <= HEAVIEST_MG:
        raise Refused(problem("block_mass_missing", field="block_mg"))
    dry = find_dry_mass(block, _moisture_of(order)) if dry_mg is None else dry_mg
    if not 0 < dry <= block:
        raise Refused(problem("dry_mass_wrong", field="dry_mg"))
    spawn_mg = sum(use.amount_mg for use in order.uses)
    window = expect_ready(
        order.day,
        low_days=order.species.incubation_days_low,
        high_days=order.species.incubation_days_high,
    )
    batch_id = act.next_id("batch")
    return Batch(
        id=batch_id,
        name=name_for(
            "batch", act.running("batch", batch_id), order.species.code, order.strain.code
        ),
        strain=order.strain.id,
        run=order.run.id if order.run else None,
        inoculated_on=order.day,
        made=order.bags,
        block_mg=block,
        dry_mg=dry,
        spawn_dry_mg=find_dry_mass(
            round_half_up(Decimal(spawn_mg) / order.bags), SPAWN_MOISTURE_PERCENT
        ),
        ready_from=window.from_day,
        ready_to=window.to_day,
        person=act.who.person if person is None else person,
        note=note.strip(),
    )


def _moisture_of(order: _Order) -> Decimal:
    """Measured moisture of the run, else the recipe's, else the species' usual one, percent."""
    if order.run is None:
        return order.species.moisture_percent
    measured = order.run.measured_percent
    return order.run.moisture_percent if measured is None else measured


def _make_bags(
    act: Act, order: _Order, batch: Batch, room: int | None, shares: Mapping[tuple[int, int], int]
) -> None:
    first = _reserve_bags(act, order.printed)
    since = act.happened_at
    if batch.inoculated_on != act.day:
        since = day_start(batch.inoculated_on, act.farm.zone)
    room_since = since if room is not None else None
    act.make_many(
        "bag_made",
        (
            Bag(first + at, batch.id, at + 1, INCUBATING, since, room, room_since)
            for at in range(order.bags)
        ),
    )
    act.make_many(
        "bag_voided",
        (Bag(first + at, batch.id, at + 1, VOID, since) for at in range(order.bags, order.printed)),
    )
    if order.run is not None:
        amount = batch.block_mg * order.bags
        act.link("block_inoculated", parent=order.run.id, child=batch.id, amount_mg=amount)
    act.make_many(
        "bag_filled",
        (Link(first + at, batch.id, batch.block_mg) for at in range(order.bags)),
    )
    act.make_many(
        "spawn_used",
        (
            Link(first + number - 1, spawn, amount, "allocated")
            for (spawn, number), amount in shares.items()
        ),
    )
    for one in order.spawn.values():
        take_spawn(act, one, order.wanted_mg(one.id))


def void_bags(act: Act, bag_ids: Sequence[int]) -> list[Bag]:
    """Void bags whose labels were printed but which were never made.

    The spawn thought to be in them went into the other bags of the batch, or, when a whole
    range is voided, was never taken. Raises Refused when a bag has been worked with.
    """
    voided: dict[int, list[Bag]] = {}
    for bag_id in dict.fromkeys(bag_ids):
        bag = act.need(Bag, bag_id)
        voided.setdefault(bag.batch, []).append(bag)
    return [bag for batch, bags in voided.items() for bag in _void_in_batch(act, batch, bags)]


def _void_in_batch(act: Act, batch_id: int, bags: Sequence[Bag]) -> list[Bag]:
    batch = act.need(Batch, batch_id)
    refuse_any(_check_unused(batch, bags))
    for spawn, freed_mg in _empty_bags(act, batch_id, bags).items():
        _pass_on(act, batch_id, spawn, freed_mg)
    if batch.run is not None:
        found = act.tx.first(Link, child=batch_id, parent=batch.run)
        if found is not None:
            left_mg = found.amount_mg - batch.block_mg * len(bags)
            act.change("block_inoculated", found, amount_mg=left_mg)
    act.change("batch_corrected", batch, made=batch.made - len(bags))
    return act.change_many(
        "bag_voided", bags, stage=VOID, stage_since=act.happened_at, room=None, room_since=None
    )


def _check_unused(batch: Batch, bags: Sequence[Bag]) -> Iterator[Problem]:
    for bag in bags:
        if bag.stage != INCUBATING:
            name = bag_name(batch.name, bag.number)
            yield problem("bag_not_voidable", bag=name, stage=bag.stage)
    if len(bags) >= batch.made:
        yield problem("whole_batch_voided", batch=batch.name)


def _empty_bags(act: Act, batch_id: int, bags: Sequence[Bag]) -> dict[int, int]:
    """Take away what was recorded to be in these bags; spawn by its id, mg."""
    freed: dict[int, int] = {}
    for bag in bags:
        for link in act.tx.all(Link, child=bag.id):
            act.take_away("bag_emptied", link)
            if link.parent != batch_id:
                freed[link.parent] = freed.get(link.parent, 0) + link.amount_mg
    return freed


def _pass_on(act: Act, batch_id: int, spawn: int, freed_mg: int) -> None:
    """Share what was thought to be in voided bags among those that got the same spawn."""
    others = [
        one for one in act.tx.all(Link, parent=spawn) if _is_in_batch(act, one.child, batch_id)
    ]
    if not others:
        take_spawn(act, act.need(Spawn, spawn), -freed_mg)
        return
    for one, more in zip(others, split_evenly(freed_mg, len(others)), strict=True):
        act.change("spawn_used", one, amount_mg=one.amount_mg + more)


def _is_in_batch(act: Act, child: int, batch_id: int) -> bool:
    bag = act.tx.get(Bag, child)
    return bag is not None and bag.batch == batch_id


def _reserve_bags(act: Act, count: int) -> int:
    """The first of so many ids in a row."""
    first = act.next_id("bag")
    act.tx.set_counter("bag", first + count, is_new=False)
    return first
