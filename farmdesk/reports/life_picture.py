"""A thing's life as a picture: stages along the days, looks, pins, picks, where it went, notes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from farmdesk.domain.bags import Bag, Batch, Link
from farmdesk.domain.codes import kind_of
from farmdesk.domain.events import Entry
from farmdesk.domain.growth import GrowthLook
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.lab import Culture, HeatRun, Spawn
from farmdesk.domain.notes import Note
from farmdesk.domain.stages import ALIVE, DISCARDED, VOID
from farmdesk.paper.timelines import Bar, Counts, DayMark, MarkRow, Row, Timeline
from farmdesk.quantities.times import day_plus, local_day
from farmdesk.reports.farm_terms import FarmTerms
from farmdesk.store.life_spans import (
    bags_of_batch,
    entries_about,
    goings_of_lot,
    picks_of_bags,
)
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_state

_INKS = {stage: at for at, stage in enumerate(ALIVE)}
_ENDED_INK = 5
Spans = list[tuple[str, str]]
"""(first day, stage) of each stretch, in order."""


def read_timeline(reading: Reading, thing: int, terms: FarmTerms) -> Timeline | None:
    """What the picture of a thing's life shows."""
    make = {
        "bag": _bag, "batch": _batch, "spawn": _spawn, "pick": _lot, "pack": _lot,
        "culture": _culture, "run": _run,
    }.get(kind_of(thing))  # fmt: skip
    found = make(reading, thing, terms) if make is not None else None
    if found is None:
        return None
    notes = tuple(
        DayMark(local_day(one.noted_at, terms.farm.zone), one.text)
        for one in reading.all(Note, subject=thing)
    )
    marks = [*found.marks, MarkRow(tr("Notes"), "square", notes)]
    days = [one.day for row in marks for one in row.marks]
    return replace(
        found,
        first=min([found.first, *days]),
        last=max([found.last, *days]),
        marks=tuple(row for row in marks if row.marks),
    )


def find_spans(entries: Iterable[Entry], zone: str) -> dict[int, Spans]:
    """The stages that bags went through, by bag, as the day book tells them.

    What was taken back leaves no trace: a stage that began later than the one set now never was.
    """
    spans: dict[int, list[tuple[str, str]]] = {}
    for entry in entries:
        after = entry.after
        if not after or "stage" not in after:
            if entry.after is None:
                spans.pop(entry.subject, None)
            continue
        since = str(after.get("stage_since") or entry.happened_at)
        known = spans.setdefault(entry.subject, [])
        while known and known[-1][0] >= since:
            known.pop()
        if not known or known[-1][1] != str(after["stage"]):
            known.append((since, str(after["stage"])))
    return {
        bag: [(local_day(since, zone), stage) for since, stage in known]
        for bag, known in spans.items()
    }


def _bag(reading: Reading, thing: int, terms: FarmTerms) -> Timeline | None:
    bag = reading.get(Bag, thing)
    batch = reading.get(Batch, bag.batch) if bag is not None else None
    if bag is None or batch is None:
        return None
    entries = entries_about(reading, "bag", [thing])
    spans = find_spans(entries, terms.farm.zone).get(thing, [])
    bars = tuple(_bars(spans, terms.today))
    end = spans[-1][0] if spans and spans[-1][1] not in ALIVE else ""
    looks = sorted(
        {str(e.after["looked_on"]) for e in entries if e.after and e.after.get("looked_on")}
    )
    pins = (DayMark(bag.pinned_on, tr("first pins seen")),) if bag.pinned_on else ()
    return _timeline(
        terms,
        batch.inoculated_on,
        rows=(Row(tr("Stage"), bars), *_place_rows(entries, terms, end)),
        marks=(
            MarkRow(tr("Looks"), "triangle", tuple(DayMark(d, tr("looked at")) for d in looks)),
            MarkRow(tr("Pins"), "diamond", pins),
            _picks(reading, [thing], terms),
        ),
        is_over=bag.stage not in ALIVE,
    )


def _place_rows(entries: Sequence[Entry], terms: FarmTerms, end: str) -> Iterator[Row]:
    """The places a bag stood in, one after another, up to its end."""
    places: list[tuple[str, str]] = []
    room, shelf = "", ""
    for entry in entries:
        after = entry.after or {}
        if "room" not in after and "shelf" not in after:
            continue
        if "room" in after:
            room = terms.room_name(after["room"]) if isinstance(after["room"], int) else ""
        shelf = str(after.get("shelf", shelf) or "")
        while places and places[-1][0] >= entry.happened_at:
            places.pop()
        places.append((entry.happened_at, f"{room} {shelf}".strip()))
    if not any(name for _, name in places):
        return
    zone = terms.farm.zone
    days = [(local_day(since, zone), name) for since, name in places]
    ends = [day for day, _ in days[1:]] + [day_plus(end or terms.today, 1)]
    bars = [
        Bar(name, day, max(day, day_plus(end, -1)), at)
        for at, ((day, name), end) in enumerate(zip(days, ends, strict=True))
        if name
    ]
    yield Row(tr("Place"), tuple(bars))


