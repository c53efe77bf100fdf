"""What the farm knows beforehand: species, rooms, people, recipes, customers, prices."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.cells import ref


@dataclass(frozen=True)
class Farm:
    """The farm itself, one row; its codes start at `first_serial` so farms rarely collide.

    A bag that nobody saw for `walk_days` counts as not seen; seven are common practice, no source.
    """

    id: int
    name: str
    address: str
    zone: str
    currency: str
    locale: str
    mass_unit: str
    temperature_unit: str
    first_serial: int
    sell_by_percent: int
    with_spawn_dry: int
    inoculation_weekday: int
    tax_percent: Decimal
    cold_store_c: Decimal
    walk_days: int = 7


@dataclass(frozen=True)
class Species:
    """Defaults of a species; every figure is editable and carries its source and status."""

    id: int
    code: str
    name: str
    scientific: str
    incubation_days_low: int
    incubation_days_high: int
    incubation_c: Decimal | None
    fruiting_c_low: Decimal | None
    fruiting_c_high: Decimal | None
    humidity_low: Decimal | None
    humidity_high: Decimal | None
    co2_max: int | None
    open_pick_days_low: int
    open_pick_days_high: int
    flushes: int
    rest_days_low: int
    rest_days_high: int
    be_percent_low: Decimal
    be_percent_high: Decimal
    flush_shares: str
    spawn_percent: Decimal
    moisture_percent: Decimal
    caution: str
    source: str
    status: str
    retired: int = 0


@dataclass(frozen=True)
class StorageLife:
    """Days until unsaleable at one temperature and wrap."""

    id: int
    species: int = ref("species")
    wrap: str = ""
    temperature_c: Decimal = Decimal(0)
    days: Decimal = Decimal(0)
    source: str = ""
    status: str = ""


@dataclass(frozen=True)
class Strain:
    """One strain of a species; limits are for transfers of cultures and generations of grain."""

    id: int
    species: int = ref("species")
    code: str = ""
    name: str = ""
    origin: str = ""
    max_transfers: int = 5
    max_generation: int = 3
    note: str = ""
    retired: int = 0


@dataclass(frozen=True)
class Room:
    """A place with a climate and a capacity; `use` is lab, incubation, fruiting or cold store.

    `shelves` are the names of its shelves, parted by spaces: 'A1 A2 B1'; none: nobody tells them.
    """

    id: int
    name: str
    use: str
    capacity: int
    temperature_c_low: Decimal | None = None
    temperature_c_high: Decimal | None = None
    humidity_low: Decimal | None = None
    humidity_high: Decimal | None = None
    co2_max: int | None = None
    retired: int = 0
    shelves: str = ""


@dataclass(frozen=True)
class Person:
    """Somebody who works here."""

    id: int
    name: str
    initials: str
    retired: int = 0


@dataclass(frozen=True)
class Ingredient:
    """A substrate ingredient with its own moisture, percent of wet weight."""

    id: int
    name: str
    moisture_percent: Decimal
    cost_per_kg: Decimal | None = None
    note: str = ""
    retired: int = 0


@dataclass(frozen=True)
class Recipe:
    """A substrate recipe: target moisture (wet basis), wet block mass, heat treatment."""

    id: int
    name: str
    moisture_percent: Decimal
    block_mg: int
    treatment: str
    note: str = ""
    retired: int = 0


@dataclass(frozen=True)
class RecipePart:
    """One ingredient of a recipe with its share of the total dry mass, percent."""

    id: int
    recipe: int = ref("recipe")
    ingredient: int = ref("ingredient")
    share_percent: Decimal = Decimal(0)


@dataclass(frozen=True)
class Crate:
    """A picking crate with its own tare and label."""

    id: int
    name: str
    tare_mg: int
    retired: int = 0


@dataclass(frozen=True)
class Reason:
    """Why a bag was discarded or stock left; `use` is discard, waste, gift, own or drying."""

    id: int
    code: str
    name: str
    use: str
    contamination: int
    note: str = ""
    retired: int = 0


@dataclass(frozen=True)
class LabelStock:
    """A label sheet or roll; all lengths in micrometres."""

    id: int
    name: str
    page_width_um: int
    page_height_um: int
    columns: int
    rows: int
    label_width_um: int
    label_height_um: int
    left_um: int
    top_um: int
    column_step_um: int
    row_step_um: int
    dpi: int
    feed: str
    retired: int = 0


@dataclass(frozen=True)
class PriceList:
    """A named list of prices."""

    id: int
    name: str
    retired: int = 0


@dataclass(frozen=True)
class TaxRate:
    """A rate of sales tax that products can be sold under."""

    id: int
    name: str
    percent: Decimal = Decimal(0)
    retired: int = 0


@dataclass(frozen=True)
class Product:
    """What is sold, by kg, lb or pack; a pack has a net mass.

    `fill` is fixed (every pack holds `pack_mg`) or catch (each pack is weighed and sold by its own
    weight); `form` is fresh, dried or preserve; `tax_rate` none: the farm's own tax.
    """

    id: int
    name: str
    species: int | None = ref("species", none=True)
    unit: str = "kg"
    pack_mg: int | None = None
    wrap: str = ""
    caution: str = ""
    retired: int = 0
    gtin: str = ""
    fill: str = "fixed"
    tare_mg: int = 0
    form: str = "fresh"
    tax_rate: int | None = ref("tax_rate", none=True)


@dataclass(frozen=True)
class Price:
    """A product's price on a list, for one of the product's units."""

    id: int
    price_list: int = ref("price_list")
    product: int = ref("product")
    unit: str = "kg"
    price: Decimal = Decimal(0)


@dataclass(frozen=True)
class Customer:
    """Who buys; `minimum_life_days` is the life left that they ask for at delivery.

    `channel` is how they buy: restaurant, shop, market, box scheme ... in the farm's own words.
    """

    id: int
    name: str
    address: str = ""
    contact: str = ""
    price_list: int | None = ref("price_list", none=True)
    minimum_life_days: int = 0
    payment_days: int = 14
    note: str = ""
    retired: int = 0
    channel: str = ""
