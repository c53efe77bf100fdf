"""Sentences about orders, deliveries and invoices."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "stocktake_open": "Stocktake {stocktake} is still open. Finish it or drop it first.",
    "not_a_lot": "{text} is no crate with a pick and no pack. Scan the label of a lot.",
    "stocktake_closed": "Stocktake {stocktake} is closed. Begin a new one to count again.",
    "counted_above_made": (
        "Only {made} packs of {lot} were ever made, so no more can be counted. "
        "Was another pack scanned, or one twice?"
    ),
    "weighed_above_picked": (
        "{lot} was picked with {picked}, so it cannot weigh more now. Check the tare and the unit."
    ),
    # Orders and prices.
    "order_empty": "The order has no lines. Enter at least one product and how much of it.",
    "due_before_taken": (
        "The order was taken on {taken_on}, so it cannot be due on {due_on}. Correct the day."
    ),
    "quantity_wrong": (
        "The quantity of {product} must be more than nothing and not absurd. Correct it."
    ),
    "packs_not_whole": "{product} is sold in whole packs, at most {most}. Correct the quantity.",
    "product_sold_by_pack": "{product} is sold by the pack, not by weight. Enter packs.",
    "product_sold_by_weight": "{product} is sold by weight, not by the pack. Enter kg or lb.",
    "price_wrong": "The price of {product} cannot be. Enter it without a minus, such as 13.50.",
    "price_missing": (
        "There is no price for {product} in {unit} on the list of {customer}. "
        "Enter a price here, or put one on the list."
    ),
    "standing_nothing_due": (
        "No standing order is due in these days that was not taken already. "
        "Choose other days, or add standing orders in Weeks ahead."
    ),
    "standing_too_far": "Take standing orders for at most {most} weeks at once.",
    "packing_nothing_open": "None of these orders is open, so there is nothing to pack.",
    "promise_wrong": "What is promised of {product} must be nothing or more. Correct it.",
    "promise_above_asked": (
        "More of {product} would be promised than the {asked} that were asked for. "
        "Change the order first if they want more."
    ),
    "swap_cannot_be": (
        "{instead} cannot come for {product}: one is sold by weight and the other by the pack, "
        "or they are the same."
    ),
    "lot_other_product": "{lot} is {what}, and {order} has nothing left to pack of that.",
    "lot_too_old_for": (
        "{lot} ends on {shelf_on}, and {customer} asks for {days} days of life. Take a later lot."
    ),
    "lot_past_date": "{lot} is past its shelf date ({shelf_on}). Leave it out.",
    "lot_all_gone": "Nothing is left of {lot}.",
    "lot_for_others": (
        "All of {lot} is needed for {others}. Take the lots that are proposed first."
    ),
    "order_not_open": "The order {order} is {status}, so nothing can be changed in it.",
    "line_below_delivered": (
        "More of {product} has been delivered already than the order would ask for. "
        "Take back the delivery first."
    ),
    # Deliveries.
    "order_line_unknown": "That line is not part of the order {order}. Open the order anew.",
    "delivery_empty": "Nothing is in the delivery. Name at least one lot and how much of it.",
    "lot_is_not_product": "{lot} is not {product}. Choose a lot of that product.",
    "delivered_before_lot": (
        "{lot} did not exist before {first}, so it cannot have gone out on {day}. Correct the day."
    ),
    "lot_expired": (
        "{lot} is past its shelf date ({shelf_on}). Look at it well. Deliver it all the same?"
    ),
    "lot_on_hold": (
        "{lot} is held back: {why}. Let it go in the cold store first, or take another lot."
    ),
    "lot_life_short": (
        "{customer} asks for {days} days of life, and {lot} ends on {shelf_on}. "
        "Deliver it all the same?"
    ),
    "more_than_ordered": (
        "More {product} would go out than {ordered}, which {order} asks for. Is that meant?"
    ),
    # Invoices.
    "paper_not_last": (
        "{paper} cannot be taken back, because {last} was numbered after it and a number would be "
        "missing. Write a credit note instead."
    ),
    "paper_number_taken": (
        "{paper} was taken back and its number was given to another paper since. "
        "Issue it anew: it gets the next number."
    ),
    "payment_wrong": "The amount paid must be more than nothing and not absurd. Correct it.",
    "payback_too_much": (
        "There is {left} of {customer}'s to pay back, not more. Correct the amount."
    ),
    "payment_finer": "{currency} has no coin that small. Correct the amount.",
    "credit_nothing": "Nothing would be taken off {invoice}. Enter how much of which line.",
    "credit_wrong": "An amount to take off {invoice} cannot be. Enter a whole or decimal number.",
    "credit_other_line": "That line is not on {invoice}. Open the invoice anew.",
    "credit_above_invoice": (
        "Only {rest} of that line of {invoice} is billed and not credited yet. Take off less."
    ),
    "credit_before_invoice": (
        "{invoice} was issued on {issued_on}, so it cannot be credited on {day}. Correct the day."
    ),
    "return_above_sent": "More would come back than was delivered. Correct the amount.",
    "market_money_wrong": "Money is nothing or more. Correct it.",
    "market_nothing_loaded": "Nothing is taken along. Name at least one lot and how much of it.",
    "market_weighed_packs": "{product} is sold by the weight of each pack, and a market counts"
    " packs. Sell what went under “Sell without order” afterwards.",
    "market_closed_already": "{market} is closed. Take its closing back (Ctrl+Z) to change it.",
    "market_count_wrong": "What came back or was lost of {product} is nothing or more. Correct it.",
    "market_more_than_taken": (
        "More {product} would come back or be lost than the {taken} that were taken. Correct it."
    ),
    "invoiced_already": "{delivery} has the invoice {invoice} already.",
    "invoice_before_delivery": (
        "An invoice of {day} would come before the delivery on {delivered_on}. Correct the day."
    ),
    "paid_already": "{invoice} was paid on {paid_on} already. Nothing was changed.",
    "paid_before_invoice": (
        "{invoice} was issued on {issued_on}, so it cannot have been paid on {day}. "
        "Correct the day."
    ),
}
