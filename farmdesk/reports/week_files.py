"""The week as files: a workbook, two pages to hand to somebody, and one tidy table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from pathlib import Path

from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.csv_tables import write_csv
from farmdesk.paper.document_pages import lay_out_document
from farmdesk.paper.document_parts import paper_of
from farmdesk.paper.documents import (
    Block,
    Columns,
    Document,
    Figure,
    Figures,
    Heading,
    Note,
)
from farmdesk.paper.page_pdf import write_pages
from farmdesk.paper.pages import Page
from farmdesk.paper.spreadsheet import Properties, Sheet, write_workbook
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.mass import amount_in
from farmdesk.reports import week_tables as tables
from farmdesk.reports.table_choice import choose_columns
from farmdesk.reports.week import WeekReport
from farmdesk.reports.week_trade_tables import (
    channel_chart,
    channels_table,
    compared_tables,
    sold_through_table,
)
from farmdesk.wording.language import tr

ENDINGS = (".xlsx", ".pdf", ".csv")
_ROWS_ON_PAPER = (12, 10, 8, 7, 6, 5, 4, 3, 2)
"""Rows of each table on paper: the most that still leave it two pages."""
_MOST_PAGES = 2
_TOLD = frozenset({"state", "grade", "code", "place"})
"""Texts that say something about a row, where other texts say which row it is."""
_MG_PER_KG = Decimal(1_000_000)
_TIDY = (
    Column("week", tr("Week"), "code"),
    Column("section", tr("Section")),
    Column("item", tr("Item")),
    Column("measure", tr("Measure")),
    Column("value", tr("Value"), "number"),
    Column("unit", tr("Unit")),
)


def write_week(report: WeekReport, path: Path) -> None:
    """Write the week in the form that the file's ending asks for: .xlsx, .pdf or .csv.

    Raises NotWritten, and ValueError for another ending.
    """
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        raise ValueError(f"{path.name} ends in none of {ENDINGS}")
    if ending == ".csv":
        write_csv(week_csv(report), path)
    elif ending == ".pdf":
        write_pages(week_pages(report), path, title=week_title(report))
    else:
        about = Properties(
            tr("{name}, week {week}").format(name=report.terms.farm.name, week=report.week),
            made_at=report.terms.now,
        )
        formats = report.terms.formats
        write_workbook(
            week_workbook(report),
            path,
            formats=formats,
            properties=about,
            page=paper_of(formats),
        )


def week_pages(report: WeekReport) -> tuple[Page, ...]:
    """The week as it is seen, printed and kept as PDF, with the most rows that two pages hold."""
    formats = report.terms.formats
    pages: tuple[Page, ...] = ()
    for rows in _ROWS_ON_PAPER:
        document = week_document(report, rows=rows)
        pages = lay_out_document(document, formats, page=paper_of(formats))
        if len(pages) <= _MOST_PAGES:
            break
    return pages


def week_title(report: WeekReport) -> str:
    """What the week's pages are called."""
    state = "" if report.is_over else tr(" (so far)")
    return tr("Week {week}{state}").format(week=report.week, state=state)


def week_workbook(report: WeekReport) -> list[Sheet]:
    """The sheets of the week's workbook."""
    return [
        Sheet(tr("Summary"), [tables.summary_table(report)], [trend_chart(report)]),
        Sheet(
            tr("Picked"), [tables.picked_species_table(report), tables.picked_batch_table(report)]
        ),
        Sheet(tr("Yields"), [tables.yields_table(report)]),
        Sheet(tr("Stock"), [tables.stock_table(report)]),
        Sheet(tr("Sales"), [tables.sales_table(report)]),
        Sheet(
            tr("Channels"),
            [
                channels_table(report.trade, report.terms.formats.mass_unit),
                sold_through_table(report.trade),
            ],
            [channel_chart(report.trade, report.terms.formats.currency)],
        ),
        Sheet(tr("Orders filled"), [report.trade.fill]),
        Sheet(tr("Margins"), [report.trade.margins]),
        Sheet(tr("Compared"), compared_tables(report.trade)),
        Sheet(tr("Waste"), [tables.waste_table(report), tables.discarded_table(report)]),
        Sheet(tr("Bags"), [tables.standing_table(report), tables.made_table(report)]),
    ]


def trend_chart(report: WeekReport) -> Chart:
    """Picked by species in the last weeks, in the farm's unit."""
    unit = report.terms.formats.mass_unit
    unit = "lb" if unit == "lb_oz" else unit
    series = [
        Series(name, [float(amount_in(mg, unit)) for mg in masses])
        for name, masses in report.trend.species.items()
    ]
    weeks = [week.partition("-")[2] for week in report.trend.weeks]
    title = tr("Picked by species, {count_weeks} weeks to {week}").format(
        count_weeks=len(weeks), week=report.week
    )
    return Chart("stacked", title, weeks, series, unit=unit)


def week_document(report: WeekReport, *, rows: int = _ROWS_ON_PAPER[0]) -> Document:
    """Two pages at most: the figures that matter, what was picked and sold, what to sell first.

    Tables show their first `rows` rows, the totals of all, and how many are left out.
    """
    formats, week = report.terms.formats, report.week
    return Document(
        title=week_title(report),
        subtitle=f"{report.terms.farm.name}, {formats.day(week.monday)} – "
        f"{formats.day(week.sunday)}",
        blocks=list(_blocks(report, rows)),
        footer=tr("{name} · week {week} · written {now}").format(
            name=report.terms.farm.name, week=week, now=formats.instant(report.terms.now)
        ),
        is_dense=True,
    )


