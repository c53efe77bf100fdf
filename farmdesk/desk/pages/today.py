"""Today: what to look at, open, pick, ship and start, each with its reason."""

from __future__ import annotations

from farmdesk.desk.page import Page


class TodayPage(Page):
    """What the day asks for."""

    title = "Today"
