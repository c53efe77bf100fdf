"""Sentences about room readings, logger files and shelf life as life used up."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "reading_empty": (
        "Nothing was read yet. Type a temperature, a humidity or a CO₂ figure, or several of them."
    ),
    "reading_in_future": "A reading at {at} lies in the future. Check the day and the time.",
    "reading_temperature_wrong": (
        "{value} is no temperature of a room: from {low} to {high} is taken. Check the number, and"
        " whether it is °C or °F."
    ),
    "reading_humidity_wrong": "{value} % is no humidity of air: above 0 and at most 100 is taken.",
    "reading_co2_wrong": "{value} ppm is no CO₂ of a room: from {low} to {high} ppm is taken.",
    "clock_not_understood": "“{text}” could not be read as a time of day. Type it as 14:30.",
    "logger_file_unreadable": "{file} could not be read: {reason}.",
    "logger_file_too_large": (
        "{file} is larger than {most} MB. Let the logger write shorter files, or cut it in parts."
    ),
    "logger_file_empty": "{file} holds no lines. Export the readings again from the logger.",
    "logger_file_no_readings": (
        "No line of {file} has a day, a time and a figure that could be read. Is it the logger's"
        " table of readings, as CSV or text?"
    ),
    "logger_column_twice": "Column “{column}” was chosen for two things. Choose each column once.",
    "logger_time_missing": "Choose the column that holds the time of each reading.",
    "logger_figure_missing": ("Choose at least one column with temperature, humidity or CO₂."),
    "logger_without_name": "Give the logger a name, such as Shelf top; it tells two of them apart.",
    "logger_import_stopped": "Stopped. Nothing of {file} was taken in.",
    "shelf_date_not_earlier": (
        "The life of {lot} cannot be made longer: {wanted} is later than the {now} that its label"
        " says. Printed dates are never extended."
    ),
    "shelf_rule_unknown": "“{text}” is no rule for the sell-by day.",
}
