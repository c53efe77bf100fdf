"""What can be chosen of languages, number formats, units, paper and money, in words."""

from __future__ import annotations

from collections.abc import Sequence

from babel import Locale
from babel.numbers import get_currency_name, get_territory_currencies

from farmdesk.wording.language import spoken_language, tr

LOCALES = ("en_US", "en_GB", "en_CA", "en_AU", "de_DE", "es_ES", "es_MX", "fr_FR", "fr_CA",
           "it_IT", "nl_NL", "pt_BR", "pl_PL", "sv_SE", "da_DK", "ja_JP")  # fmt: skip
CURRENCIES = ("USD", "EUR", "GBP", "CAD", "AUD", "NZD", "CHF", "SEK", "NOK", "DKK", "PLN", "BRL",
              "JPY", "MXN")  # fmt: skip

Choices = Sequence[tuple[str, str]]


def locale_choices(*also: str) -> list[tuple[str, str]]:
    """Number and date formats by the lands that use them; `also` are offered too."""
    names = [*LOCALES, *(one for one in also if one and one not in LOCALES)]
    return [(one, Locale.parse(one).get_display_name(spoken_language()) or one) for one in names]


def currency_choices(*also: str) -> list[tuple[str, str]]:
    """Kinds of money, by code and name."""
    codes = [*CURRENCIES, *(one for one in also if one and one not in CURRENCIES)]
    language = spoken_language()
    return [(one, f"{one}, {get_currency_name(one, locale=language)}") for one in codes]


def usual_currency(locale: str) -> str:
    """The money of the locale's land; US dollars where none is known."""
    land = Locale.parse(locale).territory or ""
    found = get_territory_currencies(land) if land else []
    return str(found[0]) if found else "USD"


def mass_choices() -> list[tuple[str, str]]:
    """Units of weight."""
    return [
        ("kg", tr("kilograms")),
        ("g", tr("grams")),
        ("lb", tr("pounds")),
        ("oz", tr("ounces")),
        ("lb_oz", tr("pounds and ounces")),
    ]


def temperature_choices() -> list[tuple[str, str]]:
    """Units of temperature."""
    return [("C", tr("°C, degrees Celsius")), ("F", tr("°F, degrees Fahrenheit"))]


def paper_choices() -> list[tuple[str, str]]:
    """Sheets of paper."""
    return [("a4", tr("A4, 210 × 297 mm")), ("letter", tr("Letter, 8.5 × 11 in"))]
