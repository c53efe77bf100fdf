"""Sentences about walks, defects and stages."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "walk_of_nothing": "Name the batch or the room that was walked.",
    "bag_not_walked": "{name} is not among the bags that were walked. Correct its number.",
    "discard_without_reason": "Choose why the bag is discarded.",
    "reason_not_for_bags": "“{reason}” is no reason to discard a bag. Choose another.",
    "walk_done": "{name} walked: {looked} fine, {discarded} discarded, {slow} slow.",
    "walk_done_already": "{name} was walked today already.",
}
