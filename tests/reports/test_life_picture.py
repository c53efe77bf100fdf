"""Spans, counts and pictures of lives, from the day book as it was written."""

from __future__ import annotations

from farmdesk.domain.events import Entry
from farmdesk.paper.pages import extent_of
from farmdesk.paper.timelines import Bar, Counts, DayMark, MarkRow, Row, Timeline, draw_timeline
from farmdesk.reports.life_picture import count_stages, find_spans
from farmdesk.wording.formats import Formats


def entry(number: int, stage: str, since: str) -> Entry:
    return Entry(
        number, f"a{number}", 1, "bag_moved", "bag", 7, 0, {},
        {"stage": stage, "stage_since": since}, since, since, None, "desk", None, "",
    )  # fmt: skip


def test_what_was_taken_back_leaves_no_span() -> None:
    entries = [
        entry(1, "incubating", "2026-03-01T08:00:00Z"),
        entry(2, "colonised", "2026-03-15T08:00:00Z"),
        entry(3, "spent", "2026-03-16T08:00:00Z"),  # a slip, taken back:
        entry(4, "colonised", "2026-03-15T08:00:00Z"),
        entry(5, "fruiting", "2026-03-20T08:00:00Z"),
    ]
    assert find_spans(entries, "UTC") == {
        7: [("2026-03-01", "incubating"), ("2026-03-15", "colonised"), ("2026-03-20", "fruiting")]
    }


def test_bags_are_counted_by_stage_from_each_change_on() -> None:
    counts = count_stages([
        [("2026-03-01", "incubating"), ("2026-03-10", "colonised"), ("2026-03-12", "fruiting")],
        [("2026-03-01", "incubating"), ("2026-03-11", "discarded")],
        [("2026-03-01", "void")],
    ])  # fmt: skip
    assert counts.kinds == ("incubating", "colonised", "fruiting", "resting")
    assert counts.days == (
        ("2026-03-01", (2, 0, 0, 0)),
        ("2026-03-10", (1, 1, 0, 0)),
        ("2026-03-11", (0, 1, 0, 0)),
        ("2026-03-12", (0, 0, 1, 0)),
    )


def test_a_life_is_drawn_inside_its_picture_and_said() -> None:
    life = Timeline(
        "Life", "2026-03-01", "2026-04-30", "2026-04-10",
        rows=(Row("Stage", (Bar("incubating", "2026-03-01", "2026-03-14"),
                            Bar("fruiting", "2026-03-15", "2026-04-30", 2))),),
        counts=Counts("Bags", ("a", "b"), (("2026-03-01", (3, 0)), ("2026-03-20", (1, 2)))),
        marks=(MarkRow("Picks", "circle", (DayMark("2026-04-02", "0.6 kg", 5),)),),
    )  # fmt: skip
    picture = draw_timeline(life, Formats(), width_mm=150)
    for mark in picture.marks:
        left, top, right, bottom = extent_of(mark)
        assert left >= -0.5
        assert top >= -0.5
        assert right <= 151.5
        assert bottom <= picture.height_mm + 0.5
    words = [spot.words for spot in picture.spots]
    assert words[0].startswith("incubating, ")
    assert words[-1].endswith("0.6 kg")
    assert picture.spots[-1].target == 5
    assert all(word in picture.words for word in words)
    # Thirteen of sixty-one days of the 116 mm beside the names, and the first one.
    first = picture.spots[0]
    assert abs(first.width_mm - 116 * 14 / 61) < 0.01
