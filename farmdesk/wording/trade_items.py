"""Sentences about GTINs, lots and symbols of the GS1 standard."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "gtin_length": (
        "“{text}” is no GTIN: it has 8, 12, 13 or 14 digits. Copy it from your GS1 list."
    ),
    "gtin_check": "The GTIN {text} should end in {digit}. Read it again from your GS1 list.",
    "gtin_not_ours": (
        "The GTIN {gtin} does not begin with your company prefix {prefix}. "
        "Use a number of your own, or mend the prefix in the farm's settings."
    ),
    "company_prefix": (
        "“{text}” is no GS1 company prefix: it has 4 to 12 digits. "
        "Leave it empty if the farm has none; labels then carry plain bar codes."
    ),
    "lot_length": (
        "The lot “{text}” has {length} characters; a GS1 label holds 1 to 20. Shorten it."
    ),
    "lot_characters": (
        "The lot “{text}” has signs that GS1 labels do not allow: {signs}. "
        "Use letters without accents, digits and - / . _ instead; no spaces."
    ),
    "weight_too_large": "The weight in {unit} has more digits than a GS1 label holds. Check it.",
    "label_not_gs1": (
        "“{text}” is no GS1 label with a lot, a date or a weight. Type them as they stand there."
    ),
    "symbol_unknown": "Choose one of the symbols.",
    "link_domain_wrong": "Digital Links begin with https:// and a domain. Correct it.",
    "health_claim": (
        "“{words}” promises something for health, which food law forbids or regulates. "
        "Leave it out, or ask the local office."
    ),
    "net_units_unknown": "Choose how the net weight is written from the list.",
    "net_rule_unknown": "Choose one of the rules.",
    "net_without_label": (
        "{product} has no fixed weight on its label, so there is nothing to check it against."
    ),
    "division_wrong": "The scale's smallest step must be less than the pack weighs. Correct it.",
    "net_weight_wrong": (
        "Pack {number} weighs less than its package, or far too much. Weigh it again."
    ),
    "net_weight_odd": (
        "Pack {number} is nowhere near what {product} should weigh. Check the unit and the scale."
    ),
    "weight_of_line": "Line {number} is no weight. Write it as 151.5 or 5.3 oz.",
    "no_company_prefix": (
        "This farm has no GS1 company prefix, so labels carry plain bar codes of its own lots. "
        "A prefix is had from the GS1 office of your country; enter it in the farm's settings."
    ),
}
