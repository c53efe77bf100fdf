"""Choices that stand above tables and charts, each with a name for screen readers."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QComboBox

LEAST_CHARACTERS = 12
"""So many are in sight at least: two choosers stand side by side at 200 % text too."""


def make_choice(name: str) -> QComboBox:
    """A choice as wide as its longest text."""
    choice = QComboBox()
    choice.setAccessibleName(name)
    choice.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
    return choice


def make_chooser(name: str, function: Callable[[], object]) -> QComboBox:
    """A choice of no fixed width that does something at each choice of a person."""
    chooser = QComboBox()
    chooser.setAccessibleName(name)
    chooser.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    chooser.setMinimumContentsLength(LEAST_CHARACTERS)
    chooser.activated.connect(lambda _: function())
    return chooser
