"""How this computer shows the farm's quantities: as the farm says, or as was chosen here."""

from __future__ import annotations

from collections.abc import Sequence

from farmdesk.domain.catalogue import Farm
from farmdesk.settings.preferences import Preferences
from farmdesk.wording.formats import Formats


def formats_of(farm: Farm, preferences: Preferences) -> Formats:
    """The farm's formats with this computer's own choices; zone and currency are the farm's."""
    return Formats(
        locale=preferences.locale or farm.locale,
        mass_unit=preferences.mass_unit or farm.mass_unit,
        zone=farm.zone,
        currency=farm.currency,
        temperature_unit=preferences.temperature_unit or farm.temperature_unit,
        paper=preferences.paper,
    )


def usual_stock(stocks: Sequence[tuple[str, str]], preferences: Preferences) -> str | None:
    """The stock that this computer prints on, where the farm has it; else the first one."""
    names = [name for name, _ in stocks]
    if preferences.label_stock in names:
        return preferences.label_stock
    return names[0] if names else None
