"""Sentences about labels and printing."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "symbol_not_possible": (
        "A bar symbol cannot hold {text}. Use plain letters, digits and signs, at least one."
    ),
    "too_many_rows": (
        "“{sheet}” has more rows than fit one list of this kind ({limit}). "
        "Choose a shorter time or fewer lots, or write it as CSV."
    ),
    "no_pages": "There is nothing to print. Choose at least one label.",
    "stock_unreadable": (
        "The label stock file {path} cannot be read: {reason}. Mend the file or take it away."
    ),
    "stock_field_missing": (
        "The label stock {name} does not say {field}. Add it; lengths are in micrometres."
    ),
    "stock_field_unknown": (
        "The label stock {name} has an entry {field} that means nothing here. Take it out."
    ),
    "stock_field_wrong": ("The label stock {name} has {value} for {field}. It should be {wanted}."),
    "stock_outside_page": (
        "The labels of {name} reach {over} mm over the {side} edge of the page. "
        "Check the label's size, its place and the steps."
    ),
    "stock_overlap": (
        "The labels of {name} lie over each other: the {field} is smaller than the label itself. "
        "Make the step at least as large as the label."
    ),
    "stock_twice": "Two label stocks are called {name}. Give one of them another name.",
    "stock_unknown": "There is no label stock {name}. There are: {known}.",
    "layout_unreadable": (
        "The label layout file {path} cannot be read: {reason}. Mend the file or take it away."
    ),
    "layout_wrong": "The label layout {path} is not right at {where}: {reason}.",
    "layout_missing": (
        "There is no layout for labels of the kind {layout}. There are layouts for: {known}."
    ),
    "label_too_small": (
        "The labels of {stock} are too small for a {kind} label: {width} × {height} mm are free "
        "to print on and at least {least_width} × {least_height} mm are needed. "
        "Choose a larger stock."
    ),
    "label_code_wrong": "A label needs a code of ten digits, and {text} is none.",
    "label_start_outside": (
        "A sheet of {stock} has labels 1 to {last}; it cannot start at {start}."
    ),
    "card_page_unknown": "Wall cards are printed on pages of the size {known}, not {page}.",
}
