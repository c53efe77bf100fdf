"""Gathers every text that people read and brings `resources/languages` up to date.

    python tests/make_languages.py            adds new texts to every .po, drops gone ones, compiles
    python tests/make_languages.py --missing  lists what has no translation yet

Texts are found in the code (`tr`, `later`, `tr_count`, `count`), in the sentences of `wording/`, in
the cautions, and in the names that a new farm begins with.
"""

from __future__ import annotations

import argparse
import ast
import csv
import importlib
import io
import pkgutil
import sys
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "resources" / "languages"
SPOKEN = ("es",)
WORDED = ("SENTENCES", "HAPPENINGS", "THINGS", "_ENDINGS", "MEANINGS")
"""Tables of `wording/` whose texts are translated when they are said."""

Message = str | tuple[str, str]


def gather() -> list[Message]:
    """Every text of the program, in a lasting order, each once."""
    found: dict[Message, None] = {}
    for text in (*_from_code(), *_from_wording(), *_from_resources()):
        if text and (isinstance(text, tuple) or text.strip()):
            found[text] = None
    plurals = {one[0] for one in found if isinstance(one, tuple)}
    return sorted((one for one in found if one not in plurals), key=str)


def _from_code() -> Iterator[Message]:
    for path in sorted((ROOT / "farmdesk").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                yield from _texts_of(node)


def _texts_of(call: ast.Call) -> Iterator[Message]:
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    texts = [one.value for one in call.args if isinstance(one, ast.Constant)]
    texts = [one for one in texts if isinstance(one, str)]
    if name in ("tr", "later") and texts:
        yield texts[0]
    elif name in ("tr_count", "count") and len(texts) == 2:
        yield (texts[0], texts[1])


def _from_wording() -> Iterator[Message]:
    from farmdesk import wording

    for module in pkgutil.iter_modules(wording.__path__):
        loaded = importlib.import_module(f"farmdesk.wording.{module.name}")
        for name in WORDED:
            yield from _texts_in(getattr(loaded, name, {}))


def _texts_in(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for one in value.values():
            yield from _texts_in(one)
    elif isinstance(value, tuple):
        for one in value:
            yield from _texts_in(one)


def _from_resources() -> Iterator[Message]:
    with (ROOT / "resources" / "seed" / "cautions.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            yield row["text"]
            yield row["defer_to"]


def read_catalogue(name: str) -> Catalog:
    """A language's catalogue as it lies in the repository; empty when there is none yet."""
    path = FOLDER / f"{name}.po"
    if not path.exists():
        return Catalog(locale=name)
    with path.open("rb") as file:
        return read_po(file, locale=name)


def bring_up_to_date(old: Catalog, messages: Iterable[Message]) -> Catalog:
    """The same translations for the texts that there are now; new ones are empty."""
    made = Catalog(locale=old.locale, project="Farmdesk", version="", copyright_holder="")
    made.creation_date = made.revision_date = old.creation_date
    for message in messages:
        known = old.get(message[0] if isinstance(message, tuple) else message)
        string = known.string if known is not None else None
        if isinstance(message, tuple) and not isinstance(string, tuple):
            string = ("",) * made.num_plurals
        if isinstance(message, str) and not isinstance(string, str):
            string = ""
        made.add(message, string)
    return made


def compiled(catalogue: Catalog) -> bytes:
    """The catalogue as the program reads it."""
    out = io.BytesIO()
    write_mo(out, catalogue)
    return out.getvalue()


def missing(catalogue: Catalog) -> list[Message]:
    """Texts without a translation."""
    return [
        one.id
        for one in catalogue
        if one.id and not (all(one.string) if isinstance(one.string, tuple) else one.string)
    ]


def main() -> int:
    """Bring every catalogue up to date; exit status 1 when texts lack a translation."""
    reader = argparse.ArgumentParser()
    reader.add_argument("--missing", action="store_true")
    asked = reader.parse_args()
    messages = gather()
    lacking = 0
    for name in SPOKEN:
        catalogue = bring_up_to_date(read_catalogue(name), messages)
        left = missing(catalogue)
        lacking += len(left)
        if asked.missing:
            print(*left, sep="\n")
            continue
        with (FOLDER / f"{name}.po").open("wb") as file:
            write_po(file, catalogue, width=100, sort_output=True, no_location=True)
        (FOLDER / f"{name}.mo").write_bytes(compiled(catalogue))
        print(f"{name}: {len(messages)} texts, {len(left)} without a translation")
    return 1 if lacking else 0


if __name__ == "__main__":
    sys.exit(main())
