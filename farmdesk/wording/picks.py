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
    "pick_absurd": ("{net} from {bags} is more than {most} a bag. Is the weight right?"),
    "pick_above_blocks": (
        "{net} is more than twice what the blocks of {bags} weigh together ({blocks}). "
        "Is the weight right?"
    ),
    "correction_below_gone": (
        "{gone} of {pick} has left the store already, so it cannot have weighed only {net}. "
        "Correct what left first."
    ),
    # The cold store and packing.
    "reason_not_for_stock": (
        "“{reason}” is not a reason for stock to leave. Choose waste, a gift, own use or drying."
    ),
    "lot_empty": "Nothing is left of {lot}. Choose another lot.",
    "lot_overdrawn": "Only {left} of {lot} is left, and {wanted} was asked for. Take less.",
    "amount_missing": "Say how much of {lot}; it must be more than nothing.",
    "pick_has_no_packs": "{lot} is weighed, not counted. Enter a weight.",
    "packs_are_counted": "{lot} is counted in packs. Enter how many packs.",
    "product_not_in_packs": (
        "{product} has no pack weight, so it cannot be packed. Enter one in the catalogue."
    ),
    "pack_count_out_of_range": "{count} packs cannot be made in one go; it must be 1 to {most}.",
    "packs_from_nothing": "Name at least one pick to fill the packs from.",
    "pack_amount_empty": "Each pick that is named needs an amount above nothing.",
    "packs_need_weights": (
        "{product} is sold by the weight of each pack. Enter what each pack weighs, one on a line."
    ),
    "packs_not_all_weighed": (
        "{count} packs are made and {weighed} were weighed. Weigh every pack, or correct the count."
    ),
    "drying_odd": (
        "The dry packs hold {percent} % of what went in; mushrooms keep about 10 %. "
        "Were the weights right?"
    ),
    "packs_underfilled": (
        "The packs would hold {filled}, and their labels promise {needed} together. "
        "Fill them, or make fewer."
    ),
    "packs_need_more": (
        "{count} packs need {needed}, and only {given} was named. Name more, or make fewer packs."
    ),
    "pack_of_other_species": (
        "{pick} is of another species than {product}. Choose picks of that species."
    ),
    "packed_before_pick": "{pick} was picked on {picked_on}, after {day}. Correct the day.",
    "packing_expired": (
        "{pick} is past its shelf date ({shelf_on}). Look at it well. Pack it all the same?"
    ),
}
