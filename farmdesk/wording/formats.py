"""Numbers, masses, money and days as the person reads them, in one locale and one farm's units."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from babel import Locale
from babel.dates import format_date, format_skeleton, format_time
from babel.numbers import format_decimal

from farmdesk.quantities.mass import format_mass
from farmdesk.quantities.money import format_money
from farmdesk.quantities.numbers import decimal_of, has_decimal_comma
from farmdesk.quantities.temperature import format_temperature
from farmdesk.quantities.times import local_day, local_time
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.wording.language import tr_count

Number = int | float | Decimal | Fraction


@dataclass(frozen=True)
class Formats:
    """How this farm and person see quantities; `paper` is 'letter' or 'a4'."""

    locale: str = "en_US"
    mass_unit: str = "kg"
    zone: str = "UTC"
    currency: str = "USD"
    temperature_unit: str = "F"
    paper: str = "letter"

    @property
    def decimal_comma(self) -> bool:
        """Whether the locale writes 4,26; to be handed on when text is read."""
        return has_decimal_comma(self.locale)

    def mass(self, mg: int) -> str:
        """A mass in the farm's unit."""
        return format_mass(mg, self.mass_unit, self.locale)

    def mass_in(self, mg: int, unit: str) -> str:
        """A mass in kg, g, lb, oz or lb_oz."""
        return format_mass(mg, unit, self.locale)

    def number(self, value: Number, digits: int = 0) -> str:
        """A number with exactly so many decimals."""
        if not digits and isinstance(value, int):
            return _whole(value, self.locale)
        pattern = "#,##0." + "0" * digits if digits else "#,##0"
        return format_decimal(_rounded(value, digits), pattern, locale=self.locale)

    def percent(self, value: Number, digits: int = 1) -> str:
        """A percent (62.5 means 62.5 %) in the locale's form."""
        pattern = Locale.parse(self.locale).percent_formats[None]
        return f"{pattern.prefix[0]}{self.number(value, digits)}{pattern.suffix[0]}"

    def money(self, amount: Decimal) -> str:
        """An amount in the farm's currency, to the cent."""
        return format_money(amount, self.currency, self.locale)

    def day(self, day: str) -> str:
        """A day, or the farm's day at an instant, with the month in letters and the year."""
        return _day(local_day(day, self.zone), self.locale)

    def long_day(self, day: str) -> str:
        """A day with its weekday, all in words as far as the locale goes."""
        return format_date(date.fromisoformat(day), "full", locale=self.locale)

    def near_day(self, day: str) -> str:
        """A day of these weeks with its weekday, short and without the year."""
        return format_skeleton("MMMEd", date.fromisoformat(day), locale=self.locale)

    def instant(self, iso: str) -> str:
        """An instant as day and clock time of the farm's zone."""
        clock = format_time(local_time(iso, self.zone), "short", locale=self.locale)
        return f"{self.day(iso)}, {clock}"

    def week(self, week: IsoWeek) -> str:
        """An ISO week, such as 2026-W47."""
        return str(week)

    def week_with_days(self, week: IsoWeek) -> str:
        """An ISO week with its first and last day."""
        return f"{week} ({self.day(week.monday)} – {self.day(week.sunday)})"

    def temperature(self, celsius: Decimal | Fraction | int) -> str:
        """A Celsius temperature in the farm's unit."""
        return format_temperature(celsius, self.temperature_unit, self.locale)

    def count(self, number: int, one: str, many: str) -> str:
        """So many things in the language spoken: '1 bag', '1,000 bags'."""
        return f"{self.number(number)} {tr_count(abs(number), one, many)}"


# Lists say the same few counts and days hundreds of times.
@lru_cache(maxsize=2000)
def _whole(value: int, locale: str) -> str:
    return format_decimal(Decimal(value), "#,##0", locale=locale)


@lru_cache(maxsize=2000)
def _day(day: str, locale: str) -> str:
    return format_skeleton("yMMMd", date.fromisoformat(day), locale=locale)


def _rounded(value: Number, digits: int) -> Decimal:
    return decimal_of(Fraction(value), digits)
