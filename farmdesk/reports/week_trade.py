"""The week beside other weeks and the year so far, and what of it was sold, where and at what."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.arithmetic.balance import LotAmounts, SellThrough, measure_sell_through
from farmdesk.paper.tables import Table
from farmdesk.quantities.times import day_plus, day_start
from farmdesk.quantities.weeks import IsoWeek, weeks_in_year
from farmdesk.reports.farm_terms import FarmTerms
from farmdesk.reports.margins import margins_table
from farmdesk.reports.order_fill import fill_table
from farmdesk.reports.sum_question import SumQuestion
from farmdesk.store import week as asked
from farmdesk.store.transaction import Reading
from farmdesk.store.week_trade import TradeLine, credited_between, lines_sold

WEEKS_SHOWN = 8


@dataclass(frozen=True)
class SpanFigures:
    """What happened from a day to another, both counted; money before tax, masses in mg."""

    picked_mg: int
    sold_mg: int
    revenue: Decimal
    credited: Decimal
    wasted_mg: int
    given_mg: int
    own_mg: int
    drying_mg: int
    blocks_made: int
    blocks_opened: int
    bags_discarded: int
    bags_contaminated: int

    @property
    def has_any(self) -> bool:
        """Whether anything at all is known of these days."""
        return any(vars(self).values())

    @property
    def earned(self) -> Decimal:
        """Revenue less what was credited in the same days."""
        return self.revenue - self.credited


@dataclass(frozen=True)
class SoldThrough:
    """Of one species in the week: picked, sold, wasted, given away, and the shares sold of it."""

    species: str
    picked_mg: int
    sold_mg: int
    wasted_mg: int
    given_mg: int
    through: SellThrough


@dataclass(frozen=True)
class ChannelSales:
    """What one channel took of one product in the week, and for how much in the week before."""

    channel: str
    product: str
    customers: int
    mass_mg: int
    total: Decimal
    before: Decimal


@dataclass(frozen=True)
class WeekTrade:
    """The week, the one before, the same week a year ago, and both years up to it."""

    now: SpanFigures
    before: SpanFigures
    year_ago: SpanFigures
    year: SpanFigures
    last_year: SpanFigures
    sold_through: tuple[SoldThrough, ...]
    channels: tuple[ChannelSales, ...]
    fill: Table
    margins: Table
    weeks: tuple[str, ...]
    by_channel: Mapping[str, tuple[Decimal, ...]]


def read_trade(reading: Reading, week: IsoWeek, terms: FarmTerms) -> WeekTrade:
    """The week's trade and comparisons; a year is the ISO year up to the week."""
    ago = same_week_before(week)
    weeks = [week.plus(back - WEEKS_SHOWN + 1) for back in range(WEEKS_SHOWN)]
    lines = lines_sold(reading, weeks[0].monday, week.sunday)
    this = [one for one in lines if one.day >= week.monday]
    last = [one for one in lines if week.previous().monday <= one.day < week.monday]

    def span(first: str, until: str) -> SpanFigures:
        return _read_span(reading, first, until, terms)

    now = span(week.monday, week.sunday)
    return WeekTrade(
        now=now,
        before=span(week.previous().monday, week.previous().sunday),
        year_ago=span(ago.monday, ago.sunday),
        year=span(IsoWeek(week.year, 1).monday, week.sunday),
        last_year=span(IsoWeek(ago.year, 1).monday, ago.sunday),
        sold_through=_sold_through(reading, week, this, terms),
        channels=tuple(_channels(this, last)),
        fill=fill_table(reading, week.monday, week.sunday),
        margins=margins_table(
            reading, SumQuestion("channel", None, week.monday, week.sunday), now=terms.now
        ),
        weeks=tuple(str(one) for one in weeks),
        by_channel=_by_channel(lines, weeks),
    )


def same_week_before(week: IsoWeek) -> IsoWeek:
    """The week of the same number a year earlier; week 53 falls back on the last there was."""
    return IsoWeek(week.year - 1, min(week.week, weeks_in_year(week.year - 1)))


