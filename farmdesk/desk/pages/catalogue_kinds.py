"""What the catalogue's lists and forms show: a table of kinds and of their fields."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cache
from typing import Any, Literal
from zoneinfo import available_timezones

from farmdesk.desk.locale_choices import CURRENCIES, locale_choices, mass_choices
from farmdesk.domain.catalogue import (
    Crate,
    Customer,
    Ingredient,
    LabelStock,
    Person,
    Price,
    PriceList,
    Product,
    Reason,
    Recipe,
    Room,
    Species,
    StorageLife,
    Strain,
    TaxRate,
)
from farmdesk.wording.happenings import name_things
from farmdesk.wording.language import tr
from farmdesk.wording.states import REASON_USES, ROOM_USES, WRAPS

FieldKind = Literal[
    "text", "notes", "whole", "number", "percent", "celsius", "mass", "money", "choice", "ref",
    "check", "length", "parts",
]  # fmt: skip
Choices = Callable[[], tuple[tuple[Any, str], ...]]


@dataclass(frozen=True)
class FieldSpec:
    """One field: `name` is the thing's own, `ref` the kind it points to; `group` heads a part."""

    name: str
    label: str
    kind: FieldKind = "text"
    ref: str = ""
    choices: Choices | None = None
    required: bool = False
    hint: str = ""
    group: str = ""
    highest: int = 100
    short: str = ""
    """The title of its column, where the label is too long for one."""
    words: Mapping[str, str] = field(default_factory=dict)
    """Codes among its texts that have a word; every other text is a person's own."""

    @property
    def column_title(self) -> str:
        """What stands over its column."""
        return self.short or self.label


@dataclass(frozen=True)
class KindSpec:
    """One kind: its titles, fields, what a new one starts from, and the columns of its list."""

    kind: str
    title: str
    fields: tuple[FieldSpec, ...]
    columns: tuple[str, ...]
    blank: Any = None
    about: str = ""

    def field(self, name: str) -> FieldSpec:
        """The field with this name."""
        return next(one for one in self.fields if one.name == name)

    @property
    def one(self) -> str:
        """What one of them is called."""
        return name_things(self.kind)

    @property
    def can_add(self) -> bool:
        """Whether more of them can be made."""
        return self.blank is not None


def _fixed(*pairs: tuple[Any, str]) -> Choices:
    return lambda: pairs


@cache
def _zones() -> tuple[tuple[Any, str], ...]:
    return tuple((one, one.replace("_", " ")) for one in sorted(available_timezones()))


def _words(words: Mapping[str, str]) -> Choices:
    """Codes to choose from, in words."""
    return _fixed(*[(code, tr(word)) for code, word in words.items()])


def _field(name: str, label: str, kind: FieldKind = "text", **more: Any) -> FieldSpec:
    return FieldSpec(name, label, kind, **more)


def _pair(name: str, label: str, kind: FieldKind, **more: Any) -> tuple[FieldSpec, FieldSpec]:
    more.setdefault("short", label)
    low = FieldSpec(f"{name}_low", tr("{label}, from").format(label=label), kind, **more)
    to = tr("{label}, to").format(label=label)
    return low, replace(low, name=f"{name}_high", label=to, group="")


_NAME = FieldSpec("name", tr("Name"), required=True)
_NOTE = FieldSpec("note", tr("Note"), "notes")
_SOURCE = FieldSpec("source", tr("Source"), "notes", group=tr("Where the figures come from"))
_STATUS = FieldSpec("status", tr("Status of the figures"), "notes")
_UNITS = _fixed(
    ("kg", tr("by the kilogram")), ("lb", tr("by the pound")), ("pack", tr("by the pack"))
)

