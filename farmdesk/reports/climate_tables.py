"""A room's climate as charts and tables: on screen, on paper and in files alike."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from farmdesk.arithmetic.climate_spans import HoursOutside, Spans
from farmdesk.arithmetic.packed_readings import DAY_S, FIGURES
from farmdesk.paper.charts import Chart, ChartKind, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.reports.climate import (
    CLIMATE_FIGURES,
    LONGEST_WITH_BATCHES,
    ClimateQuestion,
    RoomClimate,
    instant_of,
    label_of,
    room_climate,
    shown_figure,
    unit_of,
)
from farmdesk.reports.room_batches import Lane
from farmdesk.store.climate import typed_readings
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

_HOUR_STEPS = {300: tr("5 min"), 900: tr("15 min"), 1_800: tr("30 min")}
_MOST_FAULTS = 500
_MOST_BARS = 40


def labels(found: RoomClimate) -> list[str]:
    """The name of each span of time, in order."""
    formats = found.terms.formats
    return [
        label_of(found.start + at * found.step, found.step, formats) for at in range(found.count)
    ]


def climate_chart(found: RoomClimate, figure: str) -> Chart:
    """One figure over time: the mean of each span, its lowest and highest, what is wanted."""
    formats = found.terms.formats
    name, unit = CLIMATE_FIGURES[figure], unit_of(figure, formats)
    spans = found.spans.get(figure)
    if spans is None:
        return Chart("line", name, [], [], unit=unit)
    series = [_series(name, figure, spans, found)]
    wanted = found.limits(figure)
    for word, limit in ((tr("at least"), wanted.low), (tr("at most"), wanted.high)):
        shown = shown_figure(figure, limit, formats)
        if shown is not None:
            title = tr("wanted {word}").format(word=word)
            series.append(Series(title, [shown] * found.count))
    title = tr("{figure}, {room}, {first} to {last}").format(
        figure=name,
        room=found.room.name if found.room is not None else "",
        first=formats.day(found.first),
        last=formats.day(found.last),
    )
    return Chart("line", title, labels(found), series, unit=unit)


def bags_chart(found: RoomClimate) -> Chart:
    """How many bags stood in the room: not opened yet, and pinning or fruiting."""
    opened, closed = np.zeros(found.count), np.zeros(found.count)
    for lane in found.lanes:
        for bout in lane.bouts:
            first = max(0, (bout.start - found.start) // found.step)
            last = min(found.count, -(-(bout.end - found.start) // found.step))
            (opened if bout.is_open else closed)[first:last] += bout.bags
    series = [
        Series(tr("not opened"), [float(one) for one in closed]),
        Series(tr("pinning or fruiting"), [float(one) for one in opened]),
    ]
    # So many bars would be a blur; lines are not.
    kind: ChartKind = "stacked" if found.count <= _MOST_BARS else "line"
    return Chart(kind, tr("Bags in the room"), labels(found), series, unit=tr("bags"))


def say_climate(found: RoomClimate) -> str:
    """The climate in one sentence."""
    formats = found.terms.formats
    if found.room is None:
        return tr("There is no room yet. Make one in the catalogue.")
    if not found.readings:
        return tr("{room}: no readings from {first} to {last}.").format(
            room=found.room.name, first=formats.day(found.first), last=formats.day(found.last)
        )
    parts = [
        tr("{figure} {mean} {unit} on average ({low} to {high})").format(
            figure=CLIMATE_FIGURES[key], unit=unit_of(key, formats), **_extremes(found, key)
        )
        for key in FIGURES
        if np.any(found.spans[key].count)
    ]
    if found.mean_kinetic_c is not None:
        kinetic = formats.number(_shown(found, "celsius", found.mean_kinetic_c), 1)
        unit = unit_of("celsius", formats)
        parts.append(tr("mean kinetic temperature {value} {unit}").format(value=kinetic, unit=unit))
    return f"{found.room.name}: {'; '.join(parts)}."


def climate_table(found: RoomClimate) -> Table:
    """Every span with its figures."""
    formats = found.terms.formats
    warm, damp = unit_of("celsius", formats), "%"
    # Plain tables have keys for headings and no units beside them, so the key says the unit.
    degree = formats.temperature_unit.lower()
    columns = (
        Column("from", tr("From"), "instant"),
        Column(f"mean_{degree}", tr("Temperature"), "number", unit=warm, digits=1),
        Column(f"lowest_{degree}", tr("lowest"), "number", unit=warm, digits=1),
        Column(f"highest_{degree}", tr("highest"), "number", unit=warm, digits=1),
        Column("humidity", tr("Humidity"), "number", unit=damp, digits=1),
        Column("humidity_low", tr("lowest %"), "number", digits=1),
        Column("humidity_high", tr("highest %"), "number", digits=1),
        Column("co2", tr("CO₂"), "number", unit="ppm", digits=0),
        Column("co2_high", tr("highest ppm"), "number", digits=0),
        Column("vapour", tr("Vapour-pressure deficit"), "number", unit="kPa", digits=2),
        Column(f"dew_point_{degree}", tr("Dew point"), "number", unit=warm, digits=1),
        Column("water", tr("Humidity ratio"), "number", unit="g/kg", digits=1),
        Column("readings", tr("Readings"), "integer"),
    )
    rows = list(_span_rows(found)) if found.spans else []
    charts = [climate_chart(found, key) for key in CLIMATE_FIGURES if _has(found, key)]
    if found.lanes:
        charts.append(bags_chart(found))
    notes = [say_climate(found), *_notes(found)]
    title = tr("Climate")
    if found.room is not None:
        title = tr("Climate of {room}").format(room=found.room.name)
    return Table("climate", title, columns, rows, notes=notes, charts=charts)


def outside_table(found: RoomClimate) -> Table:
    """Hours outside the wanted range while a batch pinned or fruited here."""
    columns = (
        Column("batch", tr("Batch")),
        Column("open", tr("Hours opened"), "integer"),
        Column("measured", tr("of them measured"), "integer"),
        Column("cold", tr("too cold, h"), "integer"),
        Column("warm", tr("too warm, h"), "integer"),
        Column("dry", tr("too dry, h"), "integer"),
        Column("damp", tr("too damp, h"), "integer"),
        Column("stale", tr("CO₂ too high, h"), "integer"),
        Column("share", tr("Worst share"), "percent"),
        Column("species", tr("Species")),
        Column("bags", tr("Bags"), "integer"),
        Column("from", tr("Here from"), "instant"),
        Column("to", tr("to"), "instant"),
    )
    lanes = [one for one in found.lanes if one.open_hours]
    rows = [_outside_row(one) for one in lanes]
    notes = []
    worst = max(lanes, key=_worst_share, default=None)
    if worst is not None and _worst_share(worst) > 0:
        notes.append(
            tr("{batch} was outside its range longest: {share} of its measured hours.").format(
                batch=worst.name, share=found.terms.formats.percent(_worst_share(worst))
            )
        )
    elif lanes:
        notes.append(tr("No measured hour lay outside what the opened batches want."))
    notes.append(
        tr(
            "Counted: hours from {first} to {last} in which at least one bag of the batch was"
            " opened here, by the mean of each hour, against the range of its species. Hours"
            " without a reading count as not measured, never as good."
        ).format(
            first=found.terms.formats.day(found.first), last=found.terms.formats.day(found.last)
        )
    )
    if not found.follows_batches:
        text = tr("Batches are followed over {days} days at most: choose fewer days.")
        notes = [text.format(days=LONGEST_WITH_BATCHES)]
    return Table("climate_outside", tr("Hours outside the range"), columns, rows, notes=notes)


def faults_table(found: RoomClimate) -> Table:
    """Gaps in the readings and sensors that seem stuck."""
    columns = (
        Column("what", tr("What")),
        Column("figure", tr("Sensor")),
        Column("from", tr("From"), "instant"),
        Column("to", tr("To"), "instant"),
        Column("hours", tr("Hours"), "number", digits=1),
        Column("value", tr("Value"), "number", digits=1),
    )
    words = {"gap": tr("no readings"), "stuck": tr("stuck, or very steady")}
    rows = [
        (
            words[one.what],
            CLIMATE_FIGURES.get(one.figure, ""),
            instant_of(one.stretch.start),
            instant_of(one.stretch.end),
            one.stretch.hours,
            shown_figure(one.figure, one.stretch.value, found.terms.formats),
        )
        for one in found.faults[:_MOST_FAULTS]
    ]
    note = tr(
        "A gap is more than three times the usual step between readings, half an hour at least. A"
        " sensor that gives the very same figure for 12 hours (humidity and CO₂: 6 hours) may be"
        " stuck: breathe on it and see whether it moves."
    )
    first = tr("Nothing is missing and nothing is stuck.") if not rows else ""
    notes = [one for one in (first, note) if one]
    return Table("climate_faults", tr("Gaps and stuck sensors"), columns, rows, notes=notes)


def typed_table(reading: Reading, found: RoomClimate) -> Table:
    """Readings typed by hand, newest first; the first column is their id."""
    warm = unit_of("celsius", found.terms.formats)
    columns = (
        Column("id", tr("No."), "integer"),
        Column("at", tr("When"), "instant"),
        Column(
            f"read_{found.terms.formats.temperature_unit.lower()}",
            tr("Temperature"),
            "number",
            unit=warm,
            digits=1,
        ),
        Column("humidity", tr("Humidity"), "number", unit="%", digits=1),
        Column("co2", tr("CO₂"), "number", unit="ppm", digits=0),
        Column("typed", tr("As typed")),
        Column("note", tr("Note")),
    )
    rows: list[tuple[object, ...]] = []
    if found.room is not None:
        start, end = instant_of(found.start), instant_of(found.end)
        rows = [
            (
                one.id, one.at, _plain(found, "celsius", one.celsius),
                one.humidity, one.co2, one.typed, one.note,
            )
            for one in reversed(typed_readings(reading, found.room.id, start, end))
        ]  # fmt: skip
    return Table("climate_typed", tr("Typed readings"), columns, rows)


def climate_report(reading: Reading, *, now: str | None = None) -> Table:
    """The climate of the last week of the first room with readings, as a report."""
    return climate_table(room_climate(reading, ClimateQuestion(), now=now))


def _series(name: str, figure: str, spans: Spans, found: RoomClimate) -> Series:
    formats = found.terms.formats
    mean, low, high = (
        [shown_figure(figure, float(one), formats) for one in column]
        for column in (spans.mean, spans.low, spans.high)
    )
    has_band = figure in FIGURES and low != high
    return Series(name, mean, low if has_band else (), high if has_band else ())


def _span_rows(found: RoomClimate) -> Iterator[tuple[object, ...]]:
    for at in range(found.count):
        counts = [int(found.spans[key].count[at]) for key in FIGURES]
        if not any(counts):
            continue
        cells: list[object] = [instant_of(found.start + at * found.step)]
        for key in ("celsius", "humidity"):
            spans = found.spans[key]
            cells += [_cell(found, key, one[at]) for one in (spans.mean, spans.low, spans.high)]
        co2 = found.spans["co2"]
        cells += [_cell(found, "co2", co2.mean[at]), _cell(found, "co2", co2.high[at])]
        cells += [
            _cell(found, key, found.spans[key].mean[at]) for key in ("vapour", "dew_point", "water")
        ]
        yield (*cells, max(counts))


def _outside_row(lane: Lane) -> tuple[object, ...]:
    def hours(figure: str, side: str) -> int | None:
        found = lane.outside.get(figure)
        return None if found is None else int(getattr(found, side))

    measured = max((one.measured for one in lane.outside.values()), default=0)
    return (
        lane.name, lane.open_hours, measured, hours("celsius", "below"),
        hours("celsius", "above"), hours("humidity", "below"), hours("humidity", "above"),
        hours("co2", "above"), _worst_share(lane) if measured else None, lane.species, lane.bags,
        instant_of(lane.start), instant_of(lane.end),
    )  # fmt: skip


def _worst_share(lane: Lane) -> float:
    return max((_share(one) for one in lane.outside.values()), default=0.0)


def _share(one: HoursOutside) -> float:
    return 100 * one.outside / one.measured if one.measured else 0.0


def _notes(found: RoomClimate) -> Iterator[str]:
    formats = found.terms.formats
    yield tr(
        "{count} readings; each point is the mean of {step}, the band its lowest and highest."
    ).format(count=formats.number(found.readings), step=_say_step(found.step))
    yield tr(
        "Vapour-pressure deficit, dew point and humidity ratio are worked out from the mean of each"
        " span (ASHRAE equations, at sea level). Mean kinetic temperature: USP <1160>, over hours"
        " with readings."
    )


def _say_step(step: int) -> str:
    if step in _HOUR_STEPS:
        return _HOUR_STEPS[step]
    if step < DAY_S:
        return tr("{n} h").format(n=step // 3_600)
    return tr("{n} d").format(n=step // DAY_S)


def _extremes(found: RoomClimate, figure: str) -> dict[str, str]:
    spans = found.spans[figure]
    digits = 0 if figure == "co2" else 1
    mean = float(np.nansum(spans.mean * spans.count) / spans.count.sum())
    values = {
        "mean": mean,
        "low": float(np.nanmin(spans.low)),
        "high": float(np.nanmax(spans.high)),
    }
    return {
        word: found.terms.formats.number(_shown(found, figure, value), digits)
        for word, value in values.items()
    }


def _shown(found: RoomClimate, figure: str, value: float) -> float:
    shown = shown_figure(figure, float(value), found.terms.formats)
    return float("nan") if shown is None else shown


def _cell(found: RoomClimate, figure: str, value: float) -> float | None:
    return shown_figure(figure, float(value), found.terms.formats)


def _plain(found: RoomClimate, figure: str, value: object) -> float | None:
    return None if value is None else _shown(found, figure, float(str(value)))


def _has(found: RoomClimate, figure: str) -> bool:
    spans = found.spans.get(figure)
    return spans is not None and not bool(np.all(np.isnan(spans.mean)))
