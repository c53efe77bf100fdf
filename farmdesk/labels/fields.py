"""What each kind of label can say: its fields in order, with their captions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import NamedTuple

NO_FIELDS: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True)
class LabelItem:
    """One label to print: its kind, its ten-digit code, and its texts by field name."""

    kind: str
    code: str
    fields: Mapping[str, str] = field(default_factory=lambda: NO_FIELDS)


class Field(NamedTuple):
    """One text of a label; `caption` stands above it, `short` before it on the same line.

    `default` is printed when an item does not give the field at all; an empty text hides it.
    """

    name: str
    caption: str
    short: str = ""
    default: str = ""


BAG = "bag"
SPAWN = "spawn"
CULTURE = "culture"
CRATE = "crate"
PACK = "pack"
CARD = "card"

FIELDS: Mapping[str, tuple[Field, ...]] = {
    BAG: (
        Field("farm", "Farm"),
        Field("species", "Species"),
        Field("strain", "Strain"),
        Field("batch", "Batch"),
        Field("number", "Bag"),
        Field("inoculated", "Inoculated", "Inoc."),
        Field("spawn", "Spawn"),
        Field("heat_run", "Heat run", "Run"),
        Field("ready_window", "Ready about", "Ready"),
        Field("note", "Note"),
    ),
    SPAWN: (
        Field("farm", "Farm"),
        Field("strain", "Strain"),
        Field("generation", "Generation", "Gen."),
        Field("lot", "Spawn"),
        Field("made", "Made"),
        Field("use_by", "Use by"),
    ),
    CULTURE: (
        Field("strain", "Strain"),
        Field("transfers", "Transfers", "Transfer"),
        Field("made", "Made"),
    ),
    CRATE: (
        Field("farm", "Farm"),
        Field("species", "Species"),
        Field("strain", "Strain"),
        Field("harvest_lot", "Harvest lot", "Lot"),
        Field("picked_at", "Picked"),
        Field("flush", "Flush"),
        Field("batches", "Batches"),
        Field("net", "Net"),
        Field("gross_tare", "Gross / tare", "Gross/tare"),
        Field("grade", "Grade"),
        Field("picker", "Picker"),
        Field("shelf_date", "Sell by"),
    ),
    PACK: (
        Field("common_name", "Name"),
        Field("net", "Net weight", "Net wt"),
        Field("packed_on", "Packed"),
        Field("sell_by", "Sell by"),
        Field("lot", "Lot"),
        Field("farm", "Farm"),
        Field("address", "Address"),
        Field("keep", "Keep", default="Keep refrigerated"),
        Field("caution", "Caution"),
    ),
    CARD: (
        Field("title", "Title"),
        Field("meaning", "Meaning"),
    ),
}


def field_of(kind: str, name: str) -> Field | None:
    """The field of this name on this kind of label, if it has one."""
    return next((one for one in FIELDS.get(kind, ()) if one.name == name), None)