_SPECIES = KindSpec(
    "species", tr("Species"),
    (
        _field("code", tr("Code"), required=True, hint=tr("Two capital letters, such as OY.")),
        _NAME,
        _field("scientific", tr("Scientific name")),
        *_pair("incubation_days", tr("Incubation days"), "whole",
               short=tr("Incubation"), group=tr("Incubation"), required=True),
        _field("incubation_c", tr("Incubation temperature"), "celsius"),
        _field("spawn_percent", tr("Spawn, % of wet block"), "percent", required=True),
        _field("moisture_percent", tr("Moisture of the block, %"), "percent", required=True),
        *_pair("fruiting_c", tr("Fruiting temperature"), "celsius", group=tr("Fruiting")),
        *_pair("humidity", tr("Humidity, %"), "percent"),
        _field("co2_max", tr("CO₂, at most (ppm)"), "whole", short=tr("CO₂ ppm")),
        *_pair("open_pick_days", tr("Days from opening to pick"), "whole", required=True),
        _field("flushes", tr("Flushes"), "whole", required=True),
        *_pair("rest_days", tr("Days of rest between flushes"), "whole", required=True),
        *_pair("be_percent", tr("Biological efficiency, %"), "percent",
               short=tr("BE"), highest=1000, required=True),
        _field("flush_shares", tr("Shares of the flushes"),
            hint=tr("Percentages, such as 60/30/10.")),
        _field("caution", tr("Caution for buyers"), "notes", group=tr("Caution")),
        _SOURCE, _STATUS,
    ),
    ("code", "name", "scientific", "incubation_days", "be_percent", "source", "status"),
    Species(0, "", "", "", 14, 21, None, None, None, None, None, None, 7, 14, 2, 7, 14,
            Decimal(50), Decimal(100), "", Decimal(5), Decimal(62), "", "", tr("our own figures")),
    tr("Defaults of each species. Each figure is a starting point; your own "
"records replace it."),
)  # fmt: skip

_STORAGE = KindSpec(
    "storage_life", tr("Storage life"),
    (
        _field("species", tr("Species"), "ref", ref="species", required=True),
        _field("wrap", tr("Wrap"), words=WRAPS),
        _field("temperature_c", tr("Temperature"), "celsius", required=True),
        _field("days", tr("Days until unsaleable"), "number", short=tr("Days"), required=True),
        _SOURCE, _STATUS,
    ),
    ("species", "wrap", "temperature_c", "days", "source", "status"),
    StorageLife(0, days=Decimal(7), status=tr("our own figures")),
    tr("Shelf dates are estimates from these days; a person looks before "
"selling."),
)  # fmt: skip

_STRAIN = KindSpec(
    "strain", tr("Strains"),
    (
        _field("species", tr("Species"), "ref", ref="species", required=True),
        _field("code", tr("Code"), required=True,
            hint=tr("Two digits, such as 01; part of each name.")),
        _field("name", tr("Name")),
        _field("origin", tr("Where it came from"), "notes"),
        _field("max_transfers", tr("Most transfers of a culture"), "whole",
               short=tr("Transfers"), required=True),
        _field("max_generation", tr("Most grain generations"), "whole",
               short=tr("Generations"), required=True),
        _NOTE,
    ),
    ("species", "code", "name", "origin", "max_transfers", "max_generation"),
    Strain(0),
)  # fmt: skip

_ROOM = KindSpec(
    "room", tr("Rooms"),
    (
        _NAME,
        _field("use", tr("Used for"), "choice", choices=_words(ROOM_USES), required=True),
        _field("capacity", tr("Bags it holds"), "whole", required=True),
        _field("shelves", tr("Shelves"),
               hint=tr("Their names with blanks between: A1 A2 B1. Each gets a card.")),
        *_pair("temperature_c", tr("Temperature"), "celsius", group=tr("Climate wanted")),
        *_pair("humidity", tr("Humidity, %"), "percent"),
        _field("co2_max", tr("CO₂, at most (ppm)"), "whole", short=tr("CO₂ ppm")),
    ),
    ("name", "use", "capacity", "temperature_c", "humidity", "co2_max"),
    Room(0, "", "fruiting", 100),
    tr("Each room has a wall card: scan it, and the scans after it move bags "
"there."),
)  # fmt: skip

_PERSON = KindSpec(
    "person", tr("People"),
    (_NAME, _field("initials", tr("Initials"), required=True)),
    ("name", "initials"),
    Person(0, "", ""),
)  # fmt: skip

_INGREDIENT = KindSpec(
    "ingredient", tr("Ingredients"),
    (
        _NAME,
        _field("moisture_percent", tr("Own moisture, % of wet weight"), "percent",
               short=tr("Moisture"), required=True),
        _field("cost_per_kg", tr("Cost of a kilogram"), "money", short=tr("Cost of 1 kg")),
        _NOTE,
    ),
    ("name", "moisture_percent", "cost_per_kg", "note"),
    Ingredient(0, "", Decimal(10)),
)  # fmt: skip

