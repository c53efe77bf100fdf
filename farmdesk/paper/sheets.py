"""Sheets of a workbook as values, and the names that programs take for them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from farmdesk.paper.charts import Chart
from farmdesk.paper.tables import Table, clean_text

LAST_ROW = 1_048_576
"""Rows that a sheet can hold (ECMA-376 sets no limit; the programs that read it do)."""

_LONGEST_NAME = 31
_FORBIDDEN = re.compile(r"[\[\]:*?/\\\x00-\x1f\ufffd]")


@dataclass(frozen=True)
class Sheet:
    """One sheet: a table with its heading row frozen and a filter, or several below each other."""

    title: str
    tables: Sequence[Table]
    charts: Sequence[Chart] = ()


@dataclass(frozen=True)
class Properties:
    """What the file says about itself; `made_at` is an instant, now when None."""

    title: str = ""
    author: str = "Farmdesk"
    made_at: str | None = None


def name_sheets(titles: Iterable[str]) -> list[str]:
    """A name for each sheet that every program takes: short, without its signs, all different."""
    names: list[str] = []
    taken: set[str] = {"history"}
    for title in titles:
        bare = _FORBIDDEN.sub(" ", clean_text(title))
        plain = " ".join(bare.split()).strip("'").strip() or "Sheet"
        names.append(_free_name(plain, taken))
        taken.add(names[-1].casefold())
    return names


def _free_name(plain: str, taken: set[str]) -> str:
    name, number = _cut(plain, _LONGEST_NAME), 1
    while name.casefold() in taken:
        number += 1
        ending = f" {number}"
        name = _cut(plain, _LONGEST_NAME - len(ending)) + ending
    return name


def _cut(text: str, longest: int) -> str:
    """The first so many UTF-16 units, which is how the programs count."""
    units = text.encode("utf-16-le")[: 2 * longest]
    return units.decode("utf-16-le", errors="ignore").rstrip(" '")
