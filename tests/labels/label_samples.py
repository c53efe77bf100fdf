"""Labels of an invented farm, one of each kind, with usual and with hostile texts."""

from farmdesk.domain.codes import code_of, make_id
from farmdesk.labels.fields import FIELDS, LabelItem

FARM = "Alder Brook Mushrooms"
USUAL = {
    "bag": {
        "farm": FARM,
        "species": "Blue oyster",
        "strain": "OY02 Mistral",
        "batch": "OY02-0147",
        "number": "017 of 040",
        "inoculated": "2026-02-05",
        "spawn": "S-OY02-0033",
        "heat_run": "R-0045",
        "ready_window": "20 Feb – 1 Mar",
        "note": "Two bags short",
    },
    "spawn": {
        "farm": FARM,
        "strain": "OY02 Mistral (Blue oyster)",
        "generation": "G2",
        "lot": "S-OY02-0033",
        "made": "2026-01-12",
        "use_by": "2026-03-12",
    },
    "culture": {"strain": "OY02 Mistral (Blue oyster)", "transfers": "3", "made": "2026-01-02"},
    "crate": {
        "farm": FARM,
        "species": "Lion's mane",
        "strain": "LM01 Snowdrift",
        "harvest_lot": "P-LM-0312",
        "picked_at": "2026-02-26 07:40",
        "flush": "1",
        "batches": "LM01-0147 3.1 kg, LM01-0149 1.2 kg",
        "net": "4.260 kg",
        "gross_tare": "5.060 / 0.800 kg",
        "grade": "A",
        "picker": "JT",
        "shelf_date": "2026-03-05",
    },
    "pack": {
        "common_name": "Shiitake mushrooms",
        "net": "100 g (3.5 oz)",
        "packed_on": "2026-02-26",
        "sell_by": "2026-03-05",
        "lot": "K-0123",
        "farm": FARM,
        "address": "12 Mill Lane, Alderford",
        "caution": "Cook thoroughly before eating; raw or undercooked shiitake can cause a "
        "skin rash.",
    },
    "card": {
        "title": "Contaminated: green mould",
        "meaning": "Scan this, then each bag: it is discarded with the reason green mould.",
    },
}
CODE_KIND = {
    "bag": "bag",
    "spawn": "spawn",
    "culture": "culture",
    "crate": "pick",
    "pack": "pack",
    "card": "card",
}
HOSTILE = {
    "quotes": "O'Neill's \"best\" <b>&amp;</b> \\ (x",
    "emoji": "\U0001f344 mushroom \U0001f600 \U0001f468\u200d\U0001f33e",
    "hebrew": "פטריות צדפה כחולות 17",
    "arabic": "فطر المحار الأزرق",
    "chinese": "蓝色平菇",
    "formula": "=1+1|cmd",
    "one long word": "W" * 300,
    "long": "the longest name that anybody would ever give to a thing " * 6,
    "control": "a\nb\tc\x00\x1b[31md\u202ee",
}


def code_for(kind, serial=1234567):
    return code_of(make_id(CODE_KIND[kind], serial))


def usual_items():
    """One label of each kind."""
    return [LabelItem(kind, code_for(kind), texts) for kind, texts in USUAL.items()]


def same_text_items(text):
    """One label of each kind with the same text in each of its fields."""
    return [
        LabelItem(kind, code_for(kind), {field.name: text for field in fields})
        for kind, fields in FIELDS.items()
    ]
