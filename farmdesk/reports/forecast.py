"""Kg ready by species and week from every live bag, with a band; and what that rests on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import cast

from farmdesk.arithmetic.crop_history import LearntCrop, count_crops
from farmdesk.arithmetic.crops import Stage
from farmdesk.arithmetic.forecast import RUNS, WEEKS, Cohort, Forecast, forecast_weeks
from farmdesk.domain.catalogue import Species
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.mass import amount_in
from farmdesk.quantities.times import age_days
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.forecast_basis import (
    basis_table,
    learn_crops,
    name_source,
    read_history,
    say_basis,
    size_of,
)
from farmdesk.store.forecast import Standing, bags_standing
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr, tr_count

MG = 1_000_000


@dataclass(frozen=True)
class FarmForecast:
    """A forecast with what it rests on; `past_last` are live bags beyond their last flush."""

    terms: FarmTerms
    forecast: Forecast
    learnt: Mapping[str, LearntCrop]
    standing: Sequence[Standing]
    past_last: int

    @property
    def species(self) -> tuple[str, ...]:
        """The species that something is forecast of, in order."""
        return tuple(sorted({one.species for one in self.forecast.weeks}))

    def expected_kg(self) -> dict[tuple[str, str], float]:
        """Expected kg by (species, week)."""
        return {(one.species, one.week): one.mean_kg for one in self.forecast.weeks}


def read_forecast(
    reading: Reading, *, now: str | None = None, species: int | None = None, runs: int = RUNS
) -> FarmForecast:
    """The forecast of a species, or of all, for the next 16 weeks."""
    terms = read_terms(reading, now)
    kinds = {one.id: one for one in reading.all(Species) if species in (None, one.id)}
    standing = [one for one in bags_standing(reading) if one.species in kinds]
    learnt = learn_crops(read_history(reading, terms), kinds, today=terms.today)
    cohorts, past_last = gather_cohorts(standing, kinds, learnt, terms.today)
    found = forecast_weeks(cohorts, count_crops(learnt), today=terms.today, runs=runs)
    return FarmForecast(terms, found, learnt, standing, past_last)


def gather_cohorts(
    standing: Sequence[Standing],
    species: Mapping[int, Species],
    learnt: Mapping[str, LearntCrop],
    today: str,
) -> tuple[list[Cohort], int]:
    """Bags that stand alike, rooms aside, and how many are beyond their last flush."""
    counted: dict[tuple[str, int, str, int, int, float], int] = {}
    past_last = 0
    for one in standing:
        name = species[one.species].name
        flush = one.flush + 1 if one.stage in ("fruiting", "resting") else 1
        if flush > len(learnt[name].crop.flushes):
            past_last += one.bags
            continue
        elapsed = max(0, age_days(one.since, today))
        key = (name, one.batch, one.stage, flush, elapsed, size_of(one.dry_mg))
        counted[key] = counted.get(key, 0) + one.bags
    cohorts = [
        Cohort(name, batch, cast(Stage, stage), flush, elapsed, bags, size)
        for (name, batch, stage, flush, elapsed, size), bags in counted.items()
    ]
    return cohorts, past_last


def forecast_table(
    reading: Reading, *, now: str | None = None, species: int | None = None
) -> Table:
    """Kg by species and week with the band, and a chart of each species."""
    return forecast_tables(reading, now=now, species=species)[0]


def forecast_tables(
    reading: Reading, *, now: str | None = None, species: int | None = None
) -> tuple[Table, Table]:
    """The forecast, and what it rests on."""
    found = read_forecast(reading, now=now, species=species)
    used = [found.learnt[name] for name in found.species]
    return make_forecast_table(found), basis_table(used, found.terms)


def make_forecast_table(found: FarmForecast) -> Table:
    """The table of a forecast that was made."""
    columns = (
        Column("species", tr("Species")),
        Column("week", tr("Week")),
        Column("low", tr("Low (1 in 10)"), "mass"),
        Column("expected", tr("Expected"), "mass"),
        Column("high", tr("High (9 in 10)"), "mass"),
        Column("monday", tr("From"), "day"),
        Column("source", tr("Rests on")),
    )
    rows = [
        (
            one.species, one.week, round(one.low_kg * MG), round(one.mean_kg * MG),
            round(one.high_kg * MG), monday_of(one.week), name_source(one.source),
        )
        for one in found.forecast.weeks
    ]  # fmt: skip
    return Table(
        "forecast", tr("Forecast"), columns, rows, _say(found),
        charts=tuple(_chart(found, name) for name in found.species),
    )  # fmt: skip


def monday_of(week: str) -> str:
    """The first day of an ISO week."""
    return IsoWeek.parse(week).monday


def unit_of(terms: FarmTerms) -> str:
    """The unit that charts of masses are drawn in."""
    return "lb" if terms.formats.mass_unit == "lb_oz" else terms.formats.mass_unit


def in_unit(kg: float, unit: str) -> float:
    """Kg as a figure of a chart."""
    return float(amount_in(round(kg * MG), unit))


def _say(found: FarmForecast) -> list[str]:
    terms, bags = found.terms, found.forecast.bags
    if not bags:
        return []
    total = sum(one.mean_kg for one in found.forecast.weeks)
    words = tr_count(
        bags,
        "{n} live bag should give about {mass} in the next {weeks} weeks.",
        "{n} live bags should give about {mass} in the next {weeks} weeks.",
    )
    notes = [
        words.format(
            n=terms.formats.number(bags), mass=terms.formats.mass(round(total * MG)), weeks=WEEKS
        ),
        tr(
            "Eight weeks of ten should fall between low and high; {runs} runs in which whole"
            " batches are early or late, rich or poor. New batches are not in it."
        ).format(runs=terms.formats.number(found.forecast.runs)),
        say_basis(),
    ]
    if found.past_last:
        more = tr_count(
            found.past_last,
            "{n} bag that gave its last flush is left out.",
            "{n} bags that gave their last flush are left out.",
        )
        notes.append(more.format(n=terms.formats.number(found.past_last)))
    return notes


def _chart(found: FarmForecast, species: str) -> Chart:
    unit = unit_of(found.terms)
    weeks = [one for one in found.forecast.weeks if one.species == species]

    def drawn(values: Sequence[float]) -> list[float]:
        return [in_unit(one, unit) for one in values]

    line = Series(
        tr("Expected"),
        drawn([one.mean_kg for one in weeks]),
        low=drawn([one.low_kg for one in weeks]),
        high=drawn([one.high_kg for one in weeks]),
    )
    title = tr("{species} by week").format(species=species)
    return Chart("line", title, [short_week(one.week) for one in weeks], [line], unit)


def short_week(week: str) -> str:
    """A week as charts name it: 'W07'."""
    return week[5:]
