"""Forms of the cold store: stock that leaves unsold, and the room where a lot lies."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

from farmdesk.actions.base import Act
from farmdesk.actions.cold_store import USES, place_stock, remove_stock
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import ChoiceField, MassField, NotesField, NumberField
from farmdesk.domain.harvest import Removal
from farmdesk.reports.catalogue import Catalogue
from farmdesk.reports.cold_store_lists import LotRow, settle_amount
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_USE_WORDS = {
    "waste": tr("Waste"),
    "gift": tr("Gift"),
    "own": tr("Own use"),
    "drying": tr("To drying"),
}


class RemoveDialog(FormDialog):
    """Stock leaves unsold: waste with its reason, a gift, own use or drying."""

    def __init__(self, context: DeskContext, catalogue: Catalogue, lots: Sequence[LotRow]) -> None:
        super().__init__(
            tr("Take out of {lot}").format(lot=lots[0].lot)
            if len(lots) == 1
            else tr("Take out {count_lots} lots").format(count_lots=len(lots)),
            sentence=say_lots(lots, context.formats),
            save_title=tr("Take out"),
        )
        self._context = context
        self._lots = lots
        add = self.form.add
        add(ChoiceField("reason", tr("Why"), _reasons(catalogue), required=True))
        if len(lots) == 1 and lots[0].is_pack:
            add(
                NumberField(
                    "count", tr("Packs"), context.formats, hint=tr("Empty: all that are left.")
                )
            )
        elif len(lots) == 1:
            add(
                MassField(
                    "amount_mg", tr("How much"), context.formats, hint=tr("Empty: all of it.")
                )
            )
        add(NotesField("note", tr("Note")))

    def save(self, values: dict[str, Any]) -> None:
        """Take it out."""
        ids = [one.id for one in self._lots]
        amount, left = values.get("amount_mg"), self._lots[0].left_mg
        if amount is not None:
            values["amount_mg"] = settle_amount(amount, left, self._context.formats)
        self.run(self._context.act, partial(_remove_all, ids=ids, **values))


class PlaceDialog(FormDialog):
    """Lots go to another room."""

    def __init__(self, context: DeskContext, catalogue: Catalogue, lots: Sequence[LotRow]) -> None:
        super().__init__(
            tr("Put into a room"),
            sentence=say_lots(lots, context.formats),
            save_title=tr("Put there"),
        )
        self._context = context
        self._lots = lots
        rooms = catalogue.choices("room")
        usual = next(
            (one.id for one in catalogue.all("room", retired=False) if one.use == "cold store"),
            None,
        )
        self.form.add(ChoiceField("room", tr("Room"), rooms, required=True, value=usual))

    def save(self, values: dict[str, Any]) -> None:
        """Put them there."""
        ids = [one.id for one in self._lots]
        self.run(self._context.act, partial(_place_all, ids=ids, **values))


def say_lots(lots: Sequence[LotRow], formats: Formats) -> str:
    """The lots with what is left of each, in words."""
    return "; ".join(f"{one.lot}, {one.what}, {say_left(one, formats)}" for one in lots)


def say_left(one: LotRow, formats: Formats) -> str:
    """What is left of a lot: its packs, or its mass."""
    if one.is_pack:
        return tr("{packs} left").format(packs=formats.count(one.packs, "pack", "packs"))
    return tr("{left_mg} left").format(left_mg=formats.mass(one.left_mg))


def _reasons(catalogue: Catalogue) -> list[tuple[int, str]]:
    found = [one for one in catalogue.all("reason", retired=False) if one.use in USES]
    found.sort(key=lambda one: USES.index(one.use))
    return [(one.id, _reason_text(one.use, one.name)) for one in found]


def _reason_text(use: str, name: str) -> str:
    word = _USE_WORDS[use]
    return name if name.casefold() == word.casefold() else f"{word}: {name}"


def _remove_all(act: Act, *, ids: Sequence[int], **values: Any) -> list[Removal]:
    return [remove_stock(act, one, **values) for one in ids]


def _place_all(act: Act, *, ids: Sequence[int], room: int) -> None:
    for one in ids:
        place_stock(act, one, room=room)