def _read_span(reading: Reading, first: str, last: str, terms: FarmTerms) -> SpanFigures:
    zone = terms.farm.zone
    start, end = day_start(first, zone), day_start(day_plus(last, 1), zone)
    lines = lines_sold(reading, first, last)
    removed = asked.removed_between(reading, start, end)
    discarded = asked.discarded_between(reading, start, end)

    def gone(use: str) -> int:
        return sum(one.mass_mg for one in removed if one.use == use)

    return SpanFigures(
        picked_mg=sum(one.net_mg for one in asked.picked_by_species(reading, start, end)),
        sold_mg=sum(one.mass_mg for one in lines),
        revenue=sum((one.total for one in lines), Decimal(0)),
        credited=credited_between(reading, first, last)[1],
        wasted_mg=gone("waste"),
        given_mg=gone("gift"),
        own_mg=gone("own"),
        drying_mg=gone("drying"),
        blocks_made=sum(one.blocks for one in asked.inoculated_between(reading, first, last)),
        blocks_opened=sum(one.blocks for one in asked.opened_between(reading, first, last)),
        bags_discarded=sum(one.bags for one in discarded),
        bags_contaminated=sum(one.bags for one in discarded if one.is_contamination),
    )


def _sold_through(
    reading: Reading, week: IsoWeek, lines: Sequence[TradeLine], terms: FarmTerms
) -> tuple[SoldThrough, ...]:
    zone = terms.farm.zone
    start, end = day_start(week.monday, zone), day_start(day_plus(week.sunday, 1), zone)
    picked = _sums(
        (one.species, one.net_mg) for one in asked.picked_by_species(reading, start, end)
    )
    sold = _sums((one.species, one.mass_mg) for one in lines)
    removed = asked.removed_between(reading, start, end)
    wasted = _sums((one.species, one.mass_mg) for one in removed if one.use == "waste")
    given = _sums((one.species, one.mass_mg) for one in removed if one.use == "gift")
    return tuple(
        SoldThrough(
            terms.species_name(species),
            picked.get(species, 0),
            sold.get(species, 0),
            wasted.get(species, 0),
            given.get(species, 0),
            measure_sell_through(
                LotAmounts(
                    picked.get(species, 0),
                    sold_mg=sold.get(species, 0),
                    gifts_mg=given.get(species, 0),
                    waste_mg=wasted.get(species, 0),
                )
            ),
        )
        for species in sorted({*picked, *sold, *wasted, *given}, key=lambda one: (one is None, one))
    )


def _channels(now: Sequence[TradeLine], before: Sequence[TradeLine]) -> Iterable[ChannelSales]:
    def key(line: TradeLine) -> tuple[str, str]:
        return (line.channel, line.product)

    worth = _money_by(before, key)
    for channel, product in sorted({key(one) for one in now}):
        own = [one for one in now if key(one) == (channel, product)]
        yield ChannelSales(
            channel,
            product,
            len({one.customer for one in own}),
            sum(one.mass_mg for one in own),
            sum((one.total for one in own), Decimal(0)),
            worth.get((channel, product), Decimal(0)),
        )


def _by_channel(
    lines: Sequence[TradeLine], weeks: Sequence[IsoWeek]
) -> dict[str, tuple[Decimal, ...]]:
    worth = _money_by(lines, lambda one: (one.channel, str(IsoWeek.of(one.day))))
    channels = sorted({one.channel for one in lines})
    return {
        channel: tuple(worth.get((channel, str(week)), Decimal(0)) for week in weeks)
        for channel in channels
    }


def _money_by(
    lines: Iterable[TradeLine], key: Callable[[TradeLine], tuple[str, str]]
) -> dict[tuple[str, str], Decimal]:
    sums: dict[tuple[str, str], Decimal] = {}
    for one in lines:
        sums[key(one)] = sums.get(key(one), Decimal(0)) + one.total
    return sums


def _sums(amounts: Iterable[tuple[int | None, int]]) -> dict[int | None, int]:
    sums: dict[int | None, int] = {}
    for species, mg in amounts:
        sums[species] = sums.get(species, 0) + mg
    return sums
