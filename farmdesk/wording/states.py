"""Words for what the farm keeps as codes: stages of bags, states of orders, lots and runs."""

from __future__ import annotations

from collections.abc import Mapping

from farmdesk.wording.language import later, tr

STATES: Mapping[str, str] = {
    # Bags.
    "incubating": later("incubating"),
    "colonised": later("colonised"),
    "fruiting": later("fruiting"),
    "resting": later("resting"),
    "spent": later("spent"),
    "discarded": later("discarded"),
    "lost": later("lost"),
    "sold": later("sold"),
    "void": later("never was"),
    # Orders, market days and stocktakes.
    "open": later("open"),
    "delivered": later("delivered"),
    "closed": later("closed"),
    "cancelled": later("cancelled"),
    # Cultures, spawn and heat runs.
    "kept": later("kept"),
    "empty": later("used up"),
    "planned": later("planned"),
    "mixed": later("mixed"),
    "passed": later("passed"),
    "held": later("held"),
    "failed": later("failed"),
    # Picks.
    "weighed": later("weighed"),
}


def say_state(code: str) -> str:
    """The word for a stage or state, in the language of the desk; an unknown code as it is."""
    return tr(STATES.get(code, code))
