"""The tables and the chart of the week's trade: comparisons, what was sold of it, and channels."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Literal

from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.mass import amount_in
from farmdesk.reports.week_trade import ChannelSales, SpanFigures, WeekTrade
from farmdesk.wording.language import tr

Figure = int | Decimal
_POUNDS = ("lb", "lb_oz", "oz")
_HUNDRED = Decimal(100)
_FINE = Decimal("0.0001")
"""Prices of a kilogram are kept to this; more would be lost in a spreadsheet."""


def compared_tables(trade: WeekTrade) -> list[Table]:
    """Masses, money and counts of the week beside other weeks, and of the year so far.

    Last year is told up to the same week; it is empty where nothing is known of it.
    """
    return [
        _compared(
            trade,
            "compared_mass",
            tr("Masses compared"),
            "mass",
            [
                (tr("Picked"), lambda one: one.picked_mg),
                (tr("Sold"), lambda one: one.sold_mg),
                (tr("Wasted"), lambda one: one.wasted_mg),
                (tr("Given away"), lambda one: one.given_mg),
                (tr("Own use"), lambda one: one.own_mg),
                (tr("To drying"), lambda one: one.drying_mg),
            ],
        ),
        _compared(
            trade,
            "compared_money",
            tr("Money compared"),
            "money",
            [
                (tr("Sold, before tax"), lambda one: one.revenue),
                (tr("Credited, before tax"), lambda one: one.credited),
                (tr("Left after credits"), lambda one: one.earned),
            ],
        ),
        _compared(
            trade,
            "compared_count",
            tr("Blocks compared"),
            "integer",
            [
                (tr("Blocks inoculated"), lambda one: one.blocks_made),
                (tr("Blocks opened"), lambda one: one.blocks_opened),
                (tr("Bags discarded"), lambda one: one.bags_discarded),
                (tr("of these contaminated"), lambda one: one.bags_contaminated),
            ],
        ),
    ]


def sold_through_table(trade: WeekTrade) -> Table:
    """What was sold of each species, out of what was picked and out of what is gone."""
    columns = (
        Column("species", tr("Species")),
        Column("picked_mg", tr("Picked"), "mass"),
        Column("sold_mg", tr("Sold"), "mass"),
        Column("wasted_mg", tr("Wasted"), "mass"),
        Column("given_mg", tr("Given away"), "mass"),
        Column("of_gone", tr("Sold of what is gone"), "percent"),
        Column("of_picked", tr("Sold over picked"), "percent"),
    )
    rows = [
        (
            one.species,
            one.picked_mg,
            one.sold_mg,
            one.wasted_mg,
            one.given_mg,
            one.through.of_gone_percent,
            one.through.of_picked_percent,
        )
        for one in trade.sold_through
    ]
    notes = [
        tr("Gone: sold, wasted and given away in the week. Sold of it is the sell-through."),
        tr(
            "Sold over picked can be above 100 %: what was picked in the week before is sold in "
            "this one."
        ),
    ]
    return Table("sold_through", tr("Sell-through"), columns, rows, notes=notes)


def channels_table(trade: WeekTrade, mass_unit: str) -> Table:
    """What each channel took of each product, and what a kilogram (or pound) fetched there."""
    unit = "lb" if mass_unit in _POUNDS else "kg"
    columns = (
        Column("channel", tr("Channel")),
        Column("product", tr("Product")),
        Column("customers", tr("Customers"), "integer"),
        Column("mass_mg", tr("Mass"), "mass"),
        Column("total", tr("Amount"), "money"),
        Column("price", tr("Price of 1 {unit}").format(unit=unit), "money"),
        Column("before", tr("Week before"), "money"),
    )
    rows = [
        (
            one.channel or tr("not told"),
            one.product,
            one.customers,
            one.mass_mg,
            one.total,
            _price(one, unit),
            one.before,
        )
        for one in trade.channels
    ]
    totals = (
        tr("All"),
        "",
        None,
        sum(one.mass_mg for one in trade.channels),
        sum((one.total for one in trade.channels), Decimal(0)),
        None,
        None,
    )
    notes = [
        tr("Deliveries and market days, before tax. A customer's channel stands in the catalogue.")
    ]
    return Table("channels", tr("Sales by channel"), columns, rows, notes=notes, totals=totals)


def channel_chart(trade: WeekTrade, currency: str) -> Chart:
    """Money by channel in the last weeks, before tax."""
    series = [
        Series(name or tr("not told"), [float(one) for one in amounts])
        for name, amounts in trade.by_channel.items()
    ]
    weeks = [week.partition("-")[2] for week in trade.weeks]
    title = tr("Sold by channel, {count} weeks to {week}").format(
        count=len(weeks), week=trade.weeks[-1]
    )
    return Chart("stacked", title, weeks, series, unit=currency)


def _compared(
    trade: WeekTrade,
    name: str,
    title: str,
    kind: Literal["mass", "money", "integer"],
    measures: Sequence[tuple[str, Callable[[SpanFigures], Figure]]],
) -> Table:
    columns = (
        Column("measure", tr("What")),
        Column("now", tr("This week"), kind),
        Column("before", tr("Week before"), kind),
        Column("change", tr("Change"), "percent"),
        Column("year_ago", tr("Year ago"), kind),
        Column("year", tr("Year so far"), kind),
        Column("last_year", tr("Last year"), kind),
    )
    rows = [
        (
            measure,
            find(trade.now),
            find(trade.before),
            _change(find(trade.now), find(trade.before)),
            find(trade.year_ago) if trade.year_ago.has_any else None,
            find(trade.year),
            find(trade.last_year) if trade.last_year.has_any else None,
        )
        for measure, find in measures
    ]
    return Table(name, title, columns, rows)


def _price(sales: ChannelSales, unit: str) -> Decimal | None:
    """What a kilogram or pound fetched; None where no mass is known."""
    amount = amount_in(sales.mass_mg, unit)
    if not amount:
        return None
    return (sales.total * amount.denominator / amount.numerator).quantize(_FINE)


def _change(now: Figure, before: Figure) -> Decimal | None:
    return _HUNDRED * (Decimal(now) - Decimal(before)) / Decimal(before) if before else None
