"""Charts to look at rather than read: stock by shelf date, and the sums side by side."""

from __future__ import annotations

from collections.abc import Sequence

from farmdesk.paper.charts import Chart, Series
from farmdesk.quantities.mass import amount_in
from farmdesk.quantities.times import age_days
from farmdesk.reports.contamination import found_chart
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.sum_question import SumQuestion, read_cohort
from farmdesk.reports.times import curve_chart, read_times
from farmdesk.reports.yields import read_groups, shares_chart, weeks_chart
from farmdesk.store.lists import Lot, lots_on_hand
from farmdesk.store.outcomes import bags_counted
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

_DAYS_AHEAD = 10


def shelf_chart(lots: Sequence[Lot], terms: FarmTerms) -> Chart:
    """What lies in the cold store by species and days left until its shelf date."""
    unit = "lb" if terms.formats.mass_unit == "lb_oz" else terms.formats.mass_unit
    names = [tr("past"), tr("today"), *(str(day) for day in range(1, _DAYS_AHEAD + 1))]
    names += [tr("later"), tr("no date")]
    masses: dict[str, list[int]] = {}
    for lot in lots:
        row = masses.setdefault(terms.species_name(lot.species), [0] * len(names))
        row[_place(lot, terms.today)] += lot.left_mg
    series = [
        Series(name, [float(amount_in(mg, unit)) for mg in row])
        for name, row in sorted(masses.items())
    ]
    title = tr("Cold store by days left until the shelf date")
    return Chart("stacked", title, names, series, unit=unit)


def read_charts(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> tuple[Chart, ...]:
    """Yield by week, shares of flushes, time to colonise, contamination by week, stock."""
    asked = question or SumQuestion()
    cohort = read_cohort(reading, asked, now=now)
    settled = cohort.question
    counted = bags_counted(reading, settled.first, settled.last, by_spawn=cohort.by_spawn)
    lots = [one for one in lots_on_hand(reading) if asked.species in (None, one.species)]
    return (
        weeks_chart(reading, cohort),
        shares_chart(read_groups(reading, cohort), cohort),
        curve_chart(read_times(reading, cohort), "colonised"),
        found_chart(counted, cohort),
        shelf_chart(lots, read_terms(reading, now)),
    )


def _place(lot: Lot, today: str) -> int:
    if lot.shelf_on is None:
        return _DAYS_AHEAD + 3
    left = age_days(today, lot.shelf_on)
    return 0 if left < 0 else min(left, _DAYS_AHEAD + 1) + 1
