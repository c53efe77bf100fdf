"""Sentences about cultures, spawn, recipes, heat runs and inoculation."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # Sums of the lab: substrate, spawn, lines.
    "percent_out_of_range": (
        "The {what} is {percent} %, but it must lie between 0 and 100. Correct that figure."
    ),
    "amount_not_positive": "The {what} is {amount}; it must be more than zero.",
    "amount_negative": "The {what} is {amount}; it cannot be less than zero.",
    "nothing_to_split_over": "There is nothing to split the amount over. Name at least one bag.",
    "recipe_empty": "The recipe has no ingredients. Add at least one with its share.",
    "recipe_shares_off": (
        "The shares of the recipe add up to {total_percent} %, not 100 %: "
        "{off_percent} points are off. Correct the shares."
    ),
    "substrate_too_wet": (
        "The ingredients are already at {now_percent} % moisture, wetter than the target of "
        "{target_percent} %. Add dry stock, not water, or check the moisture of each ingredient."
    ),
    "stock_not_dry_enough": (
        "Stock at {stock_percent} % moisture cannot dry a mix down to {target_percent} %. "
        "Take a drier stock."
    ),
    "drier_than_dry": (
        "The dry weight is more than the wet weight. Check both readings; they may be swapped."
    ),
    "lineage_circle": (
        "This line would be its own ancestor (number {id}). Correct what it was made from."
    ),
    "lineage_parent_unknown": (
        "Number {id}, which this line is said to come from, is not on this farm."
    ),
    # Sums of incubation, shelf life, yield, stock and money.
    "incubation_days_wrong": (
        "Incubation from {low_days} to {high_days} days cannot be. "
        "The first figure must not be above the second, and neither below 0."
    ),
    "day_before_inoculation": "A bag cannot be ready before it was inoculated. Check the dates.",
    "count_out_of_range": "{count} out of {of} cannot be. Check both counts.",
    "confidence_out_of_range": "A confidence of {confidence} must lie between 0 and 1.",
    "shelf_life_unknown": (
        "No shelf life is known for this species. Enter days for at least one temperature."
    ),
    "shelf_life_twice": ("There are two shelf lives for {temperature_c} °C. Keep one of them."),
    "shelf_life_wrong": (
        "A shelf life of {days} days at {temperature_c} °C cannot be. Enter more than 0 days."
    ),
    "temperature_not_a_number": "The temperature is not a number.",
    "sell_by_out_of_range": (
        "The sell-by share is {percent} %; it must be above 0 and at most 100."
    ),
    "more_opened_than_made": (
        "{opened} blocks opened out of {made} made cannot be. Check the counts and dry weights."
    ),
    "bag_twice_in_crate": "The same bag is in the crate twice. Take it out once.",
    "price_unit_unknown": "A price for one {unit} is not known. Use kg, lb or pack.",
    "quantity_not_a_number": "The quantity is not a number.",
    # Sums of costs, temperatures, net contents and air.
    "issued_more_than_on_hand": (
        "{amount} cannot go out of stock when only {on_hand} is there. Enter the receipt first."
    ),
    "history_without_hours": "The temperature history has no hours. Enter at least one stay.",
    "label_outside_table": (
        "The table has no row for {quantity}. Look it up in the rule that applies where you sell."
    ),
    "sample_size_wrong": "{wanted} packs must be weighed, but there are {weighed} weights.",
    "air_temperature_out_of_range": (
        "Air of {temperature_c} °C is outside what a room can be. Check the unit and the reading."
    ),
    "humidity_out_of_range": "A humidity of {percent} % must lie above 0 and not above 100.",
    "air_pressure_out_of_range": (
        "An air pressure of {pressure_pa} Pa cannot be. At sea level it is near 101325 Pa."
    ),
    "ventilation_wrong": (
        "Volume and fresh air of the room must be above zero, and no other figure below it."
    ),
    # Cultures and spawn.
    "day_in_future": "The day {day} has not come yet; today is {today}. Correct the day.",
    "made_before_parent": (
        "It cannot be made on {day}: {name}, which it comes from, was made on {made_on}. "
        "Correct one of the days."
    ),
    "culture_from_culture_only": (
        "A culture is made from another culture. Choose a culture, or leave it empty."
    ),
    "transfers_over_limit": (
        "This would be transfer {transfers} of {strain}; its limit is {limit}. "
        "Go back to an older culture, or confirm that it is meant."
    ),
    "generation_over_limit": (
        "This would be grain generation {generation} of {strain}; its limit is {limit}. "
        "Start from a culture or younger spawn, or confirm that it is meant."
    ),
    "parent_of_other_strain": (
        "{parent} is not {strain}: the strains differ. Choose another parent, "
        "or confirm that it is meant."
    ),
    "lab_discarded": "{name} was thrown away, so nothing can come from it. Choose another.",
    "lab_discarded_already": "{name} is thrown away already. Nothing was changed.",
    "spawn_bags_out_of_range": (
        "{bags} bags of spawn cannot be made in one go. Enter a number from 1 to {most}."
    ),
    "spawn_mass_wrong": "A bag of spawn must weigh more than nothing. Enter the weight of one bag.",
    "generation_below_one": "Grain spawn is generation 1 or higher, not {generation}.",
    "use_by_before_made": "It cannot be used up by {use_by}, before it was made. Correct the day.",
    "parent_amount_missing": "Say how much of {name} was used in all.",
    "spawn_overdrawn": (
        "{spawn} holds {left}, but {wanted} was wanted. Take less, or add another bag of spawn."
    ),
    "spawn_discarded": "{spawn} was thrown away. Take another bag of spawn.",
    # Heat runs.
    "blocks_out_of_range": (
        "{blocks} blocks cannot be made in one run. Enter a number from 1 to {most}."
    ),
    "nothing_weighed": "Nothing was weighed. Enter the weight of at least one ingredient.",
    "weighed_amount_wrong": (
        "Each ingredient that was weighed needs a weight above nothing and below 2,000 kg. "
        "Correct it, or leave that ingredient out."
    ),
    "mix_too_wet": (
        "The mix is at {now_percent} % moisture already, wetter than the target of "
        "{target_percent} %. Add no water; add {amount} of {stock} to bring it there."
    ),
    "mix_does_not_fit_blocks": (
        "The mix comes to {total}, but {blocks} blocks need {wanted}; it fills {fills}. "
        "Check the weights and the number of blocks, or confirm that it is meant."
    ),
    "run_time_in_future": "The time of {label} has not come yet. Correct it.",
    "run_time_out_of_order": (
        "The time of {label} lies before what must come first (the day of the run, the start, "
        "at temperature, the end). Correct it."
    ),
    "probe_out_of_range": (
        "A probe reading of {celsius} °C cannot be. Enter a figure from -20 to 200 °C."
    ),
    "run_passed_unread": (
        "{run} has no probe reading, or not all of its times. Add them, or confirm that it "
        "passed all the same. The record proves nothing either way."
    ),
    "run_not_weighed": (
        "{run} is planned, but its mix is not weighed yet. Weigh it first, on the page of the "
        "inoculation day."
    ),
    "run_heated_already": (
        "{run} was heated already, so its weights stay as they are. Take back its heat first."
    ),
    "run_used_already": "{run} has blocks that were inoculated, so it cannot be dropped.",
    "water_off": (
        "{water} of water makes this mix {percent} % wet, not {target} %. Weigh again, or confirm "
        "that it is meant."
    ),
    "vessel_blocks_wrong": "A run takes from 1 to {most} blocks, not {blocks}.",
    "vessel_hours_wrong": "A whole run takes more than 0 and at most 72 hours, not {hours}.",
    # Growth.
    "culture_not_kept": "{name} is not kept any more, so its growth is not followed.",
    "growth_day_wrong": (
        "It cannot have been measured on {day}: {name} was made on {made_on}. Correct the day."
    ),
    "growth_radius_wrong": (
        "A colony of {mm} mm radius cannot be. Enter a figure above 0 and up to {most} mm."
    ),
    "growth_shrank": (
        "{name} had {before} mm on {day}, so it cannot have {now} mm now. Measure again, or "
        "confirm that it is meant."
    ),
    "growth_alarm": (
        "{name} grows {now} mm a day, {percent} % slower than {strain} did before ({baseline} mm "
        "a day, the middle of {cultures}). Go back to an older plate or slant, and look for a "
        "contaminant or a cold shelf first."
    ),
    # Spawn on the day.
    "spawn_last_generation": (
        "{spawn} is grain generation {generation}, the last that {strain} should reach. Use it "
        "for blocks; make no more spawn of it."
    ),
    "spawn_near_last_generation": (
        "{spawn} is grain generation {generation} of at most {limit} of {strain}: one more is left."
    ),
    "spawn_past_generation": (
        "{spawn} is grain generation {generation}; {strain} should not go beyond {limit}. Expect "
        "slower growth, and start new spawn from a culture."
    ),
    "spawn_near_use_by": "{spawn} is to be used by {use_by}.",
    "spawn_short": "{missing} of spawn is missing for all blocks. Scan another bag.",
    # Inoculation.
    "bags_out_of_range": (
        "A batch of {bags} bags cannot be made: it needs at least 1 and at most {most}. "
        "Enter the number of bags, or split a larger batch."
    ),
    "printed_out_of_range": (
        "{printed} labels do not fit {bags} bags. Enter at least as many labels as bags, "
        "and at most {most}."
    ),
    "inoculated_before_run": (
        "It cannot be inoculated on {day}: heat run {run} was on {run_on}. Correct the day or "
        "choose another run."
    ),
    "inoculated_before_spawn": (
        "It cannot be inoculated on {day}: spawn {spawn} was made on {made_on}. Correct the day "
        "or choose other spawn."
    ),
    "run_failed": (
        "Heat run {run} is marked as failed. Use another run, or confirm that it is meant."
    ),
    "run_has_fewer_blocks": (
        "Heat run {run} has {left} blocks left, but {bags} bags were named. Correct the number, "
        "or confirm that it is meant."
    ),
    "spawn_of_other_strain": (
        "Spawn {spawn} is of another strain than {strain}. Take other spawn, or confirm that it "
        "is meant."
    ),
    "spawn_past_use_by": (
        "Spawn {spawn} was to be used by {use_by}. Look at it, then confirm that it is meant."
    ),
    "no_spawn_named": "Name at least one bag of spawn and how much of it was used.",
    "spawn_amount_empty": "Each bag of spawn that is named needs an amount above nothing.",
    "bag_range_wrong": (
        "Bags {first} to {last} is no range of this batch, which has bags 1 to {bags}. Correct it."
    ),
    "bag_in_two_ranges": (
        "Bag {bag} is in two ranges of spawn. Put each bag in one range, or leave the ranges "
        "empty to record a mix."
    ),
    "bag_in_no_range": (
        "Bag {bag} is in no range of spawn. Extend a range, or leave the ranges empty to record "
        "a mix."
    ),
    "block_mass_missing": (
        "Enter the weight of one block, above nothing; it is not known from a heat run."
    ),
    "dry_mass_wrong": (
        "The dry weight of a block must be above nothing and not above the block's weight."
    ),
    "bag_not_voidable": (
        "Bag {bag} is {stage}, so it was made. Discard it instead, or mark it as it is."
    ),
    "whole_batch_voided": ("No bag of {batch} would be left. Take back the inoculation instead."),
    # Any act.
    "not_found": (
        "There is no {kind} with the number {id} on this farm. It may have been taken away."
    ),
    "time_in_future": "The time {happened_at} (UTC) has not come yet. Correct the time.",
    # The catalogue.
    "farm_begun_already": "This file holds the farm {name} already. Begin a new one elsewhere.",
    "farm_stays": "The farm itself cannot be taken away.",
    "serial_out_of_range": "The first serial number must lie between 0 and {highest}.",
    "serial_is_fixed": (
        "The first serial number cannot be changed: codes on printed labels follow from it."
    ),
    "currency_not_known": "“{text}” is no currency. Enter its three letters, such as USD or EUR.",
    "locale_not_known": "“{text}” is no language and country. Enter it as en_US or de_DE.",
    "not_in_catalogue": "A {kind} is no part of the catalogue and cannot be kept there.",
    "shelf_twice": "The shelf {shelf} stands there twice. Name each shelf once.",
    "shelves_too_many": "A room can have {most} shelves here. Name fewer.",
    "shelf_too_long": "The shelf {shelf} has a long name; {most} characters fit. Shorten it.",
    "text_too_long": "{label} has {length} characters; {longest} fit. Shorten it.",
    "text_not_printable": (
        "{label} “{text}” holds characters that cannot be shown or printed. Type it anew."
    ),
    "choice_not_there": "What was chosen for {label} is not on this farm. Choose it anew.",
    "figure_out_of_range": "{label} is {value}; it must be from {low} to {high}. Correct it.",
    "not_one_of": "{label} “{text}” is not known. Choose one of: {choices}.",
    "form_wrong": "{label} “{text}” has not the right form: {form}.",
    "low_above_high": "{label}: the lower figure {low} is above the upper one {high}. Swap them.",
    "name_taken": "There is a {kind} “{text}” already. Choose another name, or change that one.",
    "pack_without_mass": "{text} is sold by the pack, so it needs the net weight of one pack.",
    "ingredient_twice": "The same ingredient is in the recipe twice. Put its shares together.",
    "cannot_retire": "A {kind} cannot be retired. Delete it if nothing uses it.",
    "still_used": (
        "The {kind} “{name}” is still used ({by}). Retire it instead: it then leaves the choices "
        "and the records stay whole."
    ),
    # Labels to print.
    "word_not_known": (
        "“{text}” is no code or name on this farm. Check it, or type the ten digits of its code."
    ),
    "label_range_wrong": (
        "“{text}” is no range of bags that there are. Write it as OY02-0147-001..020."
    ),
    "too_many_labels": "That would be {count} labels; {most} can be printed in one go.",
    "no_label_for_kind": "There is no label for a {kind}. Name bags, lots, crates or cards.",
    "nothing_to_print": "There is nothing to print. Name at least one code, name or batch.",
    # Printers.
    "length_not_understood": (
        "“{text}” is no length. Enter it as 19.5 mm, 1.95 cm, 0.77 in or 13/16 in."
    ),
    "print_is_scaled": (
        "The bar came out at {percent} % of its length: the printer fits pages to the paper. "
        "Switch that off (100 %, actual size), print the ruler sheet again, and measure anew."
    ),
    "offset_too_large": (
        "That is {off} mm away from the {wanted} mm wanted, too far for a printer's shift. "
        "Check the unit (write in for inches), the paper size and that the sheet lies straight."
    ),
    "printer_not_there": (
        "The printer {printer} is not there. Switch it on, choose another one, or make a PDF."
    ),
}
