"""Sentences about goods bought, work and what things cost."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "purchase_of_nothing": "Choose what was bought: an ingredient, or a supply such as bags.",
    "purchase_of_two": "Choose an ingredient or a supply, not both. Note two purchases instead.",
    "purchase_amount_missing": "Say how much of {what} came.",
    "price_negative": "A price cannot be below zero. Nothing paid is 0.",
    "price_too_high": "{price} is more than a thousand million. Check the price.",
    "received_in_future": "{day} lies in the future. Note goods when they have come.",
    "lot_expired_on_arrival": (
        "This lot is good until {use_by} only, and came on {received_on}. Is that right?"
    ),
    "minutes_out_of_range": (
        "{minutes} minutes is no time that one person works in one go: 1 to {most} is taken."
    ),
    "minutes_not_understood": (
        "“{text}” could not be read as a time worked. Type it as 90, 1:30 or 1.5 h."
    ),
    "labour_in_future": "{day} lies in the future. Note work when it is done.",
    "labour_ended_already": "This work has ended already, after {minutes} minutes.",
    "labour_very_long": (
        "The clock of this work ran for {hours} hours. Was it forgotten? If so, say No and type"
        " the minutes."
    ),
    "task_unknown": "“{text}” is no task that work is noted for.",
    "overhead_days_wrong": "The last day, {to_on}, lies before the first, {from_on}.",
    "supply_pieces_wrong": "{pieces} pieces for each cannot be. Type a number from 0 to 1,000.",
    "cost_method_unknown": "“{text}” is no way to price stock: average or fifo.",
    "wage_negative": "A wage cannot be below zero.",
    "loss_out_of_range": "A normal loss of {percent} % cannot be: 0 up to 99 % is taken.",
}
