"""Sentences of the desk itself: fields that are filled in, and the system's printer."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "field_empty": "{label} must be filled in.",
    "choice_not_known": "“{text}” is not one of the choices. Choose one from the list.",
    "number_not_understood": "“{text}” could not be read as a number. Type it as 12 or 12.5.",
    "number_not_whole": "“{text}” is not a whole number. Type it without decimals.",
    "printer_not_ready": (
        "The printer “{printer}” does not take the pages. See that it is on, has paper and is not "
        "paused, then print again; or save the pages as a PDF file."
    ),
}
