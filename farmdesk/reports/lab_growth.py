"""How fast cultures grow, each against what its own strain did before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from farmdesk.arithmetic.growth_alarm import (
    ColonySize,
    GrowthJudgement,
    GrowthRate,
    judge_growth,
    measure_growth,
)
from farmdesk.domain.catalogue import Strain
from farmdesk.domain.growth import GrowthLook
from farmdesk.domain.lab import Culture
from farmdesk.errors import Problem, problem
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr


@dataclass(frozen=True)
class GrowthRow:
    """One culture that was measured; rates in mm a day, `None` before the second day.

    `judgement` is None when the strain has no earlier culture with a rate.
    """

    id: int
    culture: Culture
    strain: str
    looks: tuple[GrowthLook, ...]
    rate: GrowthRate | None
    judgement: GrowthJudgement | None

    @property
    def last(self) -> GrowthLook:
        """The newest measure."""
        return self.looks[-1]

    @property
    def is_alarm(self) -> bool:
        """Whether it grows much slower than its strain did."""
        return self.judgement is not None and self.judgement.alarm

    def warning(self, formats: Formats) -> Problem | None:
        """What to say and to do when it lags; None when it does not."""
        found = self.judgement
        if found is None or not found.alarm:
            return None
        return problem(
            "growth_alarm",
            name=self.culture.name,
            strain=self.strain,
            now=formats.number(found.mm_per_day, 1),
            baseline=formats.number(found.baseline, 1),
            percent=formats.number(-found.change_percent),
            cultures=formats.count(found.cultures, tr("culture"), tr("cultures")),
        )


def list_growth(reading: Reading) -> list[GrowthRow]:
    """Every culture that was measured, newest first."""
    looks: dict[int, list[GrowthLook]] = {}
    for one in reading.all(GrowthLook):
        looks.setdefault(one.culture, []).append(one)
    if not looks:
        return []
    names = {one.id: one.name for one in reading.all(Strain)}
    cultures = sorted(
        (one for one in reading.all(Culture) if one.id in looks),
        key=lambda one: (one.made_on, one.id),
    )
    earlier: dict[int, list[float]] = {}
    rows = []
    for culture in cultures:
        own = sorted(looks[culture.id], key=lambda one: (one.looked_on, one.id))
        rate = _rate_of(own)
        before = earlier.setdefault(culture.strain, [])
        judgement = judge_growth(rate.mm_per_day, before) if rate is not None else None
        if rate is not None and rate.mm_per_day > 0:
            before.append(rate.mm_per_day)
        name = names.get(culture.strain, "")
        rows.append(GrowthRow(culture.id, culture, name, tuple(own), rate, judgement))
    rows.reverse()
    return rows


def growth_table(reading: Reading, *, now: str | None = None) -> Table:  # noqa: ARG001 - as all
    """Growth of all cultures measured, as a table."""
    columns = (
        Column("culture", tr("Culture")),
        Column("strain", tr("Strain")),
        Column("made_on", tr("Made"), "day"),
        Column("looks", tr("Measures"), "integer"),
        Column("last_on", tr("Last on"), "day"),
        Column("radius", tr("Radius"), "number", unit="mm", digits=1),
        Column("rate", tr("A day"), "number", unit="mm", digits=2),
        Column("low", tr("at least"), "number", unit="mm", digits=2),
        Column("high", tr("at most"), "number", unit="mm", digits=2),
        Column("baseline", tr("Strain before"), "number", unit="mm", digits=2),
        Column("change", tr("Change"), "percent", digits=0),
        Column("alarm", tr("Slow"), "flag"),
    )
    rows = [_cells(row) for row in list_growth(reading)]
    told = [
        tr(
            "Growth is the median of all slopes of radius over days (Theil 1950, Sen 1968), with"
            " its 95 % interval. Before is the median of earlier cultures of the strain; slow is"
            " 15 % below it (common practice, no source)."
        )
    ]
    return Table("growth", tr("Growth of cultures"), columns, rows, notes=told)


def _cells(row: GrowthRow) -> tuple[object, ...]:
    rate, judged = row.rate, row.judgement
    return (
        row.culture.name,
        row.strain,
        row.culture.made_on,
        len(row.looks),
        row.last.looked_on,
        row.last.radius_um / 1000,
        rate.mm_per_day if rate else None,
        rate.low if rate else None,
        rate.high if rate else None,
        judged.baseline if judged else None,
        judged.change_percent if judged else None,
        row.is_alarm,
    )


def _rate_of(looks: Sequence[GrowthLook]) -> GrowthRate | None:
    first = looks[0].looked_on
    sizes = [
        ColonySize(float(age_days(first, one.looked_on)), one.radius_um / 1000) for one in looks
    ]
    return measure_growth(sizes) if len({one.day for one in sizes}) > 1 else None
