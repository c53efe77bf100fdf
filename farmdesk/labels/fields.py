"""What each kind of label can say: its fields in order, with their captions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import NamedTuple

from farmdesk.wording.language import tr

NO_FIELDS: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True)
class LabelItem:
    """One label to print: its kind, its ten-digit code, and its texts by field name."""

    kind: str
    code: str
    fields: Mapping[str, str] = field(default_factory=lambda: NO_FIELDS)
    trade: tuple[str, str] | None = None
    """A trade symbol beside the farm's own code: its kind, and what it holds."""


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
        Field("farm", tr("Farm")),
        Field("species", tr("Species")),
        Field("strain", tr("Strain")),
        Field("batch", tr("Batch")),
        Field("number", tr("Bag")),
        Field("inoculated", tr("Inoculated"), tr("Inoc.")),
        Field("spawn", tr("Spawn")),
        Field("heat_run", tr("Heat run"), tr("Run")),
        Field("ready_window", tr("Ready about"), tr("Ready")),
        Field("note", tr("Note")),
    ),
    SPAWN: (
        Field("farm", tr("Farm")),
        Field("strain", tr("Strain")),
        Field("generation", tr("Generation"), tr("Gen.")),
        Field("lot", tr("Spawn")),
        Field("made", tr("Made")),
        Field("use_by", tr("Use by")),
    ),
    CULTURE: (
        Field("strain", tr("Strain")),
        Field("transfers", tr("Transfers"), tr("Transfer")),
        Field("made", tr("Made")),
    ),
    CRATE: (
        Field("farm", tr("Farm")),
        Field("species", tr("Species")),
        Field("strain", tr("Strain")),
        Field("harvest_lot", tr("Harvest lot"), tr("Lot")),
        Field("picked_at", tr("Picked")),
        Field("flush", tr("Flush")),
        Field("batches", tr("Batches")),
        Field("net", tr("Net")),
        Field("gross_tare", tr("Gross / tare"), "Gross/tare"),
        Field("grade", tr("Grade")),
        Field("picker", tr("Picker")),
        Field("shelf_date", tr("Sell by")),
    ),
    PACK: (
        Field("common_name", tr("Name")),
        Field("net", tr("Net weight"), tr("Net wt")),
        Field("packed_on", tr("Packed")),
        Field("sell_by", tr("Sell by")),
        Field("lot", tr("Lot")),
        Field("farm", tr("Farm")),
        Field("address", tr("Address")),
        Field("keep", tr("Keep"), default=tr("Keep refrigerated")),
        Field("caution", tr("Caution")),
        Field("trade_text", "GS1"),
        Field("voice", tr("Voice pick code"), tr("Voice")),
    ),
    CARD: (
        Field("title", tr("Title")),
        Field("meaning", tr("Meaning")),
    ),
}


def field_of(kind: str, name: str) -> Field | None:
    """The field of this name on this kind of label, if it has one."""
    return next((one for one in FIELDS.get(kind, ()) if one.name == name), None)
