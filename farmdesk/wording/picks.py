"""Sentences about picks, scales and the cold store."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # Picking and weighing.
    "crate_in_use": (
        "Crate {crate} holds the pick {pick}, which is not weighed yet. "
        "Weigh it first, or take another crate."
    ),
    "picked_in_future": "A pick on {picked_at} has not come yet. Correct the time.",
    "picked_before_inoculation": (
        "{bag} was inoculated on {inoculated_on}, so it cannot have been picked on {day}. "
        "Correct the day or the bag."
    ),
    "picked_bag_ended": (
        "{bag} is {stage}, so nothing can be picked from it. Take back that step if it was a slip."
    ),
    "pick_of_other_species": (
        "{bag} is {species}, but {pick} is a crate of {wanted}. "
        "Keep species apart: start another crate for it."
    ),
    "pick_weighed_already": (
        "{pick} is weighed already. Correct its weight, or start another pick."
    ),
    "pick_not_weighed": "{pick} is not weighed yet. Weigh it first.",
    "pick_without_bags": (
        "No bag is in {pick} yet. Scan or name at least one bag it was picked from, then weigh it."
    ),
    "pick_names_no_bags": "Name at least one bag or batch that was picked.",
    "pick_not_empty": "{pick} holds bags already. Take back the picking instead.",
    "flush_out_of_range": "Flush {flush} cannot be; it must be from 1 to {most}.",
    "gross_out_of_range": (
        "The weight must be more than nothing and at most {most}. Weigh again, or correct it."
    ),
    "tare_negative": "A crate cannot weigh less than nothing. Correct the tare.",
    "tare_above_gross": (
        "The tare ({tare}) is not below the gross weight ({gross}), so nothing would be in the "
        "crate. Check both; they may be swapped."
    ),
    "pick_absurd": ("{net} from {bags} bag(s) is more than {most} a bag. Is the weight right?"),
    "pick_above_blocks": (
        "{net} is more than twice what the {bags} block(s) weigh together ({blocks}). "
        "Is the weight right?"
    ),
    "correction_below_gone": (
        "{gone} of {pick} has left the store already, so it cannot have weighed only {net}. "
        "Correct what left first."
    ),
}
