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
    "clock_not_understood": (
        "“{text}” could not be read as a time. Type it as 14:05 or 2:05 pm, with a day before it "
        "when it was another day."
    ),
    "probe_line_not_understood": (
        "The line “{text}” could not be read. Type time, temperature and place, such as "
        "14:40 121 °C middle of the load."
    ),
    "bag_range_not_understood": (
        "“{text}” could not be read as bags. Type 1-20, or a single number, or all."
    ),
}
