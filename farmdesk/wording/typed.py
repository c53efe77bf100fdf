"""Sentences about quantities as typed: masses, temperatures, percents, days, weeks, money."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "mass_empty": "No weight was typed. Type a number and its unit, such as 9 lb 6.5 oz or 540 g.",
    "mass_without_unit": (
        "“{text}” has no unit after its last number. Add kg, g, lb or oz, such as 4.26 kg."
    ),
    "mass_not_understood": (
        "“{text}” could not be read as a weight. Type it as 9 lb 6.5 oz, 4.26 kg or 540 g."
    ),
    "mass_too_long": (
        "That text has {length} characters and is no weight. Type it as 9 lb 6.5 oz or 4.26 kg."
    ),
    "mass_negative": "“{text}” is below zero. Type the weight without a minus sign.",
    "mass_zero": "“{text}” is nothing at all. Weigh again and type what the scale shows.",
    "mass_absurd": (
        "“{text}” is more than {limit}, too much for one weighing. Check the number and its unit."
    ),
    "ounces_over_sixteen": (
        "“{text}” has 16 ounces or more, and 16 oz are a pound. Is {taken} meant?"
    ),
    "grams_over_kilogram": (
        "“{text}” has 1000 grams or more beside the kilograms. Is {taken} meant?"
    ),
    "pounds_point_ounces": (
        "“{text}” as decimal pounds is {taken}. If {other} was meant, type it as {other}."
    ),
    "comma_unclear": (
        "“{text}” can be read as {taken} or as {other}. It is taken as {taken}; is that right?"
    ),
    "temperature_not_understood": (
        "“{text}” could not be read as a temperature. Type it as 65 F or 18.5 C."
    ),
    "temperature_without_unit": "“{text}” has no unit. Add F or C, such as 65 F.",
    "temperature_absurd": (
        "“{text}” is no temperature of a room, block or steriliser. Check the number and F or C."
    ),
    "percent_not_understood": "“{text}” could not be read as a percent. Type it as 62 % or 62.5.",
    "percent_negative": "“{text}” is below zero. Type the percent without a minus sign.",
    "percent_too_high": "“{text}” is above {highest} %. Check the number.",
    "percent_as_share": (
        "“{text}” can be read as {taken} or as {other}. It is taken as {taken}; is that right?"
    ),
    "day_not_understood": (
        "“{text}” could not be read as a day. "
        "Type it as 2026-02-05, 5 Feb 2026, today or yesterday."
    ),
    "day_unclear": (
        "“{text}” is a different day in different countries. Type it as 2026-02-05 or 5 Feb 2026."
    ),
    "day_not_in_calendar": "“{text}” is not a day of the calendar. Check day, month and year.",
    "instant_not_understood": (
        "“{text}” is no instant of the form 2026-02-05T14:30:00Z. Write it in that form, in UTC."
    ),
    "zone_not_known": (
        "There is no time zone “{zone}”. Choose one by its name, such as America/New_York."
    ),
    "week_not_understood": "“{text}” could not be read as a week. Type it as 2026-W47.",
    "week_not_in_year": (
        "The year {year} has no week {week}: its last is week {last} (ISO weeks). "
        "Choose a week from 1 to {last}."
    ),
    "money_empty": "No amount was typed. Type it as 4.50.",
    "money_not_understood": "“{text}” could not be read as an amount of money. Type it as 4.50.",
    "money_negative": "“{text}” is below zero. Type the amount without a minus sign.",
    "money_too_many_decimals": (
        "“{text}” has more decimals than the currency has ({digits}). Round the amount."
    ),
    "money_other_currency": "“{text}” is not in {currency}, the farm's currency. Type the number.",
    "money_absurd": "“{text}” is more than a thousand million. Check the amount.",
}
