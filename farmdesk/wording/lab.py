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
}
