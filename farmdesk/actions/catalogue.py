"""Beginning a farm, and keeping what it knows beforehand: species, rooms, recipes, prices."""

from __future__ import annotations

import secrets
from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any, TypeVar, cast

from babel import Locale, UnknownLocaleError
from babel.numbers import list_currencies

from farmdesk.actions.base import FARM_ID, Act
from farmdesk.actions.catalogue_checks import check_text, check_thing
from farmdesk.actions.seeding import seed_catalogue
from farmdesk.actions.wall_cards import cards_of, keep_card
from farmdesk.arithmetic import substrate
from farmdesk.domain.catalogue import (
    Farm,
    Ingredient,
    Price,
    Reason,
    Recipe,
    RecipePart,
    Room,
    StorageLife,
)
from farmdesk.domain.cells import Thing, to_cells
from farmdesk.domain.codes import shown
from farmdesk.domain.things import CATALOGUE, KIND_OF, THINGS
from farmdesk.errors import NotFound, Problem, Refused, problem, refuse_any
from farmdesk.quantities.mass import UNITS
from farmdesk.quantities.times import find_zone
from farmdesk.store.catalogue import kinds_using
from farmdesk.wording.happenings import name_things

T = TypeVar("T", bound=Thing)
_LOWEST_SERIAL, _HIGHEST_SERIAL = 1_000, 8_000_000
# Two thirds of the modelled life: common practice, no source.
_SELL_BY_PERCENT = 65
_COLD_STORE_C = Decimal(3)
_OWNED: Mapping[str, tuple[type[Any], str]] = {
    "recipe": (RecipePart, "recipe"),
    "species": (StorageLife, "species"),
    "price_list": (Price, "price_list"),
    "product": (Price, "product"),
}
"""Rows that are part of a thing and go with it."""


def begin_farm(  # noqa: PLR0913 - the farm's own settings, each by name
    act: Act,
    *,
    name: str,
    zone: str = "UTC",
    currency: str = "USD",
    locale: str = "en_US",
    mass_unit: str = "kg",
    temperature_unit: str = "C",
    address: str = "",
    first_serial: int | None = None,
    seed: bool = True,
) -> Farm:
    """Begin a farm in an empty store, with the shipped catalogue when `seed`.

    Codes start at `first_serial`, a random one unless given, so that two farms' codes rarely
    meet. Raises Refused with every field that cannot be.
    """
    if act.tx.get(Farm, FARM_ID) is not None:
        raise Refused(problem("farm_begun_already", name=act.farm.name))
    serial = _random_serial() if first_serial is None else first_serial
    farm = Farm(
        id=FARM_ID,
        name=name.strip(),
        address=address,
        zone=zone,
        currency=currency,
        locale=locale,
        mass_unit=mass_unit,
        temperature_unit=temperature_unit,
        first_serial=serial,
        sell_by_percent=_SELL_BY_PERCENT,
        with_spawn_dry=0,
        inoculation_weekday=1,
        tax_percent=Decimal(0),
        cold_store_c=_COLD_STORE_C,
    )
    refuse_any(_check_farm(act, farm))
    act.make("farm_begun", farm)
    if seed:
        seed_catalogue(act)
    return farm


def save(act: Act, thing: T) -> T:
    """Keep a new thing of the catalogue (id 0), or the changes of one that is there.

    A recipe's shares are kept with it by `save_recipe`. Raises Refused with every field that
    cannot be; NotFound when the thing to change is gone.
    """
    kind = KIND_OF[type(thing)]
    if kind not in CATALOGUE:
        raise Refused(problem("not_in_catalogue", kind=kind))
    thing = _tidy(thing)
    known = cast(Any, thing)
    if isinstance(thing, Farm):
        refuse_any(_check_farm(act, thing))
    else:
        refuse_any(check_thing(act, thing))
    if known.id == 0:
        kept = act.make(f"{kind}_made", replace(known, id=act.next_id(kind)))
    else:
        now = act.need(type(thing), known.id)
        kept = act.change_fields(f"{kind}_changed", now, _fields(thing))
    if isinstance(kept, Room | Reason):
        keep_card(act, kept)
    return cast(T, kept)


