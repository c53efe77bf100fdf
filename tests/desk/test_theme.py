"""Contrast of every scheme, by WCAG 2.2; and that Qt keeps its count of None."""

from __future__ import annotations

import sys

import pytest
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QLabel

from farmdesk.desk.answers import OUTCOME_WORDS
from farmdesk.desk.theme import SCHEMES, Colours, Theme, apply_theme, contrast

TEXT_AA, TEXT_AAA, EDGE = 4.5, 7.0, 3.0
"""WCAG 2.2, success criteria 1.4.3, 1.4.6 and 1.4.11."""


def test_contrast_agrees_with_the_published_definition() -> None:
    # WCAG 2.2, "contrast ratio": black on white is 21:1; W3C understanding document of 1.4.3:
    # #767676 on white is the lightest grey that passes 4.5:1 (4.54:1).
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)
    assert contrast("#777777", "#ffffff") < TEXT_AA
    assert contrast("#123456", "#123456") == pytest.approx(1.0)


@pytest.fixture(params=list(SCHEMES))
def colours(request) -> Colours:
    return SCHEMES[request.param]


def test_every_text_can_be_read(colours) -> None:
    least = TEXT_AAA if colours.name == "contrast" else TEXT_AA
    pairs = {
        (front, back)
        for front in (colours.text, colours.muted, colours.warning)
        for back in (colours.ground, colours.panel)
    }
    pairs |= {
        (colours.text, colours.raised),
        (colours.on_accent, colours.accent),
        (colours.on_chosen, colours.chosen),
        (colours.accent, colours.panel),
    }
    pairs |= {(one.text, one.ground) for one in colours.outcomes.values()}
    low = {pair: round(contrast(*pair), 2) for pair in pairs if contrast(*pair) < least}
    assert low == {}


def test_edges_focus_and_shapes_stand_out(colours) -> None:
    pairs = {(colours.focus, back) for back in (colours.ground, colours.panel, colours.raised)}
    pairs |= {(colours.edge, back) for back in (colours.ground, colours.panel)}
    pairs |= {(one.shape, one.ground) for one in colours.outcomes.values()}
    low = {pair: round(contrast(*pair), 2) for pair in pairs if contrast(*pair) < EDGE}
    assert low == {}


def test_every_outcome_has_its_colours_and_its_word(colours) -> None:
    assert set(colours.outcomes) == {*OUTCOME_WORDS, ""}


def test_a_theme_reaches_palette_font_and_targets(qapp) -> None:
    apply_theme(qapp, Theme("dark", 2.0))
    assert qapp.palette().color(QPalette.ColorRole.Window).name() == SCHEMES["dark"].ground
    assert qapp.font().pointSizeF() == pytest.approx(22.0)
    apply_theme(qapp, Theme())
    assert qapp.font().pointSizeF() == pytest.approx(11.0)
    assert Theme().target_px >= 40
    assert Theme().answer_pt >= 28


def test_calls_into_qt_keep_the_count_of_none(qtbot) -> None:
    label = QLabel()
    qtbot.addWidget(label)
    before = sys.getrefcount(None)
    for number in range(1000):
        label.setText(str(number))
    assert sys.getrefcount(None) > before - 100
