"""One ISO week of the farm as values: every figure is worked out here, once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.stages import STAGES
from farmdesk.quantities.times import day_plus, day_start
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.stock_rows import StockRow, stock_row
from farmdesk.reports.week_trade import WeekTrade, read_trade
from farmdesk.reports.week_yields import YieldRow, read_yields
from farmdesk.store import week as asked
from farmdesk.store.lists import lots_on_hand
from farmdesk.store.names import names_of
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

WEEKS_SHOWN = 8
"""Weeks in the chart, the asked one the last."""


@dataclass(frozen=True)
class WeekQuestion:
    """Which week is asked for."""

    week: IsoWeek


@dataclass(frozen=True)
class PickedSpecies:
    """What a species gave in the week, and in the week before."""

    species: str
    picks: int
    net_mg: int
    before_mg: int


@dataclass(frozen=True)
class PickedBatch:
    """What a batch gave in one flush; `batch` is '' for what no bag was named for."""

    species: str
    batch: str
    flush: int | None
    measured_mg: int
    allocated_mg: int

    @property
    def net_mg(self) -> int:
        """Measured and allocated together."""
        return self.measured_mg + self.allocated_mg


@dataclass(frozen=True)
class SaleRow:
    """What one customer got of one product in one unit."""

    customer: str
    product: str
    quantity: Decimal
    unit: str
    mass_mg: int
    total: Decimal


@dataclass(frozen=True)
class WasteRow:
    """Stock that left unsold for one reason; `use` is waste, gift, own or drying."""

    use: str
    reason: str
    species: str
    mass_mg: int
    packs: int


@dataclass(frozen=True)
class DiscardRow:
    """Bags of a species discarded for one reason."""

    reason: str
    species: str
    bags: int
    is_contamination: bool


@dataclass(frozen=True)
class StandingRow:
    """Live bags in a stage and room when the report was made."""

    stage: str
    room: str
    bags: int


@dataclass(frozen=True)
class MadeRow:
    """Batches and blocks of a species inoculated, and blocks opened, in the week."""

    species: str
    batches: int
    blocks: int
    opened: int


@dataclass(frozen=True)
class Invoiced:
    """Invoices issued in the week."""

    count: int
    net: Decimal
    tax: Decimal
    total: Decimal


@dataclass(frozen=True)
class Trend:
    """Net picked of each species in each of the last weeks, mg, oldest week first."""

    weeks: tuple[str, ...]
    species: Mapping[str, tuple[int, ...]]


@dataclass(frozen=True)
class WeekReport:
    """The week's figures. Stock and bags are as they were when the report was made."""

    week: IsoWeek
    terms: FarmTerms
    picked: tuple[PickedSpecies, ...]
    batches: tuple[PickedBatch, ...]
    not_weighed: int
    yields: tuple[YieldRow, ...]
    stock: tuple[StockRow, ...]
    sales: tuple[SaleRow, ...]
    deliveries: int
    invoiced: Invoiced
    waste: tuple[WasteRow, ...]
    discarded: tuple[DiscardRow, ...]
    standing: tuple[StandingRow, ...]
    made: tuple[MadeRow, ...]
    trend: Trend
    trade: WeekTrade

    @property
    def picked_mg(self) -> int:
        """All that was picked and weighed in the week."""
        return sum(one.net_mg for one in self.picked)

    @property
    def picked_before_mg(self) -> int:
        """All that was picked in the week before."""
        return sum(one.before_mg for one in self.picked)

    @property
    def sold_mg(self) -> int:
        """All that was delivered in the week."""
        return sum(one.mass_mg for one in self.sales)

    @property
    def sold_total(self) -> Decimal:
        """What was delivered is worth, before tax."""
        return sum((one.total for one in self.sales), Decimal(0))

    @property
    def stock_mg(self) -> int:
        """All that is on hand."""
        return sum(one.left_mg for one in self.stock)

    def removed_mg(self, *uses: str) -> int:
        """What left unsold for these uses."""
        return sum(one.mass_mg for one in self.waste if one.use in uses)

    @property
    def is_over(self) -> bool:
        """Whether the week had ended when the report was made."""
        return self.terms.today > self.week.sunday


def week_now(reading: Reading, *, now: str | None = None) -> IsoWeek:
    """The week that the farm's day falls in."""
    return IsoWeek.of(read_terms(reading, now).today)


def week_report(reading: Reading, question: WeekQuestion, *, now: str | None = None) -> WeekReport:
    """The week from Monday to Sunday in the farm's zone, as known at `now`."""
    terms, week = read_terms(reading, now), question.week
    start, end = _bounds(week, terms)
    picked = _picked(reading, week, terms)
    by_batch = asked.picked_by_batch(reading, start, end)
    batches = sorted({one.batch for one in by_batch})
    sold = asked.sold_between(reading, week.monday, week.sunday)
    return WeekReport(
        week=week,
        terms=terms,
        picked=picked,
        batches=_picked_batches(reading, by_batch, picked, terms),
        not_weighed=asked.picks_not_weighed(reading, start, end),
        yields=read_yields(reading, batches, end=end, last_day=week.sunday, terms=terms),
        stock=tuple(stock_row(lot, terms) for lot in lots_on_hand(reading)),
        sales=_sales(sold),
        deliveries=len({one.delivery for one in sold}),
        invoiced=_invoiced(asked.invoiced_between(reading, week.monday, week.sunday)),
        waste=_waste(asked.removed_between(reading, start, end), terms),
        discarded=_discarded(asked.discarded_between(reading, start, end), terms),
        standing=_standing(asked.bags_standing(reading), terms),
        made=_made(reading, week, terms),
        trend=_trend(reading, week, terms),
        trade=read_trade(reading, week, terms),
    )


