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
}
