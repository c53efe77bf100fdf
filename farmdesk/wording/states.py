"""Words for what the farm keeps as codes: stages of bags, states of orders, forms, uses, units."""

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
    "dropped": later("dropped"),
    "finished": later("finished"),
    # Cultures, spawn and heat runs.
    "kept": later("kept"),
    "empty": later("used up"),
    "planned": later("planned"),
    "made": later("made"),
    "mixed": later("mixed"),
    "passed": later("passed"),
    "held": later("held"),
    "failed": later("failed"),
    # Picks.
    "weighed": later("weighed"),
}
FORMS: Mapping[str, str] = {
    "plate": later("plate"),
    "slant": later("slant"),
    "liquid culture": later("liquid culture"),
    "jar": later("jar"),
}
"""What a culture grows in."""
ROOM_USES: Mapping[str, str] = {
    "lab": later("Lab"),
    "incubation": later("Incubation"),
    "fruiting": later("Fruiting"),
    "cold store": later("Cold store"),
}
REASON_USES: Mapping[str, str] = {
    "discard": later("discarding a bag"),
    "waste": later("waste of stock"),
    "gift": later("gift"),
    "own": later("own use"),
    "drying": later("drying"),
    "count": later("stocktake"),
}
WRAPS: Mapping[str, str] = {"loose": later("loose"), "wrapped": later("wrapped")}
KNOWN_BY: Mapping[str, str] = {"measured": later("measured"), "allocated": later("allocated")}
"""How the mass of a link is known."""
WINDOWS: Mapping[str, str] = {
    "before": later("before"),
    "within": later("within"),
    "overdue": later("overdue"),
}
"""Where a day lies to the days on which a batch is expected ready."""
TASKS: Mapping[str, str] = {
    "lab": later("lab work"),
    "substrate": later("mixing and heat"),
    "inoculation": later("inoculation"),
    "incubation": later("incubation rounds"),
    "fruiting": later("fruiting rooms"),
    "picking": later("picking"),
    "cleaning": later("cleaning"),
    "packing": later("packing"),
    "selling": later("selling"),
    "delivery": later("delivery"),
    "office": later("office"),
}
UNITS: Mapping[str, str] = {"pack": later("pack")}
"""Units that are words; kg and lb are the same in every language."""

CELLS: Mapping[tuple[str, str], Mapping[str, str]] = {
    ("bag", "stage"): STATES,
    ("culture", "status"): STATES,
    ("culture", "form"): FORMS,
    ("spawn", "status"): STATES,
    ("run", "status"): STATES,
    ("order", "status"): STATES,
    ("market_day", "status"): STATES,
    ("stocktake", "status"): STATES,
    ("planned_batch", "status"): STATES,
    ("pick", "status"): STATES,
    ("net_check", "verdict"): STATES,
    ("room", "use"): ROOM_USES,
    ("reason", "use"): REASON_USES,
    ("product", "wrap"): WRAPS,
    ("storage_life", "wrap"): WRAPS,
    ("link", "how"): KNOWN_BY,
    ("labour", "task"): TASKS,
    **{(kind, "unit"): UNITS for kind in (
        "product", "price", "standing_order", "order_line", "delivery_line", "credit_line",
        "market_line",
    )},
}  # fmt: skip
"""Kinds of things and their cells that hold a code, with the words for it."""


def say_state(code: str) -> str:
    """The word for a stage or state, in the language of the desk; an unknown code as it is."""
    return say_code(STATES, code)


def say_unit(code: str) -> str:
    """What a quantity is counted in: kg, lb or the word for a pack."""
    return say_code(UNITS, code)


def say_code(words: Mapping[str, str], code: str) -> str:
    """The word that a table has for a code; what is no code of it is a person's own word."""
    return tr(words[code]) if code in words else code
