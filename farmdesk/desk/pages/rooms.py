"""The rooms, a part on each tab: what stands in them, and the air it stands in."""

from __future__ import annotations

from typing import ClassVar

from farmdesk.desk.pages.climate_part import ClimatePart
from farmdesk.desk.tabbed_page import TabbedPage
from farmdesk.wording.language import tr


class RoomsPage(TabbedPage):
    """The rooms of the farm."""

    title = tr("Rooms")
    help_text = tr("The rooms of the farm, a part on each tab.")
    interest = frozenset({"room", "bag", "batch", "room_reading", "climate_day", "species",
                          "strain", "farm"})  # fmt: skip
    parts: ClassVar = (("climate", ClimatePart.title, ClimatePart),)
