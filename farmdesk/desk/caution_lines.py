"""A caution as a line on a page: short, never in the way, with whom to ask."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel

from farmdesk.wording.cautions import find_caution
from farmdesk.wording.language import tr


def make_caution(*topics: str) -> QLabel:
    """A line with the cautions on these topics (see `resources/seed/cautions.csv`)."""
    found = [find_caution(topic) for topic in topics]
    label = QLabel("⚠ " + " ".join(one.line for one in found))
    label.setObjectName("muted")
    label.setWordWrap(True)
    label.setAccessibleName(tr("Caution"))
    return label