def save_recipe(act: Act, recipe: Recipe, parts: Sequence[RecipePart]) -> Recipe:
    """Keep a recipe together with its ingredients' shares, which must add up to 100 %.

    Of each part only the ingredient and the share count; parts left out are taken away.
    """
    wanted = {part.ingredient: part.share_percent for part in parts}
    if len(wanted) != len(parts):
        raise Refused(problem("ingredient_twice", field="parts"))
    ingredients = [act.need(Ingredient, one) for one in wanted]
    found = substrate.check_recipe(
        [
            substrate.RecipePart(one.name, wanted[one.id], one.moisture_percent)
            for one in ingredients
        ]
    )
    refuse_any([Problem(one.code, {**one.facts, "field": "parts"}) for one in found])
    kept = save(act, recipe)
    before = {part.ingredient: part for part in act.tx.all(RecipePart, recipe=kept.id)}
    for ingredient, part in before.items():
        if ingredient not in wanted:
            act.take_away("recipe_part_removed", part)
    for ingredient, share in wanted.items():
        if ingredient in before:
            act.change("recipe_part_changed", before[ingredient], share_percent=share)
        else:
            part_id = act.next_id("recipe_part")
            act.make("recipe_part_made", RecipePart(part_id, kept.id, ingredient, share))
    return kept


def retire(act: Act, kind: str, thing_id: int) -> Thing:
    """Take a thing out of the choices; what refers to it stays as it is."""
    thing = _need(act, kind, thing_id)
    if "retired" not in to_cells(thing):
        raise Refused(problem("cannot_retire", kind=kind))
    kept: Thing = act.change(f"{kind}_retired", thing, retired=1)
    if isinstance(kept, Room | Reason):
        keep_card(act, kept)
    return kept


def delete(act: Act, kind: str, thing_id: int) -> None:
    """Take away a thing that nothing refers to; raises Refused when something does."""
    thing = _need(act, kind, thing_id)
    if kind == "farm":
        raise Refused(problem("farm_stays"))
    owned, field = _OWNED.get(kind, (None, ""))
    own_cards = cards_of(act, thing) if isinstance(thing, Room | Reason) else []
    own_kinds = {KIND_OF[owned]} if owned else set()
    own_kinds |= {"card"} if own_cards else set()
    used = [one for one in kinds_using(act.tx, kind, thing_id) if one not in own_kinds]
    for card in own_cards:
        used += kinds_using(act.tx, "card", card.id)
    if used:
        by = ", ".join(name_things(one) for one in used)
        raise Refused(problem("still_used", kind=kind, name=_name(thing), by=by))
    for part in act.tx.all(owned, **{field: thing_id}) if owned else []:
        act.take_away(f"{KIND_OF[type(part)]}_removed", part)
    for card in own_cards:
        act.take_away("card_removed", card)
    act.take_away(f"{kind}_removed", thing)


def _need(act: Act, kind: str, thing_id: int) -> Any:
    if kind not in CATALOGUE:
        raise Refused(problem("not_in_catalogue", kind=kind))
    found = act.tx.get(THINGS[kind], thing_id)
    if found is None:
        raise NotFound(problem("not_found", kind=kind, id=thing_id))
    return found


def _check_farm(act: Act, farm: Farm) -> list[Problem]:
    found = [*check_text("name", farm.name, needed=True)]
    found += check_text("address", farm.address, needed=False, long=True)
    find_zone(farm.zone)
    if farm.currency not in list_currencies():
        found.append(problem("currency_not_known", field="currency", text=shown(farm.currency)))
    if not _is_locale(farm.locale):
        found.append(problem("locale_not_known", field="locale", text=shown(farm.locale)))
    for field, choices in (("mass_unit", UNITS), ("temperature_unit", ("C", "F"))):
        text = str(getattr(farm, field))
        if text not in choices:
            label = field.replace("_", " ").capitalize()
            facts = {"label": label, "text": shown(text), "choices": ", ".join(choices)}
            found.append(problem("not_one_of", field=field, **facts))
    if not 0 <= farm.first_serial <= _HIGHEST_SERIAL:
        found.append(
            problem("serial_out_of_range", field="first_serial", highest=f"{_HIGHEST_SERIAL:,}")
        )
    now = act.tx.get(Farm, FARM_ID)
    if now is not None and now.first_serial != farm.first_serial:
        found.append(problem("serial_is_fixed", field="first_serial"))
    return found or check_thing(act, farm)


def _is_locale(text: str) -> bool:
    try:
        Locale.parse(text)
    except (ValueError, UnknownLocaleError):
        return False
    return True


def _random_serial() -> int:
    return _LOWEST_SERIAL + secrets.randbelow(_HIGHEST_SERIAL - _LOWEST_SERIAL)


def _tidy(thing: T) -> T:
    """Blanks before and after a text are slips of the hand, not part of it."""
    trimmed = {name: value.strip() for name, value in _fields(thing).items() if _is_text(value)}
    return cast(T, replace(cast(Any, thing), **trimmed))


def _is_text(value: object) -> bool:
    return isinstance(value, str)


def _fields(thing: Thing) -> dict[str, Any]:
    return {name: getattr(thing, name) for name in to_cells(thing) if name != "id"}


def _name(thing: Any) -> str:
    for field in ("name", "title", "code"):
        if hasattr(thing, field):
            return shown(str(getattr(thing, field)))
    return str(thing.id)
