"""Sentences of scales, scanners and pictures: calm, and with what to do."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "device_library_missing": (
        "{what} need the library {library}, which is not installed. Install Farmdesk with its "
        "extra “devices”, then start it again."
    ),
    "device_not_opened": (
        "The device at {device} could not be opened ({reason}). See that it is plugged in and "
        "not used by another program; it is tried again by itself."
    ),
    "device_unplugged": (
        "The device at {device} does not answer any more. Nothing was recorded; plug it in again "
        "and go on, it is found by itself. Until then weights and codes can be typed."
    ),
    "hid_scale_not_found": (
        "No USB scale was found. Plug it in and switch it on; it is looked for by itself. Until "
        "then weights can be typed."
    ),
    "serial_setting_not_usable": (
        "“{value}” cannot be the {name} of a serial port. Take the value from the device's manual."
    ),
    "preference_not_usable": (
        "“{value}” cannot be used here. Choose one of the values offered, or a usual one."
    ),
    "scale_line_not_understood": (
        "The scale sent “{text}”, which is not a weight. See that speed and bits of the port are "
        "those of the scale, or type the weight."
    ),
    "scale_line_without_unit": (
        "The scale sent “{text}” without a unit that is known. Set the scale to send kg, g, lb or "
        "oz, or type the weight."
    ),
    "scale_comma_unclear": (
        "The scale sent “{text}”, and the comma may stand for thousands or for decimals. Choose "
        "the scale's decimal sign in the settings, or type the weight."
    ),
    "scale_report_not_understood": (
        "The USB scale sent “{text}”, which is not a weight. Switch it off and on again, or type "
        "the weight."
    ),
    "scale_unit_not_used": (
        "The scale is set to {unit}. Set it to kg, g, lb or oz, and weigh again."
    ),
    "scale_overload": (
        "The scale is overloaded. Take the load off and weigh it in two parts."
    ),
    "scale_under_zero": (
        "The scale is below zero. Take everything off, set it to zero and weigh again."
    ),
    "scale_shows_dashes": (
        "The scale shows no weight, only dashes. Take everything off, set it to zero and weigh "
        "again."
    ),
    "scale_absurd": (
        "The scale sent “{text}”, more than {limit}. See that its settings are right, or type the "
        "weight."
    ),
    "scale_fault": (
        "The scale reports a fault of its own. Switch it off and on; if it stays, type the "
        "weights and have it looked at."
    ),
    "scale_wants_calibration": (
        "The scale asks to be calibrated. Do it as its manual says, or have it done; do not sell "
        "by its weights until then."
    ),
    "scale_wants_zero": (
        "The scale asks to be set to zero. Take everything off, set it to zero and weigh again."
    ),
    "picture_unreadable": (
        "The picture “{name}” could not be opened: {reason}. Choose a JPEG or PNG file."
    ),
    "picture_of_no_kind": (
        "“{name}” is no picture that can be opened. Choose a JPEG or PNG file; a telephone that"
        " keeps its photos as HEIC can be set to take or to send JPEG."
    ),
    "picture_too_large": (
        "The picture “{name}” is too large. Take it again at the camera's usual size."
    ),
    "picture_without_code": (
        "No code could be read in “{name}”. Take the picture again nearer, straight from above "
        "and in good light, or type the ten digits under the bars."
    ),
    "camera_library_missing": (
        "A camera needs a part that is not installed. Install Farmdesk with its extra “camera”, "
        "then start it again. Until then codes can be read from photos (Ctrl+Shift+R)."
    ),
    "camera_library_broken": (
        "The part for cameras is installed, but this computer cannot run it ({reason}). Install "
        "what is missing, then start Farmdesk again. Until then codes can be read from photos "
        "(Ctrl+Shift+R)."
    ),
}  # fmt: skip
