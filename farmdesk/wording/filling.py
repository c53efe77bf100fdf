"""Sentences about forms that are filled in: empty fields, unknown choices, odd numbers."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "field_empty": "{label} must be filled in.",
    "choice_not_known": "“{text}” is not one of the choices. Choose one from the list.",
    "number_not_understood": "“{text}” could not be read as a number. Type it as 12 or 12.5.",
    "number_not_whole": "“{text}” is not a whole number. Type it without decimals.",
}
