"""The row of buttons whose rest is in a menu: its actions outlive the menu's openings."""

from __future__ import annotations

import gc

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QApplication, QWidget

from farmdesk.desk.overflow import OverflowBar


def test_actions_in_the_menu_outlive_its_openings(qtbot) -> None:
    owner = QWidget()
    qtbot.addWidget(owner)
    bar = OverflowBar(owner)
    heard: list[int] = []
    for number in range(6):
        action = QAction(f"Something long number {number}", owner)
        action.triggered.connect(lambda _=False, number=number: heard.append(number))
        bar.add_action(action)
    del action
    bar.resize(250, 40)
    owner.show()
    for _ in range(3):
        bar.open_menu()
        bar.menu.close()
        QApplication.processEvents()
        gc.collect()
    hidden = bar.hidden_actions()
    assert len(hidden) >= 4
    hidden[-1].trigger()
    assert heard == [5]


def test_opening_the_menu_does_not_wait_for_a_choice(qtbot) -> None:
    bar = OverflowBar(fill_menu=lambda menu: menu.addAction("Copy"))
    qtbot.addWidget(bar)
    bar.resize(250, 40)
    bar.show()
    bar.more.click()
    assert bar.menu.isVisible()
    assert [one.text() for one in bar.menu.actions()] == ["Copy"]
    bar.menu.close()
