"""The catalogue of reports: each is a table, and so is on screen, on paper and in files alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Protocol

from farmdesk.paper.csv_tables import write_csv
from farmdesk.paper.document_parts import paper_of
from farmdesk.paper.documents import Document, write_document
from farmdesk.paper.sheets import Properties, Sheet
from farmdesk.paper.spreadsheet import write_workbook
from farmdesk.paper.tables import Table
from farmdesk.reports import batches, lab_lists, stock, trade_lists, week_tables
from farmdesk.reports.accounts import accounts_table
from farmdesk.reports.bags import bags_table
from farmdesk.reports.blame import blame_table
from farmdesk.reports.climate_tables import climate_report
from farmdesk.reports.contamination import contamination_table
from farmdesk.reports.costs import costs_table
from farmdesk.reports.day_book import day_book, day_book_table
from farmdesk.reports.demand import demand_table
from farmdesk.reports.demand_lists import standing_table
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.forecast import forecast_table
from farmdesk.reports.forecast_replay import replay_table
from farmdesk.reports.lab_growth import growth_table
from farmdesk.reports.margins import margins_table
from farmdesk.reports.markets import markets_table
from farmdesk.reports.net_check import net_checks_table
from farmdesk.reports.next_flush import next_flush_table
from farmdesk.reports.offer import offer_report
from farmdesk.reports.plan import plan_table
from farmdesk.reports.plan_batches import planned_table
from farmdesk.reports.plan_fit_tables import fit_table
from farmdesk.reports.room_plan import shelves_table
from farmdesk.reports.shelf_life import shelf_table
from farmdesk.reports.slow_lost import late_bags_table, lost_table, slow_table
from farmdesk.reports.stocktake import stocktake_table
from farmdesk.reports.table_choice import choose_columns
from farmdesk.reports.times import times_table
from farmdesk.reports.today import today_table
from farmdesk.reports.warm_spells import warm_lots_table
from farmdesk.reports.week import WeekQuestion, week_now, week_report
from farmdesk.reports.work_yields import work_table
from farmdesk.reports.yields import flushes_table, yields_table
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

ENDINGS = (".xlsx", ".pdf", ".csv")
_WIDE_FROM = 8
"""So many columns lie better on the long side of the paper."""


class MakeTable(Protocol):
    """Makes a report's table as of an instant, now unless given."""

    def __call__(self, reading: Reading, *, now: str | None = None) -> Table:
        """The table; its rows may be read while they are gone through."""


@dataclass(frozen=True)
class Report:
    """One report that can be asked for by its key; `on_paper` names the columns of its PDF."""

    key: str
    title: str
    make: MakeTable
    on_paper: tuple[str, ...] = ()


def find_report(key: str) -> Report:
    """The report with a key; KeyError when there is none."""
    return _BY_KEY[key]


def write_report(
    table: Table, path: Path, *, terms: FarmTerms, on_paper: Sequence[str] = ()
) -> None:
    """Write a report's table in the form that the file's ending asks for.

    A PDF has just the columns `on_paper`, where these are given; the other forms have all.
    Raises NotWritten, Refused for more rows than a form can hold, ValueError for another ending.
    """
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        raise ValueError(f"{path.name} ends in none of {ENDINGS}")
    formats = terms.formats
    page = paper_of(formats)
    if ending == ".csv":
        write_csv(table, path)
    elif ending == ".xlsx":
        about = Properties(f"{terms.farm.name}: {table.title}", made_at=terms.now)
        sheets = [Sheet(table.title, [table], table.charts)]
        write_workbook(sheets, path, formats=formats, properties=about, page=page)
    else:
        shown = choose_columns(table, on_paper) if on_paper else table
        document = Document(
            title=table.title,
            blocks=[*table.charts, shown],
            subtitle=terms.farm.name,
            footer=tr("{name} · written {now}").format(
                name=terms.farm.name, now=formats.instant(terms.now)
            ),
            is_wide=len(shown.columns) >= _WIDE_FROM,
        )
        write_document(document, path, formats=formats, page=page)


def export_report(reading: Reading, key: str, path: Path, *, now: str | None = None) -> None:
    """Make a report and write it while the farm is read."""
    terms = read_terms(reading, now)
    report = find_report(key)
    table = report.make(reading, now=terms.now)
    write_report(table, path, terms=terms, on_paper=report.on_paper)


def _week_part(at: int) -> MakeTable:
    def make(reading: Reading, *, now: str | None = None) -> Table:
        question = WeekQuestion(week_now(reading, now=now))
        return week_tables.week_tables(week_report(reading, question, now=now))[at]

    return make


def _all_batches(reading: Reading, *, now: str | None = None) -> Table:
    return batches.batches_table(reading, alive_only=False, now=now)


def _bags(reading: Reading, *, now: str | None = None) -> Table:  # noqa: ARG001 - as all
    return bags_table(reading)


def _day_book(reading: Reading, *, now: str | None = None) -> Table:
    return day_book_table(day_book(reading, now=now))


