"""A life along the days: bars with words in them, counts that rise and fall, marks by shape."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from farmdesk.paper.fonts import text_width_mm
from farmdesk.paper.pages import Mark, Shape, TextRun
from farmdesk.paper.pictures import (
    HAIR,
    INK,
    PALE,
    SMALL_PT,
    Picture,
    Spot,
    rectangle,
    sign,
    stroke,
    text_in,
)
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_LABEL_MM, _ROW_MM, _BAR_MM, _AREA_MM, _AXIS_MM = 34.0, 8.0, 10.0, 44.0, 7.0
_STEPS = (1, 2, 7, 14, 28, 56, 91, 182, 364, 728)
_TICK_MM = 24.0
_LEAST_WIDE_MM, _LEAST_TALL_MM, _SWATCH_MM = 12.0, 3.4, 3.4


@dataclass(frozen=True)
class Bar:
    """A stretch of days, the last one counted, with what it was in a word or two."""

    words: str
    first: str
    last: str
    ink: int = 0


@dataclass(frozen=True)
class Row:
    """Bars that follow each other, under one name."""

    name: str
    bars: tuple[Bar, ...]


@dataclass(frozen=True)
class DayMark:
    """Something that happened on a day."""

    day: str
    words: str
    target: object = None


@dataclass(frozen=True)
class MarkRow:
    """Marks of one kind, drawn by one shape under one name."""

    name: str
    shape: str
    marks: tuple[DayMark, ...]


@dataclass(frozen=True)
class Counts:
    """How many there were of each kind, from one day on until the next."""

    name: str
    kinds: tuple[str, ...]
    days: tuple[tuple[str, tuple[int, ...]], ...]


@dataclass(frozen=True)
class Timeline:
    """A life from its first day to its last; today is a line where it lies among them."""

    title: str
    first: str
    last: str
    today: str
    rows: tuple[Row, ...] = ()
    counts: Counts | None = None
    marks: tuple[MarkRow, ...] = ()


def draw_timeline(life: Timeline, formats: Formats, *, width_mm: float = 182.0) -> Picture:
    """The picture of a life, with a spot for each bar, mark and change of counts."""
    return _Drawing(life, formats, width_mm).draw()


class _Drawing:
    def __init__(self, life: Timeline, formats: Formats, width_mm: float) -> None:
        self._life, self._formats, self._wide = life, formats, width_mm
        self._first = date.fromisoformat(life.first)
        self._days = max(1, (date.fromisoformat(life.last) - self._first).days + 1)
        self._marks: list[Mark] = []
        self._spots: list[Spot] = []
        self._top = 0.0

    def draw(self) -> Picture:
        self._draw_axis()
        under = self._top
        for row in self._life.rows:
            self._draw_row(row)
        if self._life.counts is not None:
            self._draw_counts(self._life.counts)
        for marks in self._life.marks:
            self._draw_marks(marks)
        self._draw_today(under)
        told = [spot.words for spot in self._spots]
        words = f"{self._life.title}. {' '.join(told)}"
        return Picture(self._wide, self._top + 2, tuple(self._marks), tuple(self._spots), words)

    def _x(self, day: str) -> float:
        gone = (date.fromisoformat(day) - self._first).days
        room = self._wide - _LABEL_MM
        return _LABEL_MM + room * min(max(gone, 0), self._days) / self._days

    def _draw_axis(self) -> None:
        room = self._wide - _LABEL_MM
        fits = (step for step in _STEPS if room * step / self._days >= _TICK_MM)
        step = next(fits, _STEPS[-1])
        for gone in range(0, self._days, step):
            day = (self._first + timedelta(gone)).isoformat()
            x = self._x(day)
            if self._wide - x >= _TICK_MM - 2 or gone == 0:
                self._marks.append(TextRun(x + 0.6, 4.0, self._formats.day(day), SMALL_PT))
            self._marks.append(stroke([(x, 1.0), (x, _AXIS_MM)], ink=HAIR))
        self._marks.append(stroke([(_LABEL_MM, _AXIS_MM), (self._wide, _AXIS_MM)], ink=HAIR))
        self._top = _AXIS_MM + 2

    def _name(self, name: str, height: float) -> None:
        self._marks += text_in(name, (0, self._top, _LABEL_MM - 3, height), bold=True, lines=2,
                               size_pt=SMALL_PT)  # fmt: skip

    def _draw_row(self, row: Row) -> None:
        self._name(row.name, _BAR_MM)
        for bar in row.bars:
            left = self._x(bar.first)
            after = (date.fromisoformat(bar.last) + timedelta(1)).isoformat()
            wide = max(1.2, self._x(after) - left)
            self._marks.append(
                rectangle(left, self._top, wide, _BAR_MM, fill=PALE[bar.ink % len(PALE)])
            )
            if wide > _LEAST_WIDE_MM - 3:
                self._marks += text_in(bar.words, (left + 1, self._top, wide - 2, _BAR_MM),
                                       lines=2, middle=True, size_pt=SMALL_PT)  # fmt: skip
            words = tr("{what}, {first} to {last}.").format(
                what=bar.words,
                first=self._formats.day(bar.first),
                last=self._formats.day(bar.last),
            )
            self._spots.append(Spot(left, self._top, wide, _BAR_MM, words))
        self._top += _BAR_MM + 2

    def _draw_counts(self, counts: Counts) -> None:
        most = max((sum(numbers) for _, numbers in counts.days), default=0)
        if not most:
            return
        self._name(counts.name, _AREA_MM)
        floor = self._top + _AREA_MM
        scale = _AREA_MM / most
        ends = [day for day, _ in counts.days[1:]]
        ends.append((date.fromisoformat(self._life.last) + timedelta(1)).isoformat())
        for (day, numbers), end in zip(counts.days, ends, strict=True):
            left, right = self._x(day), self._x(end)
            base = floor
            for at, number in enumerate(numbers):
                if number:
                    tall = number * scale
                    fill = PALE[at % len(PALE)]
                    self._marks.append(
                        rectangle(left, base - tall, right - left, tall, fill=fill, line=0.0)
                    )
                    base -= tall
            self._spots.append(
                Spot(
                    left, self._top, right - left, _AREA_MM, self._say_counts(day, counts, numbers)
                )
            )
        self._outline(counts, ends, floor, scale)
        self._write_kinds(counts, ends, floor, scale)
        self._marks.append(stroke([(_LABEL_MM, floor), (self._wide, floor)]))
        self._marks.append(
            TextRun(_LABEL_MM - 2 - 2.0 * len(str(most)), self._top + 3, str(most), SMALL_PT)
        )
        self._top = floor + 3
        self._draw_legend(counts.kinds)

    def _outline(self, counts: Counts, ends: Sequence[str], floor: float, scale: float) -> None:
        """A line above each kind, so that kinds part in grey too."""
        for kind in range(len(counts.kinds)):
            points: list[tuple[float, float]] = []
            for (day, numbers), end in zip(counts.days, ends, strict=True):
                y = floor - sum(numbers[: kind + 1]) * scale
                points += [(self._x(day), y), (self._x(end), y)]
            self._marks.append(Shape(tuple(points), 0.25, INK))

    def _write_kinds(self, counts: Counts, ends: Sequence[str], floor: float, scale: float) -> None:
        """Each kind's name once, where it has most room."""
        for kind, name in enumerate(counts.kinds):

            def room(at: int, kind: int = kind) -> float:
                day, numbers = counts.days[at]
                return (self._x(ends[at]) - self._x(day)) * numbers[kind]

            at = max(range(len(counts.days)), key=room)
            day, numbers = counts.days[at]
            left, right = self._x(day), self._x(ends[at])
            tall = numbers[kind] * scale
            top = floor - sum(numbers[: kind + 1]) * scale
            text = f"{name} {numbers[kind]}"
            if text_width_mm(text, SMALL_PT) < right - left - 2 and tall > _LEAST_TALL_MM:
                area = (left + 1, top, right - left - 2, tall)
                self._marks += text_in(text, area, middle=True, size_pt=SMALL_PT)

    def _draw_legend(self, kinds: Sequence[str]) -> None:
        """From the lowest kind to the highest: what each fill means."""
        x = _LABEL_MM
        for at, name in enumerate(kinds):
            self._marks.append(
                rectangle(x, self._top, _SWATCH_MM, _SWATCH_MM, fill=PALE[at % len(PALE)], ink=INK)
            )
            x += _SWATCH_MM + 1.5
            self._marks.append(TextRun(x, self._top + _SWATCH_MM - 0.6, name, SMALL_PT))
            x += text_width_mm(name, SMALL_PT) + 5
        self._top += _SWATCH_MM + 3

    def _say_counts(self, day: str, counts: Counts, numbers: Sequence[int]) -> str:
        parts = [
            f"{name} {self._formats.number(number)}"
            for name, number in zip(counts.kinds, numbers, strict=True)
            if number
        ]
        return tr("From {day}: {parts}.").format(
            day=self._formats.day(day), parts=", ".join(parts) or tr("none")
        )

    def _draw_marks(self, row: MarkRow) -> None:
        self._name(row.name, _ROW_MM)
        middle = self._top + _ROW_MM / 2
        self._marks.append(stroke([(_LABEL_MM, middle), (self._wide, middle)], ink=HAIR))
        for one in row.marks:
            x = self._x(one.day)
            self._marks.append(sign(row.shape, x, middle))
            words = f"{self._formats.day(one.day)}: {one.words}"
            self._spots.append(Spot(x - 2.5, self._top, 5.0, _ROW_MM, words, one.target))
        self._top += _ROW_MM

    def _draw_today(self, under: float) -> None:
        if self._life.first <= self._life.today <= self._life.last:
            x = self._x(self._life.today)
            self._marks.append(stroke([(x, under - 2), (x, self._top)], line=0.5, ink=INK,
                                      dash=(1.2, 0.8)))  # fmt: skip
            text = tr("today")
            left = x - 11 if x > self._wide - 12 else x + 0.8
            self._marks.append(TextRun(left, self._top + 1.5, text, SMALL_PT, bold=True))
            self._top += 2
