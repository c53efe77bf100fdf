import random

import pytest

from farmdesk.paper.fonts import (
    ELLIPSIS,
    REPLACEMENT,
    clean_text,
    face,
    fit_text,
    line_mm,
    text_width_mm,
    visual_text,
)

HOSTILE = [
    "Blue oyster",
    "'\"; DROP TABLE bags; --",
    '=HYPERLINK("x")',
    "emoji \U0001f344\U0001f600\u200d\u2642\ufe0f",
    "שלום עולם",
    "فطر المحار الأزرق",
    "中文蘑菇",
    "W" * 300,
    "word " * 60,
    "i" * 3,
    "a\nb\tc\x00d\u202ee",
    "\ud800",
    "e\u0301" * 40,
    "",
    "   ",
]


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize("bold", [False, True])
def test_fitted_text_never_runs_over(text, bold):
    chance = random.Random(128)
    for _ in range(25):
        width, height = chance.uniform(1.0, 80.0), chance.uniform(1.0, 20.0)
        lines = chance.choice((1, 2, 4))
        fitted = fit_text(
            text,
            width,
            height_mm=height,
            size_pt=chance.choice((8.0, 14.0, 36.0)),
            min_pt=chance.choice((5.0, 6.0, 10.0)),
            wrap_pt=chance.choice((None, 9.0)),
            lines=lines,
            bold=bold,
        )
        assert len(fitted.lines) <= lines
        assert len(fitted.lines) * line_mm(fitted.size_pt) <= height + 1e-6
        for line in fitted.lines:
            assert text_width_mm(line, fitted.size_pt, bold=bold) <= width + 1e-6


def test_text_with_room_keeps_its_size():
    fitted = fit_text("017 of 040", 60, height_mm=8, size_pt=12, min_pt=10)
    assert fitted == (12, ("017 of 040",))


def test_text_shrinks_before_it_wraps_and_wraps_before_it_is_cut():
    text = "Blue oyster from the north shelf"
    wide = text_width_mm(text, 8.0)
    shrunk = fit_text(text, wide, height_mm=12, size_pt=12, min_pt=7, lines=3)
    assert shrunk == (8.0, (text,))
    wrapped = fit_text(text, wide * 0.7, height_mm=12, size_pt=12, min_pt=7, lines=3)
    assert len(wrapped.lines) > 1
    assert " ".join(wrapped.lines) == text
    assert wrapped.size_pt >= 7
    cut = fit_text(text, wide * 0.3, height_mm=3, size_pt=12, min_pt=7, lines=3)
    assert cut.lines[-1].endswith(ELLIPSIS)
    assert text.startswith(cut.lines[0].removesuffix(ELLIPSIS))


def test_lines_are_broken_evenly_and_not_at_a_no_break_space():
    width = text_width_mm("100 g (3.5", 16.0, bold=True) * 1.01
    fitted = fit_text(
        "100 g (3.5 oz)", width, height_mm=14, size_pt=16, min_pt=16, lines=2, bold=True
    )
    assert fitted.lines == ("100 g", "(3.5 oz)")
    kept = fit_text("lot K\u00a00123", 14, height_mm=14, size_pt=12, min_pt=10, lines=2)
    assert kept.lines == ("lot", "K\u00a00123")


def test_what_the_faces_lack_is_shown_as_lacking():
    assert clean_text("oyster 蘑") == f"oyster {REPLACEMENT}"
    assert clean_text(" a\n\tb\u200b ") == "a b"
    assert REPLACEMENT in face().widths
    assert REPLACEMENT in face(True).widths
    assert text_width_mm("蘑", 10) == text_width_mm(REPLACEMENT, 10)


def test_right_to_left_text_is_drawn_in_its_order():
    assert visual_text("שלום 12") == "12 םולש"
    assert visual_text("plain") == "plain"
    joined = visual_text("سلام")
    assert joined != "سلام"[::-1]
    assert all(char in face().widths for char in joined)


def test_width_is_the_sum_of_the_advances():
    # Advance widths of DejaVu Sans 2.37 in units of 2048: A 1401, V 1401, zero 1303.
    assert text_width_mm("AV0", 72.0) == pytest.approx(25.4 * (1401 + 1401 + 1303) / 2048)
