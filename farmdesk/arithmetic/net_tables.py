"""The shipped tables for net contents, each row with its source and status."""

from __future__ import annotations

import csv
from decimal import Decimal

from farmdesk.arithmetic.net_contents import AllowanceRow, SamplingRow
from farmdesk.settings.places import resource_path


def read_us_allowances() -> tuple[AllowanceRow, ...]:
    """Allowed shortages of single packs by labelled pounds (NIST Handbook 133, table 2-5)."""
    return _read_allowances("us_shortage_lb.csv")


def read_european_allowances() -> tuple[AllowanceRow, ...]:
    """Tolerable negative errors by nominal grams (Directive 76/211/EEC)."""
    return _read_allowances("eu_tolerable_error_g.csv")


def read_us_sampling() -> tuple[SamplingRow, ...]:
    """Sampling plan of category A by lot size (NIST Handbook 133, table 2-1)."""
    return tuple(
        SamplingRow(
            lot_from=int(row["lot_from"]),
            lot_to=int(row["lot_to"]) if row["lot_to"] else None,
            sample=int(row["sample"]),
            correction_factor=_optional(row["correction_factor"]),
            allowed_over=int(row["allowed_over"]),
            source=row["source"],
            status=row["status"],
        )
        for row in _read_rows("us_sampling.csv")
    )


def _read_allowances(name: str) -> tuple[AllowanceRow, ...]:
    return tuple(
        AllowanceRow(
            over=Decimal(row["over"]),
            to=_optional(row["to"]),
            allowance=_optional(row["allowance"]),
            percent=_optional(row["percent"]),
            source=row["source"],
            status=row["status"],
        )
        for row in _read_rows(name)
    )


def _read_rows(name: str) -> list[dict[str, str]]:
    with resource_path("net_contents", name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _optional(text: str) -> Decimal | None:
    return Decimal(text) if text else None
