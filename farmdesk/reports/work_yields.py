"""Kilograms picked for each hour of work, week by week; work is the farm's, not a species'."""

from __future__ import annotations

from decimal import Decimal

from farmdesk.arithmetic.yields import measure_work
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.mass import amount_in
from farmdesk.quantities.times import day_plus, day_start, local_day
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.sum_question import SumQuestion
from farmdesk.store.costs import minutes_by_day
from farmdesk.store.outcomes import picked_by_day
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

_PICKING = "picking"
_HOUR = Decimal(60)


class _Week:
    """What was picked and worked in one week."""

    def __init__(self) -> None:
        self.picked_mg = self.minutes = self.picking = 0

    def row(self, name: str) -> tuple[object, ...]:
        return (
            name, self.picked_mg, _hours(self.picking),
            measure_work(self.picked_mg, minutes=self.picking),
            _hours(self.minutes), measure_work(self.picked_mg, minutes=self.minutes),
        )  # fmt: skip


def work_table(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> Table:
    """Weeks with what was picked, the hours noted, and kilograms for each hour of them.

    The total counts only the weeks in which work was noted: a week in which nobody noted any
    would make every hour seem to pick more.
    """
    terms = read_terms(reading, now)
    asked = (question or SumQuestion()).settled(terms.today)
    weeks = _read_weeks(reading, asked, terms)
    columns = (
        Column("week", tr("Week")),
        Column("picked_mg", tr("Picked"), "mass"),
        Column("picking_hours", tr("Hours of picking"), "number", digits=1),
        Column("per_picking_mg", tr("Picked per hour of picking"), "mass"),
        Column("hours", tr("Hours of all work"), "number", digits=1),
        Column("per_hour_mg", tr("Picked per hour of all work"), "mass"),
    )
    rows = [one.row(str(week)) for week, one in sorted(weeks.items())]
    whole = _add_up(weeks)
    totals = whole.row(tr("Weeks with work noted")) if rows else None
    notes = [_say(whole, asked, terms), _ABOUT]
    charts = (_chart(weeks, terms),)
    return Table("work_yields", tr("Picked per hour of work"), columns, rows, notes, totals, charts)


_ABOUT = tr(
    "Picked: the net weight of all picks of the week, of all species, since work is not noted by"
    " species. Hours: what was noted under Costs, Work, in the days of that week; the clock that"
    " still runs does not count. The last line adds up only weeks in which work was noted."
)


def _read_weeks(reading: Reading, asked: SumQuestion, terms: FarmTerms) -> dict[IsoWeek, _Week]:
    weeks: dict[IsoWeek, _Week] = {}
    zone = terms.farm.zone
    start, end = day_start(asked.first, zone), day_start(day_plus(asked.last, 1), zone)
    for _species, at, mg in picked_by_day(reading, start, end):
        weeks.setdefault(IsoWeek.of(local_day(at, zone)), _Week()).picked_mg += mg
    for day, task, minutes in minutes_by_day(reading, asked.first, asked.last):
        week = weeks.setdefault(IsoWeek.of(day), _Week())
        week.minutes += minutes
        if task == _PICKING:
            week.picking += minutes
    return weeks


def _add_up(weeks: dict[IsoWeek, _Week]) -> _Week:
    whole = _Week()
    for one in weeks.values():
        if one.minutes:
            whole.picked_mg += one.picked_mg
            whole.minutes += one.minutes
            whole.picking += one.picking
    return whole


def _say(whole: _Week, asked: SumQuestion, terms: FarmTerms) -> str:
    formats = terms.formats
    span = tr("{first} to {last}").format(
        first=formats.day(asked.first), last=formats.day(asked.last)
    )
    rate = measure_work(whole.picked_mg, minutes=whole.minutes)
    if rate is None:
        return tr(
            "No work is noted from {span}. Note hours under Costs, Work: then this says what an"
            " hour of work picks."
        ).format(span=span)
    return tr(
        "{picked} picked in {hours} hours of all work: {rate} for each hour (weeks with work noted,"
        " {span})."
    ).format(
        picked=formats.mass(whole.picked_mg),
        hours=formats.number(_hours(whole.minutes), 1),
        rate=formats.mass(round(rate)),
        span=span,
    )


def _chart(weeks: dict[IsoWeek, _Week], terms: FarmTerms) -> Chart:
    unit = "lb" if terms.formats.mass_unit == "lb_oz" else terms.formats.mass_unit
    names = sorted(weeks)

    def along(minutes_of: str) -> list[float | None]:
        rates = (
            measure_work(weeks[one].picked_mg, minutes=getattr(weeks[one], minutes_of))
            for one in names
        )
        return [None if rate is None else float(amount_in(round(rate), unit)) for rate in rates]

    series = [
        Series(tr("each hour of picking"), along("picking")),
        Series(tr("each hour of all work"), along("minutes")),
    ]
    shown = [str(one).partition("-")[2] for one in names]
    return Chart("line", tr("Picked per hour of work, by week"), shown, series, unit=unit)


def _hours(minutes: int) -> Decimal:
    return (Decimal(minutes) / _HOUR).quantize(Decimal("0.01"))