def _bars(spans: Spans, today: str) -> Iterator[Bar]:
    ends = [day for day, _ in spans[1:]] + [day_plus(today, 1)]
    for (day, stage), end in zip(spans, ends, strict=True):
        if stage in ALIVE:
            yield Bar(say_state(stage), day, max(day, day_plus(end, -1)), _INKS[stage])
        else:
            yield Bar(say_state(stage), day, day, _ENDED_INK)


def _batch(reading: Reading, thing: int, terms: FarmTerms) -> Timeline | None:
    batch = reading.get(Batch, thing)
    if batch is None:
        return None
    bags = bags_of_batch(reading, thing)
    spans = find_spans(entries_about(reading, "bag", bags), terms.farm.zone)
    counts = count_stages(spans.values())
    alive = any(one and one[-1][1] in ALIVE for one in spans.values())
    return _timeline(
        terms,
        batch.inoculated_on,
        counts=counts,
        marks=(_picks(reading, bags, terms),),
        is_over=not alive,
        last=counts.days[-1][0] if counts.days else "",
    )


def count_stages(spans: Iterable[Spans]) -> Counts:
    """How many bags were in which stage, from each day on which that changed."""
    changes: dict[str, list[tuple[str, int]]] = {}
    for one in spans:
        before = ""
        for day, stage in one:
            if stage == VOID:
                continue
            changes.setdefault(day, []).append((stage, 1))
            if before:
                changes[day].append((before, -1))
            before = stage
    standing = dict.fromkeys(ALIVE, 0)
    days: list[tuple[str, tuple[int, ...]]] = []
    for day in sorted(changes):
        for stage, number in changes[day]:
            if stage in standing:
                standing[stage] += number
        days.append((day, tuple(standing.values())))
    kinds = tuple(say_state(stage) for stage in ALIVE)
    return Counts(tr("Bags"), kinds, tuple(days))


def _picks(reading: Reading, bags: Sequence[int], terms: FarmTerms) -> MarkRow:
    marks = []
    for one in picks_of_bags(reading, bags):
        words = tr("{mass} picked, flush {flush}, {pick}").format(
            mass=terms.formats.mass(one.amount_mg), flush=one.flush or 1, pick=one.name
        )
        marks.append(DayMark(local_day(one.picked_at, terms.farm.zone), words, one.id))
    return MarkRow(tr("Picks"), "circle", tuple(marks))


def _spawn(reading: Reading, thing: int, terms: FarmTerms) -> Timeline | None:
    spawn = reading.get(Spawn, thing)
    if spawn is None:
        return None
    entries = entries_about(reading, "spawn", [thing])
    marks, left = [], spawn.made_mg
    for entry in entries:
        now_left = entry.after.get("left_mg") if entry.after else None
        if isinstance(now_left, int) and now_left != left:
            words = tr("{mass} left").format(mass=terms.formats.mass(now_left))
            marks.append(DayMark(local_day(entry.happened_at, terms.farm.zone), words))
            left = now_left
    is_over = spawn.status == DISCARDED or not spawn.left_mg
    end = local_day(entries[-1].happened_at, terms.farm.zone) if is_over else terms.today
    bars = (Bar(say_state(spawn.status), spawn.made_on, max(end, spawn.made_on)),)
    use_by = (DayMark(spawn.use_by, tr("to be used by")),) if spawn.use_by else ()
    return _timeline(
        terms,
        spawn.made_on,
        rows=(Row(tr("Spawn"), bars),),
        marks=(MarkRow(tr("Taken"), "circle", tuple(marks)),
               MarkRow(tr("Use by"), "diamond", use_by)),
        is_over=is_over,
        last=end,
    )  # fmt: skip