_RECIPE = KindSpec(
    "recipe", tr("Recipes"),
    (
        _NAME,
        _field("parts", tr("Ingredients, % of dry mass"), "parts",
               hint=tr("The shares must add up to 100 %.")),
        _field("moisture_percent", tr("Moisture wanted, % of wet weight"), "percent",
               short=tr("Moisture"), required=True),
        _field("block_mg", tr("Weight of a wet block"), "mass", short=tr("Block"), required=True),
        _field("treatment", tr("Heat treatment"), "notes"),
        _NOTE,
    ),
    ("name", "parts", "moisture_percent", "block_mg", "treatment"),
    Recipe(0, "", Decimal(62), 2_500_000, ""),
)  # fmt: skip

_CRATE = KindSpec(
    "crate", tr("Crates"),
    (_NAME, _field("tare_mg", tr("Empty weight (tare)"), "mass", short=tr("Tare"), required=True)),
    ("name", "tare_mg"),
    Crate(0, "", 0),
    tr("A crate's own label lets the scale's tare be known from a scan."),
)  # fmt: skip


def _reasons(title: str, use: Choices, blank: Reason, about: str) -> KindSpec:
    fields = (
        _NAME,
        _field("use", tr("Used for"), "choice", choices=use, required=True),
        _field("code", tr("Short code")),
        _field("contamination", tr("Counts as contamination"), "check", short=tr("Contamination")),
        _NOTE,
    )
    return KindSpec("reason", title, fields, ("name", "use", "contamination", "note"), blank,
                    about)  # fmt: skip


_REASON = _reasons(
    tr("Reasons"),
    _words({use: word for use, word in REASON_USES.items() if use != "count"}),
    Reason(0, "", "", "discard", 0),
    tr("Why a bag was discarded, or stock left the cold store unsold."),
)  # fmt: skip

_PRODUCT = KindSpec(
    "product", tr("Products"),
    (
        _NAME,
        _field("species", tr("Species"), "ref", ref="species", hint=tr("Empty for a mix.")),
        _field("unit", tr("Sold"), "choice", choices=_UNITS, required=True),
        _field("pack_mg", tr("Net weight of a pack"), "mass",
            hint=tr("Needed when sold by the pack.")),
        _field("fill", tr("Filled"), "choice", required=True,
               choices=_fixed(("fixed", tr("each pack alike")),
                              ("catch", tr("each pack weighed and sold by its weight")))),
        _field("tare_mg", tr("Weight of an empty pack"), "mass", hint=tr("Box, tray and wrap.")),
        _field("form", tr("Kind of goods"), "choice", required=True,
               choices=_fixed(("fresh", tr("fresh")), ("dried", tr("dried")),
                              ("preserve", tr("preserve: pickles, oil, extract")))),
        _field("tax_rate", tr("Tax rate"), "ref", ref="tax_rate",
               hint=tr("Empty: the farm's own.")),
        _field("gtin", tr("GTIN"), hint=tr("Only with a company prefix of GS1.")),
        _field("wrap", tr("Wrap"), words=WRAPS),
        _field("caution", tr("Caution on the pack"), "notes"),
    ),
    ("name", "species", "unit", "pack_mg", "wrap"),
    Product(0, ""),
)  # fmt: skip

_TAX_RATE = KindSpec(
    "tax_rate", tr("Tax rates"),
    (
        _NAME,
        _field("percent", tr("Percent"), "percent", required=True),
    ),
    ("name", "percent"),
    TaxRate(0, ""),
    about=tr("Which rate holds for what is settled by law; ask your tax office."),
)  # fmt: skip

_PRICE_LIST = KindSpec("price_list", tr("Price lists"), (_NAME,), ("name",), PriceList(0, ""))

_PRICE = KindSpec(
    "price", tr("Prices"),
    (
        _field("price_list", tr("Price list"), "ref", ref="price_list", required=True),
        _field("product", tr("Product"), "ref", ref="product", required=True),
        _field("unit", tr("Unit"), "choice", choices=_UNITS, required=True),
        _field("price", tr("Price"), "money", required=True),
    ),
    ("price_list", "product", "unit", "price"),
    Price(0),
)  # fmt: skip

