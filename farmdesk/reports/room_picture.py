"""A room drawn: its shelves with the batches on them, and its weeks against its places."""

from __future__ import annotations

from typing import NamedTuple

from farmdesk.paper.fonts import text_width_mm
from farmdesk.paper.pages import Mark
from farmdesk.paper.pictures import (
    EDGE,
    HAIR,
    INK,
    PALE,
    SMALL_PT,
    TEXT_PT,
    Picture,
    Spot,
    rectangle,
    sign,
    stroke,
    text_in,
)
from farmdesk.reports.room_shelves import Group, RoomShelves, Shelf, Week
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr, tr_count
from farmdesk.wording.states import say_state

_FILLS = {"incubating": PALE[0], "colonised": PALE[1], "fruiting": PALE[3], "resting": PALE[4]}
_HEAD_MM, _ROW_MM, _BAR_MM, _NAME_MM, _GAP_MM = 8.0, 8.6, 7.2, 13.0, 8.0
_WEEKS_MM, _AXIS_MM, _WEEK_HEAD_MM = 46.0, 5.0, 6.0
_SIDE_BY_SIDE_MM = 220.0
"""Where there is so much room, the weeks stand beside the shelves, else below them."""
_WEEKS_SHARE = 0.38


class Place(NamedTuple):
    """What a spot leads to: bags of a batch in one stage, on a shelf of a room."""

    room: int
    shelf: str
    batch: int
    name: str
    stage: str


def draw_room(one: RoomShelves, formats: Formats, *, width_mm: float) -> Picture:
    """A room under its name; each batch on a shelf and each week is a spot."""
    beside = bool(one.weeks) and width_mm >= _SIDE_BY_SIDE_MM
    wide = width_mm * (1 - _WEEKS_SHARE) - _GAP_MM if beside else width_mm
    drawn = _Drawing(one, formats)
    drawn.head(width_mm)
    below = drawn.shelves(wide)
    if beside:
        drawn.weeks(wide + _GAP_MM, _HEAD_MM, width_mm * _WEEKS_SHARE)
        below = max(below, _HEAD_MM + _WEEKS_MM + _WEEK_HEAD_MM + _AXIS_MM)
    elif one.weeks:
        drawn.weeks(0.0, below + 2, width_mm)
        below += 2 + _WEEKS_MM + _WEEK_HEAD_MM + _AXIS_MM
    words = f"{say_room(one, formats)} {' '.join(spot.words for spot in drawn.spots)}"
    return Picture(width_mm, below, tuple(drawn.marks), tuple(drawn.spots), words)


def say_room(one: RoomShelves, formats: Formats) -> str:
    """How full a room is, in a sentence."""
    facts = {"room": one.room.name, "bags": say_bags(one.bags, formats)}
    if not one.room.capacity:
        return tr("{room}: {bags}.").format(**facts)
    over = one.bags - one.room.capacity
    facts |= {
        "places": formats.number(one.room.capacity),
        "percent": formats.number(round(100 * one.bags / one.room.capacity)),
        "over": formats.number(over),
    }
    if over > 0:
        return tr("{room}: ▲ {bags} on {places} places, {over} too many.").format(**facts)
    return tr("{room}: {bags} on {places} places, {percent} % full.").format(**facts)


def say_bags(count: int, formats: Formats) -> str:
    """So many bags."""
    return tr_count(count, "{n} bag", "{n} bags").format(n=formats.number(count))


def say_week(one: RoomShelves, week: Week, formats: Formats) -> str:
    """How full a room becomes in a week, in a sentence."""
    facts = {
        "room": one.room.name, "week": week.week, "day": formats.day(week.day),
        "taken": formats.number(week.taken), "standing": formats.number(week.standing),
        "places": formats.number(one.room.capacity),
    }  # fmt: skip
    words = tr(
        "{room} in week {week}: at most {taken} bags on {places} places, on {day}; of what stands"
        " now {standing}."
    )
    if week.taken > one.room.capacity:
        words = tr(
            "{room} in week {week}: ▲ {taken} bags on {places} places, on {day}, too many; of what"
            " stands now {standing}."
        )
    return words.format(**facts)