def _lot(reading: Reading, thing: int, terms: FarmTerms) -> Timeline | None:
    pick, pack = reading.get(Pick, thing), reading.get(Pack, thing)
    lot = pick or pack
    if lot is None:
        return None
    zone, formats = terms.farm.zone, terms.formats
    begun = local_day(pick.picked_at, zone) if pick is not None else lot.packed_on  # type: ignore[union-attr]
    goings = goings_of_lot(reading, thing)
    sold, gone = list[DayMark](), list[DayMark]()
    for one in goings:
        amount = formats.mass(one.amount_mg) if one.amount_mg else ""
        amount = amount or formats.count(one.packs, tr("pack"), tr("packs"))
        day = one.at if len(one.at) == len(begun) else local_day(one.at, zone)
        (sold if one.is_delivery else gone).append(DayMark(day, f"{amount}, {one.what}"))
    packs = [
        DayMark(local_day(entry.happened_at, zone), tr("packed"), entry.subject)
        for entry in _packed_from(reading, thing)
    ]
    rows = []
    if lot.shelf_on:
        bars = [Bar(tr("keeps until {day}").format(day=formats.day(lot.shelf_on)), begun,
                    max(begun, lot.shelf_on))]  # fmt: skip
        rows.append(Row(tr("Shelf life"), tuple(bars)))
    sell_by = (DayMark(lot.sell_by, tr("to be sold by")),) if lot.sell_by else ()
    left = lot.left_mg if pick is not None else lot.left  # type: ignore[union-attr]
    last = max([begun, *(one.day for one in (*sold, *gone, *packs)), lot.shelf_on or begun])
    return _timeline(
        terms,
        begun,
        rows=tuple(rows),
        marks=(
            MarkRow(tr("Sell by"), "diamond", sell_by),
            MarkRow(tr("Packed"), "square", tuple(packs)),
            MarkRow(tr("Delivered"), "circle", tuple(sold)),
            MarkRow(tr("Other use"), "triangle", tuple(gone)),
        ),
        is_over=not left,
        last=last,
    )


def _packed_from(reading: Reading, pick: int) -> list[Entry]:
    return [
        entry
        for entry in entries_about(reading, "pack", _packs_of(reading, pick))
        if entry.before is None and entry.undoes is None
    ]


def _packs_of(reading: Reading, pick: int) -> list[int]:
    return [one.child for one in reading.all(Link, parent=pick) if kind_of(one.child) == "pack"]


def _culture(reading: Reading, thing: int, terms: FarmTerms) -> Timeline | None:
    culture = reading.get(Culture, thing)
    if culture is None:
        return None
    number = terms.formats.number
    looks = tuple(
        DayMark(one.looked_on, tr("{mm} mm grown").format(mm=number(one.radius_um / 1000, 1)))
        for one in reading.all(GrowthLook, culture=thing)
    )
    bars = (Bar(say_state(culture.status), culture.made_on, max(culture.made_on, terms.today)),)
    return _timeline(
        terms, culture.made_on, rows=(Row(tr("Culture"), bars),),
        marks=(MarkRow(tr("Growth"), "triangle", looks),), is_over=False,
    )  # fmt: skip


def _run(reading: Reading, thing: int, terms: FarmTerms) -> Timeline | None:
    run = reading.get(HeatRun, thing)
    if run is None:
        return None
    formats, zone = terms.formats, terms.farm.zone
    heat = [
        DayMark(local_day(at, zone), f"{words} {formats.instant(at)}")
        for at, words in (
            (run.started_at, tr("heating begun")),
            (run.hot_at, tr("at temperature")),
            (run.ended_at, tr("heating ended")),
        )
        if at
    ]
    made = tuple(
        DayMark(one.inoculated_on, one.name, one.id) for one in reading.all(Batch, run=thing)
    )
    last = max([run.run_on, *(one.day for one in (*heat, *made))])
    bars = (Bar(say_state(run.status), run.run_on, last),)
    return _timeline(
        terms, run.run_on, rows=(Row(tr("Heat run"), bars),),
        marks=(MarkRow(tr("Heat"), "diamond", tuple(heat)),
               MarkRow(tr("Inoculated"), "circle", made)),
        is_over=True, last=last,
    )  # fmt: skip


def _timeline(
    terms: FarmTerms,
    first: str,
    *,
    is_over: bool,
    rows: tuple[Row, ...] = (),
    counts: Counts | None = None,
    marks: tuple[MarkRow, ...] = (),
    last: str = "",
) -> Timeline:
    """From the first day to the last of all that is drawn, and to today while it goes on."""
    days = [first, *(bar.last for row in rows for bar in row.bars if is_over)]
    days += [one.day for row in marks for one in row.marks]
    days += [last] if last else []
    if not is_over:
        days.append(terms.today)
    return Timeline(
        title=tr("What happened day by day"),
        first=min(days),
        last=day_plus(max(days), 1),
        today=terms.today,
        rows=rows,
        counts=counts,
        marks=marks,
    )
