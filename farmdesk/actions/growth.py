"""Cultures are measured on their plates, so that a line that slows down is noticed."""

from __future__ import annotations

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.domain.growth import GrowthLook
from farmdesk.domain.lab import Culture
from farmdesk.errors import Problem, Refused, problem

MOST_RADIUS_UM = 150_000


def measure_culture(
    act: Act, culture: int, *, radius_um: int, looked_on: str | None = None, note: str = ""
) -> GrowthLook:
    """Keep a colony's radius on a day; asks when it is smaller than it was before.

    Raises Refused for a culture that is not kept, a day before it was made, or no radius.
    """
    known = act.need(Culture, culture)
    day = looked_on or act.day
    found = [*check_text("note", note, needed=False, long=True)]
    if known.status != "kept":
        found.append(problem("culture_not_kept", field="culture", name=known.name))
    if day > act.day:
        found.append(problem("day_in_future", field="looked_on", day=day, today=act.day))
    elif day < known.made_on:
        facts = {"day": day, "name": known.name, "made_on": known.made_on}
        found.append(problem("growth_day_wrong", field="looked_on", **facts))
    if not 0 < radius_um <= MOST_RADIUS_UM:
        most = MOST_RADIUS_UM // 1000
        facts = {"mm": f"{radius_um / 1000:g}", "most": f"{most}"}
        found.append(problem("growth_radius_wrong", field="radius", **facts))
    if found:
        raise Refused(*found)
    act.ask(*_ask_smaller(act, known, radius_um, day))
    look = GrowthLook(act.next_id("growth_look"), culture, day, radius_um, note.strip())
    return act.make("growth_looked_at", look)


def take_away_look(act: Act, look: int) -> None:
    """Take away a measure that was wrong."""
    act.take_away("growth_look_removed", act.need(GrowthLook, look))


def _ask_smaller(act: Act, culture: Culture, radius_um: int, day: str) -> list[Problem]:
    before = [one for one in act.tx.all(GrowthLook, culture=culture.id) if one.looked_on < day]
    largest = max(before, key=lambda one: one.radius_um, default=None)
    if largest is None or largest.radius_um <= radius_um:
        return []
    return [
        problem(
            "growth_shrank",
            name=culture.name,
            before=f"{largest.radius_um / 1000:g}",
            day=largest.looked_on,
            now=f"{radius_um / 1000:g}",
        )
    ]
