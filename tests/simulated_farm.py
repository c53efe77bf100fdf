"""A farm whose truth is known: batches are drawn from a crop and written into a real database."""

from __future__ import annotations

import random
from dataclasses import dataclass

from farmdesk.actions.base import Act
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Reason, Species, Strain
from farmdesk.domain.harvest import Pick
from farmdesk.quantities.times import day_plus

INCUBATION, WAITS, SHARES, KG = (17.0, 2.0), ((9.5, 1.2), (11.0, 1.2)), (0.97, 0.9), (0.45, 0.22)
LATE_DAYS, RICH, CLEAN = (2.0, 1.5, 1.5), 0.15, 0.93
DRY_MG = 950_000


@dataclass(frozen=True)
class Grown:
    """A bag's true days; the last is the day of its end."""

    colonised_on: str | None
    opened_on: str | None
    picks: tuple[tuple[str, int], ...]
    ended_on: str


def grow_farm(act: Act, *, today: str, weeks: int, bags: int, seed: int) -> None:
    """Weekly batches of oyster up to today, as they stand today."""
    chance = random.Random(seed)
    species = act.tx.first(Species, code="OY")
    assert species is not None
    strain = act.tx.all(Strain, species=species.id)[0].id
    for back in range(weeks, 0, -1):
        began = day_plus(today, -7 * back)
        grown = _grow_batch(chance, began, bags)
        batch = act.make("batch_inoculated", Batch(
            act.next_id("batch"), f"OY01-{9000 - back:04d}", strain, None, began, bags,
            2_500_000, DRY_MG))  # fmt: skip
        for number, one in enumerate(grown, start=1):
            _write_bag(act, (batch.id, species.id), number, began, one, today)


def _grow_batch(chance: random.Random, began: str, bags: int) -> list[Grown]:
    late = [chance.gauss(0, days) for days in LATE_DAYS]
    rich = chance.lognormvariate(-(RICH**2) / 2, RICH)
    return [_grow_bag(chance, began, late, rich) for _ in range(bags)]


def _grow_bag(chance: random.Random, began: str, late: list[float], rich: float) -> Grown:
    if chance.random() > CLEAN:
        return Grown(None, None, (), day_plus(began, max(2, round(chance.gauss(10, 4)))))
    at = max(5, round(chance.gauss(*INCUBATION) + late[0]))
    colonised_on = day_plus(began, at)
    at += 1
    opened_on, picks = day_plus(began, at), []
    for flush, (mean, sd) in enumerate(WAITS):
        if chance.random() > SHARES[flush]:
            break
        at += max(2, round(chance.gauss(mean, sd) + late[flush + 1]))
        kg = KG[flush] * DRY_MG / 1e6 * rich * max(0.1, chance.gauss(1, 0.25))
        picks.append((day_plus(began, at), round(kg * 1e6)))
    return Grown(colonised_on, opened_on, tuple(picks), day_plus(began, at + 25))


def _write_bag(
    act: Act, about: tuple[int, int], number: int, began: str, one: Grown, today: str
) -> None:
    batch, species = about
    picks = [pick for pick in one.picks if pick[0] < today]
    colonised_on = one.colonised_on if one.colonised_on and one.colonised_on < today else None
    opened_on = one.opened_on if one.opened_on and one.opened_on < today else None
    if one.ended_on < today:
        stage, since = ("spent" if one.colonised_on else "discarded"), one.ended_on
    elif picks:
        stage, since = "resting", picks[-1][0]
    elif opened_on:
        stage, since = "fruiting", opened_on
    elif colonised_on:
        stage, since = "colonised", colonised_on
    else:
        stage, since = "incubating", began
    mould = next(r.id for r in act.tx.all(Reason) if r.contamination)
    bag = act.make("bag_made", Bag(
        act.next_id("bag"), batch, number, stage, f"{since}T12:00:00Z",
        colonised_on=colonised_on, opened_on=opened_on, flush=len(picks),
        picked_on=picks[-1][0] if picks else None,
        reason=mould if stage == "discarded" else None))  # fmt: skip
    for flush, (day, mg) in enumerate(picks, start=1):
        pick = act.make("pick_weighed", _pick(act, species, flush, (day, mg)))
        act.link("bag_share_weighed", parent=bag.id, child=pick.id, amount_mg=mg,
                 how="measured", flush=flush)  # fmt: skip


def _pick(act: Act, species: int, flush: int, given: tuple[str, int]) -> Pick:
    number, (day, mg) = act.next_id("pick"), given
    return Pick(
        number, f"P-OY-{act.running('pick', number):05d}", species, flush=flush,
        picked_at=f"{day}T12:00:00Z", gross_mg=mg, tare_mg=0, net_mg=mg, status="closed",
    )  # fmt: skip
