"""The lab and the mixing floor of the demo farm: cultures, spawn, heat runs, inoculation."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from mill_blocks import SHORT_RUN_SHARE, Block, plan_blocks
from mill_catalogue import LOFT, Mill
from mill_diary import Diary

from farmdesk.actions.base import Act
from farmdesk.actions.heat_runs import Probe, plan_run, record_heat, record_run
from farmdesk.actions.inoculation import SpawnUse, inoculate, void_bags
from farmdesk.actions.lab import discard_lab, register_culture, register_spawn
from farmdesk.actions.labelling import record_printing
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Recipe
from farmdesk.domain.lab import Culture, HeatRun, Spawn

BAG_STOCK, CRATE_STOCK = "roll-57x32", "roll-100x50"
SPAWN_BAG_MG = 2_300_000
_JAR_MG = 900_000
_RECIPES = {
    "OY": "Pellets and soy hulls",
    "LM": "Sawdust and rice bran",
    "SH": "Pellets, light bran",
    "MA": "Maitake mix",
    "CH": "Pellets and bran",
    "KO": "Pellets and bran",
}
PLAN: tuple[tuple[tuple[str, int], ...], ...] = (
    (("OY02", 24), ("SH01", 20)),
    (("OY01", 24), ("LM01", 18)),
    (("OY02", 22), ("SH01", 20)),
    (("OY01", 24), ("KO01", 18)),
    (("OY02", 22), ("CH01", 20)),
    (("LM01", 20), ("SH01", 20)),
    (("OY02", 24), ("MA01", 14)),
    (("OY02", 24), ("LM01", 18)),
    (("OY02", 22), ("SH01", 20)),
    (("KO01", 20), ("CH01", 20)),
    (("OY02", 26), ("LM01", 18)),
    (("OY02", 24), ("SH01", 18)),
    (("OY01", 22), ("CH01", 20)),
    (("LM01", 20), ("KO01", 20)),
    (("OY01", 24), ("SH01", 18)),
    (("OY01", 24), ("MA01", 14)),
    (("OY01", 22), ("LM01", 20)),
    (("KO01", 18), ("CH01", 22)),
    (("OY01", 24), ("LM01", 18)),
    (("OY01", 22), ("SH01", 20)),
    (("OY01", 24), ("KO01", 20)),
    (("LM01", 20), ("CH01", 20)),
    (("OY01", 24), ("KO01", 16)),
    (("OY01", 24), ("LM01", 18)),
    (("OY01", 22), ("SH01", 20)),
    (("OY01", 24), ("LM01", 18)),
)
"""What is inoculated on each Tuesday: strain and bags."""
SHORT_RUN = (12, "OY01")
"""The week and strain whose heat run was too short."""
_SPLITS = (4, 9, 13, 16, 20, 23)
"""Weeks in which two bags of spawn are kept apart by ranges of bags; else they are mixed."""


@dataclass(frozen=True)
class Load:
    """A heated load waiting to be inoculated."""

    strain: str
    bags: int
    run: HeatRun


class Lab:
    """Keeps spawn coming, heats on Mondays and inoculates on Tuesdays."""

    def __init__(self, diary: Diary, mill: Mill) -> None:
        self.diary = diary
        self.mill = mill
        self.chance = diary.chance("lab")
        self.week = 0
        self.loads: list[Load] = []
        self._plates: dict[str, Culture] = {}
        self._slants: dict[str, Culture] = {}
        self._jars: dict[str, list[Spawn]] = {}
        self._spawn: dict[str, list[Spawn]] = {name: [] for name in mill.strains}

    def stock_up(self) -> None:
        """The first day: slants and spawn bought in, plates made from the slants."""
        for name in sorted({strain for week in PLAN for strain, _ in week}):
            self._slants[name] = self._culture(name, "slant", None)
            self._transfer(name)
            self._buy_spawn(name)

    def tend(self) -> None:
        """The lab afternoon: old spawn out, new plates, jars, and bags of spawn for what comes."""
        self._throw_out_old()
        for name in self._slants:
            if self.week % 6 == 3:
                self._transfer(name)
            short = self._wanted_mg(name, self.week, 7) - sum(
                one.left_mg for one in self._spawn[name]
            )
            if short > 0:
                self._grow_spawn(name, short)

    def heat(self) -> None:
        """Write down how the loads of the day were mixed and heated, for the next morning."""
        self.diary.wait_until("16:30")
        for strain, bags in PLAN[self.week]:
            run = self._mix(strain, bags + self.chance.randint(0, 2))
            start = _STARTS[len(self.loads)]
            self._heat(run, start, is_short=(self.week, strain) == SHORT_RUN)
            self.loads.append(Load(strain, bags, run))

    def leave_run_held(self) -> None:
        """A load whose probe never got hot enough is held until somebody decides."""
        run = self._mix("OY01", 24)
        self.diary.wait_until("15:45")
        readings = [
            Probe(self.diary.instant("14:20"), Decimal("108.5"), "middle of the load"),
            Probe(self.diary.instant("15:20"), Decimal("116.0"), "middle of the load"),
        ]
        self.diary.do(
            lambda act: record_heat(
                act,
                run.id,
                status="held",
                started_at=self.diary.instant("12:10"),
                hot_at=self.diary.instant("14:05"),
                ended_at=self.diary.instant("15:25"),
                readings=readings,
            ),
            person="silas",
            station="mixing floor",
        )

    def leave_run_mixed(self) -> None:
        """A load that is mixed and waits for the steriliser."""
        self._mix("KO01", 18)

    def inoculate(self) -> list[Block]:
        """Make the batches of yesterday's loads; gives the fates of their bags."""
        blocks: list[Block] = []
        for load in self.loads:
            blocks += self._inoculate(load)
        self.loads = []
        self.week += 1
        return blocks

    def _inoculate(self, load: Load) -> list[Block]:
        species = self.mill.species[load.strain[:2]]
        uses = self._take(load)
        printed = load.bags + self.chance.choice((0, 0, 0, 1, 2))

        def make(act: Act) -> tuple[Batch, list[Bag]]:
            batch = inoculate(
                act,
                strain=self.mill.strains[load.strain],
                run=load.run.id,
                spawn=uses,
                bags=load.bags,
                printed=printed,
                room=self.mill.rooms[LOFT],
            )
            bags = act.tx.all(Bag, batch=batch.id)
            record_printing(act, [bag.id for bag in bags], [1] * len(bags), BAG_STOCK)
            return batch, bags[: load.bags]

        self.diary.wait_until("09:10")
        batch, bags = self.diary.do(make, person="wren", station="lab")
        bad = SHORT_RUN_SHARE if (self.week, load.strain) == SHORT_RUN else None
        if self.week in (6, 18):
            torn = bags.pop()
            self.diary.do(lambda act: void_bags(act, [torn.id]), person="wren", station="lab")
        return plan_blocks(self.chance, species, batch, bags, bad_share=bad)

    def _take(self, load: Load) -> list[SpawnUse]:
        """Spawn for a load: of one bag when it holds enough, else of several, split or mixed."""
        recipe_mg = load.run.block_mg * load.bags
        rate = self.mill.species[load.strain[:2]].spawn_percent
        wanted = int(recipe_mg * rate / 100)
        parts: list[tuple[Spawn, int]] = []
        stock = sorted(self._spawn[load.strain], key=lambda one: one.made_on)
        for one in stock:
            amount = min(one.left_mg, wanted - sum(mg for _, mg in parts))
            if amount > 0:
                parts.append((one, amount))
        self._spawn[load.strain] = [
            self._less(one, sum(mg for part, mg in parts if part.id == one.id)) for one in stock
        ]
        if self.week not in _SPLITS or len(parts) == 1:
            return [SpawnUse(one.id, amount) for one, amount in parts]
        return _split(parts, load.bags)

    def _less(self, spawn: Spawn, amount: int) -> Spawn:
        return Spawn(**{**vars(spawn), "left_mg": spawn.left_mg - amount})

    def _mix(self, strain: str, blocks: int) -> HeatRun:
        name = _RECIPES[strain[:2]]
        lots = {name: f"{letter}{self.chance.randint(110, 190)}" for name, letter in _LETTERS}

        def mix(act: Act) -> HeatRun:
            recipe = act.tx.all(Recipe, name=name)[0]
            plan = plan_run(act.tx, recipe.id, blocks)
            weighed = {
                one.ingredient: _weigh(one.as_is_mg * self.chance.uniform(0.996, 1.004))
                for one in plan.ingredients
            }
            known = {one.ingredient: lots[one.name] for one in plan.ingredients if one.name in lots}
            return record_run(act, recipe=recipe.id, blocks=blocks, weighed=weighed, lots=known)

        return self.diary.do(mix, person="silas", station="mixing floor")

    def _heat(self, run: HeatRun, start: str, *, is_short: bool) -> None:
        """Up to temperature in 80 to 100 minutes and held for 2.5 hours, or barely one."""
        hours, minutes = (int(one) for one in start.split(":"))
        began = hours * 60 + minutes
        hot = began + self.chance.randint(80, 100)
        end = hot + (55 if is_short else self.chance.randint(150, 156))
        top = 1145 if is_short else self.chance.randint(1208, 1222)
        probes = [
            Probe(self._at(hot + step), Decimal(top + self.chance.randint(-3, 3)) / 10, place)
            for step, place in ((10, "middle of the load"), (45, "bottom, back"))
        ]
        measured = None
        if self.chance.random() < 0.5:
            measured = run.moisture_percent + Decimal(self.chance.randint(-6, 6)) / 10
        self.diary.do(
            lambda act: record_heat(
                act,
                run.id,
                status="passed",
                started_at=self._at(began),
                hot_at=self._at(hot),
                ended_at=self._at(end),
                readings=probes,
                measured_percent=measured,
            ),
            person="silas",
            station="mixing floor",
        )

    def _at(self, minute: int) -> str:
        return self.diary.instant(f"{minute // 60:02d}:{minute % 60:02d}")

    def _culture(self, name: str, form: str, parent: int | None) -> Culture:
        return self.diary.do(
            lambda act: register_culture(
                act,
                strain=self.mill.strains[name],
                form=form,
                parent=parent,
                origin="" if parent else "bought in",
                transfers=0 if parent else 1,
            ),
            person="wren",
            station="lab",
        )

    def _transfer(self, name: str) -> None:
        """A plate from the slant, and from that plate the one that jars are made from."""
        old = self._plates.get(name)
        first = self._culture(name, "plate", self._slants[name].id)
        self._plates[name] = self._culture(name, "plate", first.id)
        if old is not None:
            self._discard(old.id, "dried out")

    def _buy_spawn(self, name: str) -> None:
        wanted = self._wanted_mg(name, 0, 5)
        bags = max(1, -(-wanted // SPAWN_BAG_MG))
        self._spawn[name] += self._register(
            name, bags, SPAWN_BAG_MG, None, origin="bought in", generation=2
        )

    def _grow_spawn(self, name: str, short: int) -> None:
        """Bags from a jar; a jar from the plate when there is none left to make them from."""
        jars = [one for one in self._jars.get(name, []) if one.left_mg >= 300_000]
        if not jars:
            jars = self._register(name, 2, _JAR_MG, self._plates[name].id)
            self._jars[name] = jars
        bags = min(6, max(1, -(-short // SPAWN_BAG_MG)))
        is_third = name == "KO01" and self.week > 8
        second = 1 if is_third else bags
        made = self._register(name, second, SPAWN_BAG_MG, jars[0].id, parent_mg=60_000 * second)
        self._jars[name] = [self._less(jars[0], 60_000 * second), *jars[1:]]
        if is_third:
            third = self._register(name, bags, SPAWN_BAG_MG, made[0].id, parent_mg=150_000 * bags)
            made = [*third, self._less(made[0], 150_000 * bags)]
        self._spawn[name] += made

    def _register(
        self,
        name: str,
        bags: int,
        each_mg: int,
        parent: int | None,
        *,
        parent_mg: int = 0,
        origin: str = "",
        generation: int = 1,
    ) -> list[Spawn]:
        use_by = (self.diary.day + timedelta(75)).isoformat()

        def register(act: Act) -> list[Spawn]:
            made = register_spawn(
                act,
                strain=self.mill.strains[name],
                bags=bags,
                each_mg=each_mg,
                parent=parent,
                parent_mg=parent_mg,
                grain="rye",
                use_by=use_by,
                origin=origin,
                generation=generation,
                transfers=2 if parent is None else 0,
            )
            record_printing(act, [one.id for one in made], [1] * len(made), BAG_STOCK)
            return made

        return self.diary.do(register, person="wren", station="lab")

    def _wanted_mg(self, name: str, first: int, weeks: int) -> int:
        """Spawn that the plan needs of a strain in these weeks, mg."""
        rate = self.mill.species[name[:2]].spawn_percent
        bags = sum(
            count for week in PLAN[first : first + weeks] for one, count in week if one == name
        )
        return int(bags * 2_500_000 * rate / 100)

    def _throw_out_old(self) -> None:
        today = self.diary.day.isoformat()
        for shelf in (self._spawn, self._jars):
            for name, stock in shelf.items():
                kept = [one for one in stock if one.left_mg]
                for one in kept:
                    if (one.use_by or "") <= today:
                        self._discard(one.id, "past its day")
                shelf[name] = [one for one in kept if (one.use_by or "") > today]

    def _discard(self, thing: int, why: str) -> None:
        self.diary.do(lambda act: discard_lab(act, thing, why), person="wren", station="lab")


_STARTS = ("06:40", "11:50")
_LETTERS = (("Oak pellets", "P"), ("Wheat bran", "B"), ("Soy hulls", "S"), ("Rice bran", "R"))


def _weigh(mg: float) -> int:
    """What the floor scale shows: to 10 g."""
    return max(1, round(mg / 10_000)) * 10_000


def _split(parts: list[tuple[Spawn, int]], bags: int) -> list[SpawnUse]:
    """Each bag of spawn for its own range of bags, as many as its share of the whole."""
    total = sum(amount for _, amount in parts)
    uses = []
    first, so_far = 1, 0
    for spawn, amount in parts:
        so_far += amount
        last = round(bags * so_far / total)
        if last >= first:
            uses.append(SpawnUse(spawn.id, amount, first, last))
            first = last + 1
    return uses
