"""What a pack's label says in the symbols of the GS1 standard."""

from __future__ import annotations

from collections.abc import Mapping

from farmdesk.domain.catalogue import Product
from farmdesk.domain.gs1 import (
    DIGITAL_LINK,
    check_prefix,
    digital_link,
    element_text,
    item_elements,
    read_gtin,
    voice_pick_code,
)
from farmdesk.domain.harvest import Pack
from farmdesk.domain.trade import TradeSetting

_KINDS = {"gs1_128": "gs1_128", "datamatrix": "gs1_datamatrix", "link": "qr"}


def trade_texts(
    pack: Pack, product: Product, setting: TradeSetting, *, net_mg: int | None = None
) -> Mapping[str, str]:
    """The texts and data of a pack's trade symbol; none without a prefix, a GTIN or a choice.

    `net_mg` is what this pack was weighed, for products of catch weight.

    The last day is told as 'sell by' where a sell-by day is known, else as 'best before'. Raises
    Refused for a GTIN or a lot that the standard does not allow.
    """
    kind = _KINDS.get(setting.symbol)
    if kind is None or not setting.company_prefix or not product.gtin:
        return {}
    gtin = read_gtin(product.gtin)
    check_prefix(gtin, setting.company_prefix)
    dates = [("packed", pack.packed_on)]
    if pack.sell_by:
        dates.append(("sell_by", pack.sell_by))
    elif pack.shelf_on:
        dates.append(("best_before", pack.shelf_on))
    weight = None
    if product.fill == "catch":
        weight = pack.net_mg // max(pack.count, 1) if net_mg is None else net_mg
    unit = "lb" if product.unit == "lb" else "kg"
    elements = item_elements(gtin, lot=pack.name, dates=dates, net_mg=weight, unit=unit)
    shown = element_text(elements)
    data = digital_link(elements, setting.link_domain or DIGITAL_LINK) if kind == "qr" else shown
    return {
        "trade_kind": kind,
        "trade_data": data,
        "trade_text": shown,
        "voice": voice_pick_code(gtin, pack.name, pack.packed_on),
    }


def trade_symbol_of(texts: Mapping[str, str]) -> tuple[str, str] | None:
    """The symbol's kind and data, if the texts of a label have one."""
    kind = texts.get("trade_kind")
    return None if kind is None else (kind, texts["trade_data"])
