"""Choices that stand above tables and charts, each with a name for screen readers."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QComboBox


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
    chooser.setMinimumContentsLength(16)
    chooser.activated.connect(lambda _: function())
    return chooser
