"""Sentences about scan answers: one for each thing that can come of a scan."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # Lines that are no scan.
    "scan_empty": "That line was empty. Scan again, or type the code under the bars.",
    "scan_too_long": (
        "That line is longer than {most} characters, so it is no code. Scan one label alone."
    ),
    "scan_binary": (
        "“{text}” holds signs that no label has. Scan again; if it comes back, check how the "
        "scanner is set up."
    ),
    "code_unreadable": (
        "“{text}” has {digits} digits, but a code has ten. Scan again, or type all groups."
    ),
    "code_damaged": (
        "{text} is not a whole code: a digit is wrong or two are swapped. Scan or type it again."
    ),
    "name_not_found": "There is no “{text}” on this farm. Check the letters and numbers.",
    "words_not_known": (
        "“{text}” is no code, name, crate or wall card of this farm. Scan the label, or type its "
        "ten digits."
    ),
    "code_of_other_farm": (
        "{text} is the code of another farm: its number is below the first that this farm prints. "
        "Nothing was changed."
    ),
    "code_never_printed": (
        "{text} is of another farm, or was never printed here: this farm has not come to that "
        "number. Nothing was changed."
    ),
    "code_taken_back": (
        "{text} was given out here, but what it stood for was taken back. Take the label off."
    ),
    "farm_not_begun": "This farm has not been begun yet. Open the desk and begin it.",
    "nothing_asked": "There was no question to answer. Scan a label.",
    "left_as_it_was": "Left as it was.",
    "question_dropped": "The question about {name} was left open and nothing was done about it.",
    "scan_counted_already": "{name}: this scan had been counted already, so it counts once.",
    # Wall cards.
    "card_set": "Scans now mean: {title}.",
    "keys_so_far": "{text} so far. Scan more keys, then the key Enter.",
    "keys_cleared": "Nothing is typed now.",
    "keys_nothing": "Nothing is typed yet. Scan the keys of the weight first, then Enter.",
    "keys_dropped": "{text}, typed by keys, was dropped.",
    "no_pick_weighed": "No pick was weighed at this station yet, so there is no label to print.",
    "label_wanted": "Label of {pick} ({net}): this station's desk prints it.",
    "card_still": "Scans still mean: {title}.",
    "card_ran_out": "The card “{title}” ran out after {minutes} minutes, so nothing was changed.",
    "card_retired": "The card “{title}” is not used any more. Print the cards again.",
    "meaning_none": "No wall card: a scan looks things up",
    "meaning_crate": "{title}, {crate}",
    "meaning_pick": "{title}, {pick} with {bags} waits for its weight",
    "meaning_pick_crate": "{title}, {crate}, {pick} with {bags} waits for its weight",
    "pick_still_open": "{pick} with {bags} still waits for its weight.",
    "card_not_for_this": "{name} is {kind}. The card “{title}” is for bags and batches.",
    "undone": "Taken back: {what}.",
    "undo_built_upon": (
        "The last act cannot be taken back, because something done since builds on it. "
        "Take that back first, in the day book."
    ),
    "nothing_to_undo": "There is nothing to take back at this station.",
    "act_undone_already": "That was taken back already.",
    # One bag.
    "bag_moved": "{name} moved to {room}.",
    "bag_there_already": "{name} is in {room} already.",
    "bag_colonised": "{name} is colonised.",
    "bag_colonised_already": "{name} is colonised already, since {since}.",
    "bag_past_colonised": "{name} is past that already: {stage} since {since}.",
    "bag_opened": "{name} opened for fruiting.",
    "bag_opened_already": "{name} is fruiting already, since {since}.",
    "bag_picked": "{name} is in {pick}, flush {flush}.",
    "bag_picked_already": "{name} is in {pick} already.",
    "bag_rested": "{name} is resting.",
    "bag_rested_already": "{name} is resting already, since {since}.",
    "bag_spent": "{name} is spent.",
    "bag_spent_already": "{name} is spent already, since {since}.",
    "bag_discarded": "{name} discarded: {reason}.",
    "bag_discarded_already": "{name} is discarded already, since {since}: {reason}.",
    "bag_lost_already": "{name} is noted as lost already, since {since}.",
    "bag_lost": "{name} noted as lost. Scan it again when it turns up.",
    "bag_looked_at": "{name} looked at, fine.",
    "bag_looked_at_already": "{name} was looked at today already.",
    "bag_pinned": "{name}: pins seen.",
    "bag_pinned_already": "Pins were noted on {name} before.",
    "bag_slow": "{name} marked as slow.",
    "bag_slow_already": "{name} is marked as slow already.",
    # What cannot be, and what is asked.
    "bag_is_spent": "{name} is spent since {since}, so nothing was changed.",
    "bag_is_discarded": "{name} was discarded on {since}, so nothing was changed.",
    "bag_is_discarded_for": "{name} was discarded on {since} ({reason}), so nothing was changed.",
    "bag_is_sold": "{name} was sold on {since}, so nothing was changed.",
    "bag_is_lost": "{name} is noted as lost since {since}, so nothing was changed.",
    "bag_is_void": (
        "{name} is void since {since}: its label was printed, but no bag was made. "
        "Take the label off."
    ),
    "bag_lost_found": "{name} is noted as lost since {since}. Was it found?",
    "rest_unopened": "{name}: never opened, as far as the day book knows. Resting all the same?",
    "spent_unopened": "{name}: never opened, as far as the day book knows. Spent all the same?",
    "opened_early": (
        "{name} was inoculated on {inoculated}, and this species takes at least {days} days. "
        "Go on all the same?"
    ),
    "before_inoculation": (
        "{name} was inoculated on {inoculated}; it cannot have happened before. Correct the day."
    ),
    # A whole batch.
    "batch_moved": "{name}: {bags} moved to {room}.",
    "batch_colonised": "{name}: {bags} colonised.",
    "batch_opened": "{name}: {bags} opened for fruiting.",
    "batch_rested": "{name}: {bags} resting.",
    "batch_spent": "{name}: {bags} spent.",
    "batch_discarded": "{name}: {bags} discarded: {reason}.",
    "batch_looked_at": "{name}: {bags} looked at, fine.",
    "batch_pinned": "{name}: pins seen on {bags}.",
    "batch_slow": "{name}: {bags} marked as slow.",
    "batch_picked": "{name}: {bags} in {pick}.",
    "batch_others": "{bags} left as they were.",
    "batch_already": "{name}: so already, or not for this card: {bags} left as they were.",
    "batch_ended": "{name} has no live bag any more. Nothing was changed.",
    "discard_whole_batch": "Discard all of {name}, {bags}, for {reason}?",
    "some_of": "{bags} of {name}",
    # Crates and weights.
    "crate_taken": "{crate} is next. Scan the bags, then weigh.",
    "crate_still": "{crate} is in use at this station already.",
    "crate_for_pick": "{pick} is in {crate} now.",
    "crate_swapped": "{pick} with {bags} is in {old}. Is it in {crate} instead?",
    "crate_without_pick_card": (
        "{crate} has a tare of {tare}. Scan the pick card first to pick into it."
    ),
    "crate_retired": "{crate} is not used any more. Take another crate.",
    "weight_without_card": (
        "{text} is a weight, but no pick card is in force. Scan the pick card, the crate and its "
        "bags, then weigh."
    ),
    "weight_without_bags": (
        "{text} is not kept: no bag was scanned into a pick yet. Scan the bags, then weigh again."
    ),
    "pick_weighed": (
        "{pick}: {net} net from {bags} (gross {gross}, tare {tare}). Shelf date {shelf}."
    ),
    "pick_weighed_undated": "{pick}: {net} net from {bags} (gross {gross}, tare {tare}).",
    # Looking up.
    "bag_shown": "{name}: {stage} since {since}, in {room}, {age} days old.{more}",
    "bag_shown_nowhere": "{name}: {stage} since {since}, in no room, {age} days old.{more}",
    "bag_shown_ended": "{name}: {stage} since {since}, {age} days after inoculation.{more}",
    "bag_shown_void": "{name}: void since {since}. Its label was printed, but no bag was made.",
    "batch_shown": "{name}: inoculated on {inoculated}, {made} made; now {stages}.",
    "crate_shown": "{crate}: tare {tare}.",
    "culture_shown": "{name}: culture ({form}), transfer {transfers}, made on {made}, {status}.",
    "spawn_shown": "{name}: grain spawn, generation {generation}, {left} of {made} left, {status}.",
    "run_shown": "{name}: heat run of {day} with {blocks} blocks, {status}.",
    "pick_shown": "{name}: {net} picked on {day}, flush {flush}, grade {grade}, {left} left.{more}",
    "pick_shown_open": "{name}: begun on {day} with {bags}, not weighed yet.",
    "pack_shown": "{name}: {left} of {count} packs left, packed on {day}.{more}",
    "other_shown": "{name} is {kind}. Look it up at the desk.",
    "more_shelf": " Shelf date {shelf}.",
    "more_flush": " Flush {flush}, last picked on {picked}.",
    "more_slow": " Marked as slow.",
    "more_looked": " Last looked at on {looked}.",
    "more_reason": " Reason: {reason}.",
}
"""Codes that begin with `bag_`, `batch_` and `card_` follow the tables in `domain.rules`."""
