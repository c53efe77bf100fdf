"""The language of every text that a person reads: gettext catalogues in `resources/languages`.

The English text is the key. A process speaks one language, chosen before the desk is loaded:
texts of modules and classes may therefore be translated where they are written.
"""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from typing import Protocol

from farmdesk.settings.places import resource_path

LANGUAGES: Mapping[str, str] = {"en": "English", "es": "Español"}
"""Languages that people can choose, each by its own name."""


class _Catalogue(Protocol):
    def gettext(self, message: str, /) -> str: ...
    def ngettext(self, one: str, many: str, number: int, /) -> str: ...


class _Spoken:
    """The one language of this process; no catalogue means English."""

    name = "en"
    catalogue: _Catalogue | None = None


def choose_language(name: str) -> None:
    """Speak this language from now on; one that is unknown or has no catalogue leaves English."""
    _Spoken.name, _Spoken.catalogue = "en", None
    if name == "en" or name not in LANGUAGES:
        return
    path = resource_path("languages", f"{name}.mo")
    gettext = importlib.import_module("gettext")  # English farms never load it
    with path.open("rb") as file:
        _Spoken.catalogue = gettext.GNUTranslations(file)
    _Spoken.name = name


def spoken_language() -> str:
    """The language that texts have now: 'en', 'es'."""
    return _Spoken.name


def tr(text: str) -> str:
    """A text in the language chosen; fill its {placeholders} afterwards with `format`."""
    if _Spoken.catalogue is None or not text:
        return text
    return _Spoken.catalogue.gettext(text)


def tr_count(number: int, one: str, many: str) -> str:
    """The form of a text that goes with a number; `{n}` in it is filled by the caller."""
    if _Spoken.catalogue is None:
        return one if number == 1 else many
    return _Spoken.catalogue.ngettext(one, many, number)


def later(text: str) -> str:
    """Marks a text for the catalogue that is translated where it is shown."""
    return text