def _bounds(week: IsoWeek, terms: FarmTerms) -> tuple[str, str]:
    """The first instant of the week and the first after it."""
    zone = terms.farm.zone
    return day_start(week.monday, zone), day_start(day_plus(week.sunday, 1), zone)


def _picked(reading: Reading, week: IsoWeek, terms: FarmTerms) -> tuple[PickedSpecies, ...]:
    now = asked.picked_by_species(reading, *_bounds(week, terms))
    before = asked.picked_by_species(reading, *_bounds(week.previous(), terms))
    return tuple(
        PickedSpecies(
            species=terms.species_name(species),
            picks=sum(one.picks for one in now if one.species == species),
            net_mg=sum(one.net_mg for one in now if one.species == species),
            before_mg=sum(one.net_mg for one in before if one.species == species),
        )
        for species in sorted({one.species for one in (*now, *before)})
    )


def _picked_batches(
    reading: Reading,
    found: Sequence[asked.BatchMass],
    picked: Sequence[PickedSpecies],
    terms: FarmTerms,
) -> tuple[PickedBatch, ...]:
    """By batch and flush; what no bag was named for makes each species' sum whole."""
    names = names_of(reading, {one.batch for one in found})
    parts: dict[tuple[str, str, int], list[int]] = {}
    for one in found:
        key = (terms.species_name(one.species), names.get(one.batch, ""), one.flush)
        amounts = parts.setdefault(key, [0, 0])
        amounts[0 if one.how == "measured" else 1] += one.amount_mg
    rows = [PickedBatch(*key, *amounts) for key, amounts in parts.items()]
    for known in picked:
        rest = known.net_mg - sum(row.net_mg for row in rows if row.species == known.species)
        if rest:
            rows.append(PickedBatch(known.species, "", None, 0, rest))
    order = {known.species: at for at, known in enumerate(picked)}
    return tuple(sorted(rows, key=lambda row: (order[row.species], row.batch == "", row.batch)))


def _sales(sold: Iterable[asked.Sold]) -> tuple[SaleRow, ...]:
    sums: dict[tuple[str, str, str], tuple[Decimal, int, Decimal]] = {}
    for one in sold:
        key = (one.customer, one.product, one.unit)
        quantity, mass_mg, total = sums.get(key, (Decimal(0), 0, Decimal(0)))
        sums[key] = (
            quantity + Decimal(one.quantity),
            mass_mg + one.mass_mg,
            total + Decimal(one.total),
        )
    return tuple(
        SaleRow(customer, product, quantity, unit, mass_mg, total)
        for (customer, product, unit), (quantity, mass_mg, total) in sums.items()
    )


def _invoiced(found: Sequence[tuple[str, str, str]]) -> Invoiced:
    net, tax, total = (sum((Decimal(row[at]) for row in found), Decimal(0)) for at in range(3))
    return Invoiced(len(found), net, tax, total)


def _waste(found: Iterable[asked.Removed], terms: FarmTerms) -> tuple[WasteRow, ...]:
    return tuple(
        WasteRow(one.use, one.reason, terms.species_name(one.species), one.mass_mg, one.packs)
        for one in found
    )


def _discarded(found: Iterable[asked.Discarded], terms: FarmTerms) -> tuple[DiscardRow, ...]:
    return tuple(
        DiscardRow(
            one.reason or tr("No reason given"),
            terms.species_name(one.species),
            one.bags,
            one.is_contamination,
        )
        for one in found
    )


def _standing(found: Iterable[asked.Standing], terms: FarmTerms) -> tuple[StandingRow, ...]:
    rows = [StandingRow(one.stage, terms.room_name(one.room), one.bags) for one in found]
    return tuple(sorted(rows, key=lambda row: (STAGES.index(row.stage), row.room)))


def _made(reading: Reading, week: IsoWeek, terms: FarmTerms) -> tuple[MadeRow, ...]:
    made = {one.species: one for one in asked.inoculated_between(reading, week.monday, week.sunday)}
    opened = {one.species: one for one in asked.opened_between(reading, week.monday, week.sunday)}
    none = asked.Counted(0, 0, 0)
    return tuple(
        MadeRow(
            terms.species_name(species),
            made.get(species, none).batches,
            made.get(species, none).blocks,
            opened.get(species, none).blocks,
        )
        for species in sorted({*made, *opened})
    )


def _trend(reading: Reading, week: IsoWeek, terms: FarmTerms) -> Trend:
    weeks = [week.plus(back - WEEKS_SHOWN + 1) for back in range(WEEKS_SHOWN)]
    sums: dict[int, list[int]] = {}
    for at, one in enumerate(weeks):
        for found in asked.picked_by_species(reading, *_bounds(one, terms)):
            sums.setdefault(found.species, [0] * WEEKS_SHOWN)[at] += found.net_mg
    return Trend(
        tuple(str(one) for one in weeks),
        {terms.species_name(species): tuple(mg) for species, mg in sorted(sums.items())},
    )
