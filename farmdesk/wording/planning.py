"""Sentences about comparing causes, forecasting and planning ahead."""

from collections.abc import Mapping

from farmdesk.wording.language import later, tr

SENTENCES: Mapping[str, str] = {
    "nothing_to_compare": "There are no bags to compare. Choose a longer time or more batches.",
    "bag_counts_wrong": "{contaminated} of {made} bags cannot be. Check the two counts.",
    "cause_likeliest": (
        "Most likely {cause} {level}: {contaminated} of {made} bags contaminated, against"
        " {other_contaminated} of {other_made} elsewhere (p {corrected_p} after {looks} looks)."
        " This is evidence, not proof."
    ),
    "causes_same_bags": (
        "Most likely {cause} {level}, but the very same bags are {same_as}, so the figures cannot"
        " say which: {contaminated} of {made} contaminated, against {other_contaminated} of"
        " {other_made} elsewhere (p {corrected_p} after {looks} looks)."
    ),
    "cause_not_enough_to_tell": (
        "Not enough to tell: after {looks} looks nothing stands out from chance."
    ),
    "days_out_of_order": "{first} lies after {last}. Turn the two days round.",
    "growth_points_too_few": "Measure the colony on at least two different days.",
    "looks_out_of_order": (
        "A bag last looked at on day {last_look} cannot have been found on day {found_day}."
    ),
    "stay_ends_before_it_begins": "A stay from {from_day} to {to_day} ends before it begins.",
    "share_out_of_range": "The {what} of {share} must lie between 0 and 1.",
    "weekday_wrong": "{weekday} is no weekday. Use 1 for Monday to 7 for Sunday.",
    "good_more_than_made": "{good} good blocks out of {made} made cannot be. Check the counts.",
    "nothing_saleable": "Nothing is saleable yet, so there is no cost per kg.",
    "stage_unknown": "“{stage}” is no stage to forecast from.",
    "crop_flush_out_of_range": "Flush {flush} cannot be: {species} has {flushes} flushes.",
    "bag_columns_unequal": "The columns of bags are not equally long.",
    "no_blocks_reach_the_promise": (
        "No number of blocks up to {most} reaches a promise of {promise}: whole batches vary"
        " too much. Promise less, or spread the blocks over several batches."
    ),
    "species_without_crop": "{species} has no times and yields to forecast with. Enter them first.",
    "every_weeks_wrong": "Every so many weeks: give a number from 1 to {most}.",
    "demand_day_missing": "A day is missing here. Type one, such as 2026-02-05.",
    "demand_ends_before": "This ends before it begins. Turn the two round.",
    "demand_without_species": (
        "{product} is of no single species, so that kg for it cannot be planned. Choose the"
        " species too."
    ),
    "demand_species_missing": "Say of which species or product this much more is wanted.",
    "demand_factor_wrong": "The factor must lie between 0 (nothing) and {most}; 1 is as usual.",
    "demand_changes_nothing": (
        "This would change nothing. Give an amount that is wanted more, or a factor other than 1."
    ),
    "plan_nothing_chosen": "Choose weeks that need blocks first.",
    "planned_already": (
        "{name} with {blocks} blocks is planned for {week} already. Plan more blocks for that week?"
    ),
    "planned_of_other_species": "Batch {batch} is of another species than was planned.",
    "batch_planned_twice": "Batch {batch} has ticked off {name} already. Choose another batch.",
    "planned_closed": "{name} was made or dropped already.",
    "planned_blocks_wrong": "Give a number of blocks from 1 to {most}.",
    "planned_strain_wrong": "This strain is of another species. Choose one of the planned species.",
    "planned_days_wrong": "Opening comes before inoculation here. Check the two days.",
    "plan_figure_wrong": "This must lie between {low} and {high}.",
    "put_off_nothing": "Choose what to put off first.",
    "put_off_not_chosen": "Choose lines that are put off first.",
    "put_off_not_later": "Give a day after today: on it the line is back on the list.",
    "put_off_too_far": (
        "Work can be put off for {most} days at most. What waits longer is better planned under"
        " Weeks ahead."
    ),
    "put_off_late_order": (
        "{name} is late for a customer, so it can be put off until tomorrow at most."
    ),
    "put_off_last_days": (
        "{name} is near the end of its life or past it, so it can be put off until tomorrow at"
        " most."
    ),
}

CAUSES: Mapping[str, str] = {
    "heat_run": later("heat run"),
    "spawn_lot": later("spawn lot"),
    "generation": later("generation"),
    "strain": later("strain"),
    "recipe": later("recipe"),
    "person": later("person"),
    "room": later("room"),
    "shelf": later("shelf"),
}
"""Causes in the middle of a sentence, before the name of a run, a lot or a person."""
NEXT_CHECKS: Mapping[str, str] = {
    "heat_run": tr(
        "Look at the run's temperature record, load and packing; test one unopened bag."
    ),
    "spawn_lot": tr("Hold what is left of the lot and plate some of it out."),
    "generation": tr("Plate out the older generation beside a younger one."),
    "strain": tr("Grow the strain beside another from one heat run and one spawn day."),
    "recipe": tr("Check moisture and supplement, then run the recipe beside another in one load."),
    "person": tr("Watch one inoculation together, and swap the benches next time."),
    "room": tr(
        "Compare the rooms: air flow, filters and cleanliness; set the next batch up in both."
    ),
    "shelf": tr("Check air flow and cleanliness there, and mix the next batch over all shelves."),
}
"""What to look at next when a cause stands out."""