def _reports() -> Iterator[Report]:
    yield Report("today", tr("Today"), today_table)
    yield Report("cultures", tr("Cultures"), lab_lists.cultures_table)
    yield Report("spawn", tr("Spawn"), lab_lists.spawn_table)
    yield Report("runs", tr("Heat runs"), lab_lists.runs_table)
    yield Report("growth", tr("Growth of cultures"), growth_table)
    yield Report("batches", tr("Batches with live bags"), batches.batches_table)
    yield Report("all_batches", tr("All batches"), _all_batches)
    yield Report("bags", tr("Live bags"), _bags)
    yield Report("picks", tr("Picks"), trade_lists.picks_table)
    yield Report("on_hand", tr("On hand"), stock.on_hand_table)
    yield Report("shelf_lives", tr("Life of lots on hand"), shelf_table)
    yield Report("warm_lots", tr("Lots touched by warm hours"), warm_lots_table)
    yield Report("balances", tr("Where each lot went"), stock.balance_table)
    yield Report("stocktake", tr("Stocktake"), stocktake_table)
    yield Report("orders", tr("Orders"), trade_lists.orders_table)
    yield Report("offer", tr("What can be offered"), offer_report)
    yield Report("deliveries", tr("Deliveries"), trade_lists.deliveries_table)
    yield Report("invoices", tr("Invoices"), trade_lists.invoices_table)
    yield Report("net_checks", tr("Net contents checked"), net_checks_table)
    yield Report("accounts", tr("Accounts of customers"), accounts_table)
    yield Report("markets", tr("Market days"), markets_table)
    yield Report("yields", tr("Yields of the last year"), yields_table)
    yield Report("flushes", tr("Flushes of the last year"), flushes_table)
    yield Report("work_yields", tr("Picked per hour of work"), work_table)
    yield Report("next_flush", tr("What the next flush is worth"), next_flush_table)
    yield Report("times", tr("Time to colonise"), times_table)
    yield Report("contamination", tr("Contamination of the last year"), contamination_table)
    yield Report("blame", tr("What is to blame"), blame_table)
    yield Report("forecast", tr("Forecast of the next 16 weeks"), forecast_table)
    yield Report("back_test", tr("Forecasts of the last weeks, and what was picked"), replay_table)
    yield Report("demand", tr("Demand by week"), demand_table)
    yield Report("standing_orders", tr("Standing orders"), standing_table)
    yield Report("plan", tr("Plan of blocks by week"), plan_table)
    yield Report("plan_rooms", tr("Rooms of the plan"), fit_table)
    yield Report("planned", tr("Planned batches"), planned_table)
    yield Report("costs", tr("Costs of the last year"), costs_table)
    yield Report("margins", tr("Margins of the last year"), margins_table)
    yield Report("shelves", tr("What stands where"), shelves_table)
    yield Report("climate", tr("Climate of the last week"), climate_report)
    yield Report("slow", tr("Slow batches"), slow_table)
    yield Report("late_bags", tr("Late bags"), late_bags_table)
    yield Report("lost", tr("Bags not seen"), lost_table)
    for at, (name, title) in enumerate(_WEEK_PARTS):
        yield Report(f"week_{name}", tr("This week: {title}").format(title=title), _week_part(at))
    yield Report("day_book", tr("Day book"), _day_book)


_WEEK_PARTS = (
    ("summary", tr("summary")),
    ("picked_species", tr("picked by species")),
    ("picked_batch", tr("picked by batch and flush")),
    ("yields", tr("yields")),
    ("stock", tr("stock")),
    ("sales", tr("sales")),
    ("waste", tr("waste and other use")),
    ("discarded", tr("bags discarded")),
    ("standing", tr("live bags by stage and room")),
    ("made", tr("inoculated and opened")),
    ("compared_mass", tr("masses compared")),
    ("compared_money", tr("money compared")),
    ("compared_count", tr("blocks compared")),
    ("sold_through", tr("sell-through")),
    ("channels", tr("sales by channel")),
    ("fill", tr("orders filled")),
    ("margins", tr("margins")),
)
"""In the order of the week's tables."""

_BATCHES_ON_PAPER = (
    "name", "species", "inoculated_on", "made", "incubating", "colonised", "fruiting", "resting",
    "discarded", "rate", "ready_from", "room", "looked_on",
)  # fmt: skip
_ON_PAPER: Mapping[str, tuple[str, ...]] = {
    "batches": _BATCHES_ON_PAPER,
    "all_batches": (*_BATCHES_ON_PAPER[:8], "spent", "discarded", "rate", "rate_low", "rate_high"),
    "bags": (
        "name", "code", "species", "stage", "days", "room", "looked_on", "flush", "picked_on",
        "slow", "note",
    ),
    "cultures": ("name", "code", "strain", "form", "transfers", "parent", "made_on", "status"),
    "spawn": (
        "name", "code", "strain", "generation", "grain", "parent", "made_mg", "used_mg", "left_mg",
        "made_on", "use_by", "status",
    ),
    "runs": (
        "name", "recipe", "run_on", "blocks", "left", "block_mg", "moisture_percent",
        "measured_percent", "treatment", "hot_minutes", "status",
    ),
    "plan": (
        "species", "week", "wanted", "missing", "blocks", "even", "plates_on", "spawn_on",
        "inoculate_on", "open_on", "pick_on", "verdict",
    ),
    "yields": (
        "group", "batches", "made", "opened", "picked_mg", "be_opened", "be_made", "be_1", "be_2",
        "be_3", "per_made_mg", "place_week_mg", "state",
    ),
    "costs": (
        "group", "made", "good", "total", "per_good", "per_weight", "saleable_mg", "materials",
        "spawn", "supplies", "making", "growing", "overhead", "state",
    ),
    "week_yields": (
        "batch", "species", "flush", "state", "picked_mg", "allocated_mg", "opened", "made",
        "be_opened", "be_made", "so_far_opened", "so_far_made", "per_made_mg",
    ),
}  # fmt: skip
"""Of reports with more columns than a page has room for, those that are printed."""

REPORTS: tuple[Report, ...] = tuple(
    replace(one, on_paper=_ON_PAPER.get(one.key, ())) for one in _reports()
)
_BY_KEY = {one.key: one for one in REPORTS}
