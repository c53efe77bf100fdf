"""How tasks and kinds of cost are called."""

from __future__ import annotations

from collections.abc import Mapping

from farmdesk.wording.language import tr

TASK_WORDS: Mapping[str, str] = {
    "lab": tr("lab work"),
    "substrate": tr("mixing and heat"),
    "inoculation": tr("inoculation"),
    "incubation": tr("incubation rounds"),
    "fruiting": tr("fruiting rooms"),
    "picking": tr("picking"),
    "cleaning": tr("cleaning"),
    "packing": tr("packing"),
    "selling": tr("selling"),
    "delivery": tr("delivery"),
    "office": tr("office"),
}
KIND_WORDS: Mapping[str, str] = {
    "materials": tr("Materials"),
    "spawn": tr("Spawn"),
    "supplies": tr("Bags and labels"),
    "making": tr("Work of making"),
    "growing": tr("Work of growing"),
    "overhead": tr("Overhead"),
}
