"""One sentence for each problem and answer code, made late from its facts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import partial

from farmdesk.errors import FarmdeskError, Problem
from farmdesk.wording import (
    climate,
    costs,
    devices,
    files,
    filling,
    incubation,
    lab,
    papers,
    picks,
    planning,
    sales,
    scans,
    trade_items,
    typed,
)
from farmdesk.wording.happenings import name_things
from farmdesk.wording.language import tr
from farmdesk.wording.states import FORMS, say_code, say_state

SENTENCES: Mapping[str, str] = {
    **files.SENTENCES,
    **filling.SENTENCES,
    **typed.SENTENCES,
    **scans.SENTENCES,
    **lab.SENTENCES,
    **incubation.SENTENCES,
    **picks.SENTENCES,
    **planning.SENTENCES,
    **sales.SENTENCES,
    **papers.SENTENCES,
    **devices.SENTENCES,
    **climate.SENTENCES,
    **costs.SENTENCES,
    **trade_items.SENTENCES,
}


_SPOKEN: Mapping[str, Callable[[str], str]] = {
    "stage": say_state,
    "status": say_state,
    "kind": name_things,
    "form": partial(say_code, FORMS),
}
"""Facts that are codes of the farm, and how they are put into words."""


class _Facts(dict[str, object]):
    """Facts for a template; a missing one shows its name instead of hiding the sentence."""

    def __missing__(self, key: str) -> str:
        return f"({key})"


def say(problem: Problem) -> str:
    """The sentence for a problem; an unknown code is shown as it is, with its facts."""
    template = SENTENCES.get(problem.code)
    if template is None:
        return f"{problem.code}: {dict(problem.facts)}" if problem.facts else problem.code
    facts = {name: _word(name, fact) for name, fact in problem.facts.items()}
    return tr(template).format_map(_Facts(facts))


def _word(name: str, fact: object) -> object:
    """A fact as it is said: what the farm keeps as a code, in words."""
    speak = _SPOKEN.get(name)
    return speak(fact) if speak is not None and isinstance(fact, str) else fact


def say_all(problems: Iterable[Problem]) -> str:
    """Several problems as one text, a sentence each."""
    return " ".join(say(one) for one in problems)


def say_error(error: FarmdeskError) -> str:
    """The whole of an error in plain words."""
    return say_all(error.problems)
