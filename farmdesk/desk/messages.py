"""Errors and outcomes in the words that the window shows."""

from __future__ import annotations

from farmdesk.errors import FarmdeskError, Problem
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say, say_error


def sentence_of(error: FarmdeskError) -> str:
    """What is wrong and what to do, in plain words; never empty."""
    return say_error(error) or tr("That could not be done.")


def sentence_for(problem: Problem) -> str:
    """One problem in plain words."""
    return say(problem)


def field_of(problem: Problem) -> str:
    """The key of the form field that a problem is about, or ''."""
    return str(problem.facts.get("field", ""))
