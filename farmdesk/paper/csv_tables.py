"""One tidy table as CSV: a heading row of keys, real values, nothing a program would run."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Sequence
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from farmdesk.paper.safe_files import write_safely
from farmdesk.paper.tables import Column, Table, clean_text, split_in_columns

_FORMULA_SIGNS = frozenset("=+-@\t\r\n＝＋－＠")
_UNPRINTABLE = "\x01-\x08\x0b-\x1f\x7f\ud800-\udfff\ufffe\uffff"
_CARE = re.compile(f"(?:^|\x00)'*[=+\\-@\t\r\n＝＋－＠]|[{_UNPRINTABLE}]")
_MG_PER_KG = 1_000_000


def write_csv(table: Table, path: Path) -> None:
    """Write the rows as UTF-8: masses in kg, days and instants in ISO form, flags true or false.

    A text that a spreadsheet program would take for a formula gets an apostrophe before it.
    Notes and totals are left out: they are no rows. Raises NotWritten.
    """
    with (
        write_safely(path) as draft,
        draft.open("w", encoding="utf-8", newline="", buffering=1 << 18) as stream,
    ):
        writer = csv.writer(stream)
        writer.writerow([guard_text(_key(column)) for column in table.columns])
        makers = [_MAKERS.get(column.kind, _plain) for column in table.columns]
        for chunk in split_in_columns(table):
            made = [make(values) for make, values in zip(makers, chunk, strict=True)]
            writer.writerows(zip(*made, strict=True))


def guard_text(text: str) -> str:
    """Text that no spreadsheet program takes for a formula (OWASP, CSV injection)."""
    text = clean_text(text)
    return f"'{text}" if text.lstrip("'")[:1] in _FORMULA_SIGNS and text else text


def unguard_text(text: str) -> str:
    """The text before `guard_text`."""
    bare = text.lstrip("'")
    return text[1:] if bare[:1] in _FORMULA_SIGNS and text.startswith("'") and bare else text


def _key(column: Column) -> str:
    if column.kind == "mass":
        return f"{column.key.removesuffix('_mg').removesuffix('_kg')}_kg"
    return column.key


def _texts(values: Sequence[object]) -> Sequence[object]:
    try:
        joined = "\x00".join(values)  # type: ignore[arg-type]
    except TypeError:
        return [_real(value) for value in values]
    if _CARE.search(joined) or joined.count("\x00") != len(values) - 1:
        return [_real(value) for value in values]
    return values


def _plain(values: Sequence[object]) -> Sequence[object]:
    return values if set(map(type, values)) <= {int} else [_real(value) for value in values]


def _masses(values: Sequence[object]) -> Sequence[object]:
    return [_kg(value) for value in values]


def _kg(mg: object) -> object:
    """Exact for whole milligrams: floats of this size print the shortest text that says it."""
    if isinstance(mg, bool) or not isinstance(mg, int | float | Fraction):
        return _real(mg)
    if isinstance(mg, int) and 0 < abs(mg) < 100:
        return format(Decimal(mg).scaleb(-6).normalize(), "f")
    return _real(float(mg) / _MG_PER_KG)


def _real(value: object) -> object:
    if isinstance(value, str):
        return guard_text(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Fraction):
        return float(value)
    if isinstance(value, Decimal):
        return format(value, "f") if value.is_finite() else None
    if isinstance(value, float):
        return value if abs(value) < float("inf") else None
    return value if value is None or isinstance(value, int) else guard_text(str(value))


_Maker = Callable[[Sequence[object]], Sequence[object]]
_MAKERS: dict[str, _Maker] = {
    "text": _texts,
    "code": _texts,
    "day": _texts,
    "instant": _texts,
    "mass": _masses,
}
