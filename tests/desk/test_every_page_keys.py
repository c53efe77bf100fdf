"""Every page by keyboard alone, and by ear: names, a way in, a way through, a way out.

WCAG 2.2: 2.1.1 keyboard, 2.1.2 no keyboard trap, 2.4.7 focus visible, 4.1.2 name, role, value.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from demo_window import each_part, open_demo
from farm_window import FarmWindow
from layout_faults import controls_of, is_in_sight, name_of, nameless
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester, QTest
from PySide6.QtWidgets import QAbstractItemView, QApplication, QWidget

from farmdesk.desk.commands import PLACES
from farmdesk.desk.theme import Theme

MOST_TABS = 150


@pytest.fixture(scope="module")
def farm_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo")


@pytest.fixture
def shown(qapp: object, farm_folder: Path) -> Iterator[FarmWindow]:
    with open_demo(farm_folder, Theme()) as opened:
        yield opened


def each_place(shown: FarmWindow) -> Iterator[tuple[str, QWidget]]:
    """Every part of every place in one window, by name."""
    for spec in PLACES:
        page = shown.show(spec.key)
        for part in each_part(page, shown):
            yield f"{spec.key} {part}".strip(), page


def test_every_control_has_a_name(shown: FarmWindow) -> None:
    faults = [f"{part}: {one}" for part, _ in each_place(shown) for one in nameless(shown.window)]
    assert not faults, "\n".join(dict.fromkeys(faults))


def test_tab_goes_through_every_control_and_comes_round(shown: FarmWindow) -> None:
    for part, page in each_place(shown):
        wanted = controls_of(page)
        seen, hidden = _go_round(shown)
        missed = [name_of(one) for one in wanted if one not in seen and one.isEnabled()]
        assert not missed, f"{part}: Tab never reaches {missed}"
        assert not hidden, f"{part}: the focus is out of sight on {hidden}"
        assert shown.window.find_line in seen, f"{part}: Tab never leaves the page"


def _go_round(shown: FarmWindow) -> tuple[list[object], list[str]]:
    """The widgets that Tab visits until it comes round, and those that are not in sight then."""
    start = shown.window.strip.field
    start.setFocus()
    seen: list[object] = []
    hidden: list[str] = []
    for _ in range(MOST_TABS):
        now = QApplication.focusWidget()
        if now is None or (seen and now is start):
            return seen, hidden
        seen.append(now)
        if not is_in_sight(now):
            hidden.append(name_of(now))
        QTest.keyClick(now, Qt.Key.Key_Tab)
        QApplication.processEvents()
    raise AssertionError(f"Tab is caught: {[name_of(one) for one in seen[-4:]]}")  # type: ignore[arg-type]


def test_a_place_is_reached_by_its_key_and_left_by_another(shown: FarmWindow) -> None:
    for place in (spec.key for spec in PLACES if spec.shortcut):
        other = "lab" if place == "today" else "today"
        shown.show(other)
        action = next(
            one
            for one in shown.window.menu("Go").actions()
            if one.text() == shown.window.title_of(place)
        )
        assert not action.shortcut().isEmpty()
        action.trigger()
        shown.settle()
        assert shown.window.place == place
        shown.window.show_place(other)
        assert shown.window.place == other


def test_the_models_of_all_lists_keep_the_rules(shown: FarmWindow) -> None:
    """Qt's own tester of item models, over every list, also while it is grouped and sorted."""
    for _part, page in each_place(shown):
        for view in page.findChildren(QAbstractItemView):
            model = view.model()
            if not view.isVisible() or model is None:
                continue
            tester = QAbstractItemModelTester(
                model, QAbstractItemModelTester.FailureReportingMode.Warning
            )
            if hasattr(model, "group_by"):
                model.group_by(model.columns[0].key)
                shown.settle()
                model.group_by("")
                model.sort(0)
                shown.settle()
            tester.deleteLater()
            QApplication.processEvents()