_CUSTOMER = KindSpec(
    "customer", tr("Customers"),
    (
        _NAME,
        _field("address", tr("Address"), "notes"),
        _field("contact", tr("Contact"), "notes"),
        _field("channel", tr("Channel"), hint=tr("Restaurant, shop, market, box scheme …")),
        _field("price_list", tr("Price list"), "ref", ref="price_list"),
        _field("minimum_life_days", tr("Days of life left at delivery"), "whole",
               short=tr("Days left"), required=True),
        _field("payment_days", tr("Days to pay"), "whole", required=True),
        _NOTE,
    ),
    ("name", "channel", "price_list", "minimum_life_days", "payment_days", "contact"),
    Customer(0, ""),
)  # fmt: skip

_STOCK = KindSpec(
    "label_stock", tr("Label stocks"),
    (
        _NAME,
        _field("feed", tr("Fed as"), "choice", required=True,
               choices=_fixed(("sheet", tr("sheets")), ("roll", tr("roll")))),
        _field("dpi", tr("Printer's dots per inch"), "whole", short=tr("dpi"), required=True),
        _field("page_width_um", tr("Page width (mm)"), "length", required=True, group=tr("Page")),
        _field("page_height_um", tr("Page height (mm)"), "length", required=True),
        _field("columns", tr("Labels across"), "whole", required=True),
        _field("rows", tr("Labels down"), "whole", required=True),
        _field("label_width_um", tr("Label width (mm)"), "length",
               short=tr("Width"), required=True, group=tr("Label")),
        _field("label_height_um", tr("Label height (mm)"), "length", short=tr("Height"),
            required=True),
        _field("left_um", tr("First label from the left (mm)"), "length", required=True),
        _field("top_um", tr("First label from the top (mm)"), "length", required=True),
        _field("column_step_um", tr("From one to the next across (mm)"), "length", required=True),
        _field("row_step_um", tr("From one to the next down (mm)"), "length", required=True),
    ),
    ("name", "feed", "dpi", "columns", "rows", "label_width_um", "label_height_um"),
    LabelStock(0, "", 57000, 32000, 1, 1, 57000, 32000, 0, 0, 57000, 32000, 203, "roll"),
    tr("Measure a printed test sheet at 100 %, and correct the lengths here."),
)  # fmt: skip

_FARM = KindSpec(
    "farm", tr("Farm settings"),
    (
        _NAME,
        _field("address", tr("Address on papers"), "notes"),
        _field("zone", tr("Time zone"), "choice", choices=_zones, required=True),
        _field("locale", tr("Dates and numbers as in"), "choice", required=True,
               choices=lambda: tuple(locale_choices())),
        _field("mass_unit", tr("Weights in"), "choice", required=True,
               choices=lambda: tuple(mass_choices())),
        _field("temperature_unit", tr("Temperatures in"), "choice", required=True,
               choices=_fixed(("C", "°C"), ("F", "°F"))),
        _field("currency", tr("Money in"), "choice", required=True,
               choices=_fixed(*[(one, one) for one in CURRENCIES])),
        _field("tax_percent", tr("Tax on invoices, %"), "percent", required=True,
            group=tr("Sales")),
        _field("sell_by_percent", tr("Sell by, % of the storage life"), "whole", required=True),
        _field("cold_store_c", tr("Cold store temperature"), "celsius", required=True),
        _field("inoculation_weekday", tr("Inoculation day"), "choice", required=True,
            group=tr("Growing"),
               choices=_fixed(*enumerate((tr("Monday"), tr("Tuesday"), tr("Wednesday"),
                   tr("Thursday"), tr("Friday"),
                                          tr("Saturday"), tr("Sunday")), 1))),
        _field("walk_days", tr("Days between two walks"), "whole", required=True),
        _field("with_spawn_dry", tr("Count dry spawn in biological efficiency"), "check"),
    ),
    ("name", "zone", "currency", "mass_unit", "temperature_unit", "tax_percent"),
)  # fmt: skip

KINDS: tuple[KindSpec, ...] = (
    _SPECIES, _STRAIN, _STORAGE, _ROOM, _PERSON, _INGREDIENT, _RECIPE, _CRATE, _REASON, _CUSTOMER,
    _PRODUCT, _TAX_RATE, _PRICE_LIST, _PRICE, _STOCK, _FARM,
)  # fmt: skip

BY_KIND: Mapping[str, KindSpec] = {one.kind: one for one in KINDS}
