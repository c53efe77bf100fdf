"""One sentence for each problem and answer code, made late from its facts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

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
from farmdesk.wording.language import tr

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


class _Facts(dict[str, object]):
    """Facts for a template; a missing one shows its name instead of hiding the sentence."""

    def __missing__(self, key: str) -> str:
        return f"({key})"


def say(problem: Problem) -> str:
    """The sentence for a problem; an unknown code is shown as it is, with its facts."""
    template = SENTENCES.get(problem.code)
    if template is None:
        return f"{problem.code}: {dict(problem.facts)}" if problem.facts else problem.code
    return tr(template).format_map(_Facts(problem.facts))


def say_all(problems: Iterable[Problem]) -> str:
    """Several problems as one text, a sentence each."""
    return " ".join(say(one) for one in problems)


def say_error(error: FarmdeskError) -> str:
    """The whole of an error in plain words."""
    return say_all(error.problems)