def _blocks(report: WeekReport, rows: int) -> Iterator[Block]:
    yield _figures(report)
    picked = _part(tr("Picked"), tables.picked_species_table(report), rows)
    yield Columns([picked, [trend_chart(report)]]) if report.trend.species else Columns([picked])
    yield from _part(tr("Yields"), _whole_yields(report), rows)
    yield from _part(tr("Sales"), tables.sales_table(report), rows)
    yield from _part(tr("Sell first"), _stock_on_paper(report), rows)
    yield Columns(
        [
            _part(tr("Waste and other use"), tables.waste_table(report), rows),
            _part(tr("Bags discarded"), tables.discarded_table(report), rows),
        ]
    )
    yield from _part(tr("Sell-through"), sold_through_table(report.trade), rows)
    channels = _part(tr("Sales by channel"), _channels_on_paper(report), rows)
    chart = channel_chart(report.trade, report.terms.formats.currency)
    yield Columns([channels, [chart]]) if report.trade.by_channel else Columns([channels])
    for table in compared_tables(report.trade):
        yield from _part(table.title, table, len(list(table.rows)))
    if report.not_weighed:
        waiting = report.terms.formats.count(report.not_weighed, "pick is", "picks are")
        yield Note(tr("{waiting} not weighed yet and not counted.").format(waiting=waiting))


def _part(title: str, table: Table, most: int) -> list[Block]:
    """A heading and the table below it, or a word that there is nothing."""
    rows = list(table.rows)
    if not rows:
        return [Heading(title), Note(tr("Nothing in this week."))]
    return [Heading(title), _shortened(table, rows, most)]


def _figures(report: WeekReport) -> Figures:
    formats = report.terms.formats
    wasted_mg = report.removed_mg("waste")
    lots = formats.count(len(report.stock), "lot", "lots")
    bags = sum(one.bags for one in report.discarded)
    return Figures(
        [
            Figure(
                tr("Picked"),
                formats.mass(report.picked_mg),
                tr("{picked_before_mg} the week before").format(
                    picked_before_mg=formats.mass(report.picked_before_mg)
                ),
            ),
            Figure(
                tr("Delivered"),
                formats.money(report.sold_total),
                tr("{sold_mg} in {deliveries}").format(
                    sold_mg=formats.mass(report.sold_mg),
                    deliveries=formats.count(report.deliveries, "delivery", "deliveries"),
                ),
            ),
            Figure(tr("On hand"), formats.mass(report.stock_mg), lots),
            Figure(
                tr("Wasted"),
                formats.mass(wasted_mg),
                tr("{bags} discarded").format(bags=formats.count(bags, "bag", "bags")),
            ),
            Figure(
                tr("Live bags"),
                formats.number(sum(one.bags for one in report.standing)),
                tr("{number} inoculated, {number2} opened").format(
                    number=formats.number(sum(one.blocks for one in report.made)),
                    number2=formats.number(sum(one.opened for one in report.made)),
                ),
            ),
        ]
    )


def _whole_yields(report: WeekReport) -> Table:
    """Each batch in one line; the workbook has the flushes."""
    whole = tables.yields_table(report)
    rows = [values for values, one in zip(whole.rows, report.yields, strict=True) if one.is_whole]
    keys = ("batch", "species", "state", "picked_mg", "opened", "be_opened", "made", "be_made")
    return choose_columns(whole, (*keys, "per_made_mg"), rows)


def _stock_on_paper(report: WeekReport) -> Table:
    table = tables.stock_table(report)
    keys = ("lot", "what", "grade", "left_mg", "packs", "sell_by", "shelf_on")
    return choose_columns(table, keys)


def _channels_on_paper(report: WeekReport) -> Table:
    table = channels_table(report.trade, report.terms.formats.mass_unit)
    return choose_columns(table, ("channel", "product", "mass_mg", "total"))


def _shortened(table: Table, rows: Sequence[Sequence[object]], most: int) -> Table:
    """The first rows, and a word about the rest; totals stay those of the whole."""
    rest = len(rows) - most
    notes = list(table.notes)
    if rest > 0:
        more = tr("1 more row is") if rest == 1 else tr("{rest} more rows are").format(rest=rest)
        notes.insert(0, tr("{more} in the workbook of the week.").format(more=more))
    return Table(table.name, table.title, table.columns, rows[:most], notes, table.totals)


def week_csv(report: WeekReport) -> Table:
    """Every figure of every table in a row of its own; masses in kg, percents as 62.5."""
    rows = [
        (str(report.week), table.name, item, measure, value, unit)
        for table in tables.week_tables(report)
        for item, measure, value, unit in _tidy(table, report.terms.formats.currency)
    ]
    return Table("week", tr("Week {week}").format(week=report.week), _TIDY, rows)


def _tidy(table: Table, currency: str) -> Iterator[tuple[str, str, object, str]]:
    for row in table.rows:
        named = [
            (column, value)
            for column, value in zip(table.columns, row, strict=True)
            if value is not None and value != ""
        ]
        item = " / ".join(str(value) for column, value in named if _names(column))
        for column, value in named:
            if not _names(column):
                yield item, column.key.removesuffix("_mg"), *_plain(column, value, currency)


def _names(column: Column) -> bool:
    """Whether a column says which thing a row is about."""
    return column.key == "flush" or (column.kind == "text" and column.key not in _TOLD)


def _plain(column: Column, value: object, currency: str) -> tuple[object, str]:
    if column.kind == "mass" and isinstance(value, int):
        return Decimal(value) / _MG_PER_KG, "kg"
    if column.kind == "money":
        return value, currency
    if column.kind == "percent" and isinstance(value, Decimal):
        return round(value, 4), "%"
    if column.kind in ("day", "flag", "text", "code"):
        return value, column.kind
    return value, "" if column.kind == "number" else "count"
