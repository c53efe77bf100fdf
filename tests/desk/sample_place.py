"""Small pages for tests of the window."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit

from farmdesk.desk.page import Page

LOADED = True


class TentPage(Page):
    """Shows nothing, but counts."""

    title = "Tents"
    help_text = "Tents are rooms with walls of foil."
    interest = frozenset({"room"})

    def __init__(self, context, parent=None) -> None:
        super().__init__(context, parent)
        self.reads = 0
        self.subject = ""
        self.pressed = 0
        self.name_line = QLineEdit()
        self.body.addWidget(self.name_line)
        self.add_page_action("New tent", self.press, shortcut="Ctrl+N", hint="Add a tent")

    def press(self) -> None:
        self.pressed += 1

    def refresh(self) -> None:
        self.reads += 1

    def show_subject(self, subject: str) -> None:
        self.subject = subject


class ShedPage(TentPage):
    title = "Sheds"
    help_text = ""