class _Drawing:
    """Marks and spots of one room as they come."""

    def __init__(self, one: RoomShelves, formats: Formats) -> None:
        self.one = one
        self.formats = formats
        self.marks: list[Mark] = []
        self.spots: list[Spot] = []

    def head(self, wide: float) -> None:
        """The room's name and how full it is, under a line."""
        words = say_room(self.one, self.formats)
        rest = self._key(wide)
        self.marks += text_in(words, (0, 0, rest, _HEAD_MM - 1.5), bold=True, size_pt=11)
        self.marks.append(stroke([(0, _HEAD_MM - 1.0), (wide, _HEAD_MM - 1.0)], ink=EDGE))

    def _key(self, wide: float) -> float:
        """Which fill is which stage, from the right; returns how much room is left of it."""
        groups = [one for shelf in self.one.shelves for one in shelf.groups]
        stages = [stage for stage in _FILLS if any(one.stage == stage for one in groups)]
        right = wide
        for stage in reversed(stages):
            word = say_state(stage)
            width = text_width_mm(word, SMALL_PT) + 1.0
            if right - width - 8 < wide * 0.55:
                break
            self.marks += text_in(word, (right - width, 1, width, 5), size_pt=SMALL_PT)
            right -= width + 4.5
            box = rectangle(right, 1.8, 3.4, 3.4, fill=_FILLS[stage], ink=INK)
            self.marks.append(box)
            right -= 3.0
        return right - 2.0

    def shelves(self, wide: float) -> float:
        """The shelves one below another; returns where they end."""
        most = max((max(one.places, one.bags) for one in self.one.shelves), default=0)
        room = wide - _NAME_MM
        top = _HEAD_MM + 1.0
        for shelf in self.one.shelves:
            self._shelf(shelf, top, room, room / most if most else 0.0)
            top += _ROW_MM
        return top

    def _shelf(self, shelf: Shelf, top: float, room: float, mm_each: float) -> None:
        name = shelf.name or "–"
        self.marks += text_in(name, (0, top, _NAME_MM - 1, _BAR_MM), bold=True)
        left = _NAME_MM
        for group in shelf.groups:
            width = group.bags * mm_each
            self._group(shelf, group, (left, top, width, _BAR_MM))
            left += width
        right = _NAME_MM + max(shelf.places, shelf.bags) * mm_each
        if not mm_each:
            right = _NAME_MM + room
        if right - left > 0.3:
            self._free(shelf, (left, top, right - left, _BAR_MM))

    def _group(self, shelf: Shelf, group: Group, area: tuple[float, float, float, float]) -> None:
        left, top, width, height = area
        fill = _FILLS.get(group.stage, PALE[5])
        line = 0.7 if group.is_late else 0.25
        self.marks.append(rectangle(left, top, width, height, fill=fill, line=line, ink=INK))
        late = "▲ " if group.is_late else ""
        inner = (left + 1.0, top, width - 2.0, height)
        facts = {"name": group.name, "bags": say_bags(group.bags, self.formats),
                 "age": self.formats.number(group.age), "late": late}  # fmt: skip
        long = tr("{late}{name}  ·  {bags}  ·  {age} d").format(**facts)
        short = f"{late}{group.name}"
        for words in (long, short, late.strip()):
            if words and text_width_mm(words, SMALL_PT) <= inner[2]:
                self.marks += text_in(words, inner, size_pt=TEXT_PT)
                break
        target = Place(self.one.room.id, shelf.name, group.batch, group.name, group.stage)
        self.spots.append(Spot(*area, self._say_group(shelf, group), target))

    def _say_group(self, shelf: Shelf, group: Group) -> str:
        words = tr("{room}, shelf {shelf}: {name}, {species}, {bags} {stage}, {age} days old.")
        if not shelf.name:
            words = tr("{room}, shelf not told: {name}, {species}, {bags} {stage},"
                       " {age} days old.")  # fmt: skip
        said = words.format(
            room=self.one.room.name, shelf=shelf.name, name=group.name, species=group.species,
            bags=say_bags(group.bags, self.formats), stage=say_state(group.stage),
            age=self.formats.number(group.age),
        )  # fmt: skip
        return f"{said} {tr('▲ Longer than usual: look at it.')}" if group.is_late else said

    def _free(self, shelf: Shelf, area: tuple[float, float, float, float]) -> None:
        left, top, width, height = area
        self.marks.append(rectangle(*area, line=0.15, ink=HAIR, dash=(1.0, 0.8)))
        free = self.formats.number(shelf.free)
        words = tr("about {n} free").format(n=free) if shelf.places else tr("empty")
        inner = (left + 1.0, top, width - 2.0, height)
        if width > 18:
            self.marks += text_in(words, inner, size_pt=SMALL_PT)
        if not shelf.groups:
            said = tr("{room}, shelf {shelf}: empty, room for about {bags}.")
            if not shelf.places:
                said = tr("{room}: empty.")
            facts = {"room": self.one.room.name, "shelf": shelf.name,
                     "bags": say_bags(shelf.free, self.formats)}  # fmt: skip
            self.spots.append(Spot(*area, said.format(**facts)))

    def weeks(self, left: float, top: float, wide: float) -> None:
        """The fullest day of each week as a bar, under the line of the room's places."""
        title = tr("Fullest day of each week: filled what stands now, outlined with the plan")
        self.marks += text_in(title, (left, top, wide, _WEEK_HEAD_MM), size_pt=SMALL_PT)
        base = top + _WEEK_HEAD_MM + _WEEKS_MM
        most = max(self.one.room.capacity, *(week.taken for week in self.one.weeks), 1)
        mm_each = (_WEEKS_MM - 7.0) / most
        step = wide / len(self.one.weeks)
        for at, week in enumerate(self.one.weeks):
            self._week(week, (left + at * step, base, step), mm_each)
        line = base - self.one.room.capacity * mm_each
        self.marks.append(stroke([(left, line), (left + wide, line)], line=0.5, ink=INK,
                                 dash=(2.0, 1.0)))  # fmt: skip
        self.marks.append(stroke([(left, base), (left + wide, base)], line=0.3, ink=INK))
        places = tr("{n} places").format(n=self.formats.number(self.one.room.capacity))
        self.marks += text_in(places, (left + 1, line - 4.6, 30, 4.4), size_pt=SMALL_PT)

    def _week(self, week: Week, at: tuple[float, float, float], mm_each: float) -> None:
        left, base, step = at
        bar, x = step * 0.64, left + step * 0.18
        is_over = week.taken > self.one.room.capacity
        tall, now = week.taken * mm_each, week.standing * mm_each
        fill = PALE[3] if is_over else "#FFFFFF"
        self.marks.append(rectangle(x, base - tall, bar, tall, fill=fill, line=0.35, ink=INK))
        self.marks.append(rectangle(x, base - now, bar, now, fill=PALE[1], line=0.35, ink=INK))
        number = self.formats.number(week.taken)
        self.marks += text_in(
            number, (left + 0.3, base - tall - 4.0, step - 0.6, 3.8), size_pt=7, middle=True
        )
        if is_over:
            self.marks.append(sign("triangle", x + bar / 2, base - tall - 5.0, 1.5))
        self.marks += text_in(
            week.week[-2:], (left, base + 0.4, step, _AXIS_MM - 0.6), size_pt=SMALL_PT, middle=True
        )
        area = (left, base - _WEEKS_MM, step, _WEEKS_MM + _AXIS_MM)
        self.spots.append(Spot(*area, say_week(self.one, week, self.formats)))
