"""Doing something to the farm from the window, and asking back where it looks like a mistake."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from farmdesk.desk.messages import sentence_of
from farmdesk.desk.workplace import Workplace, tell_if_there
from farmdesk.errors import Asked, FarmdeskError

Ask = Callable[[str, Callable[[], object], Callable[[], object]], None]
"""`ask(sentence, yes, no)` shows a question and calls one of the two, once."""


def perform(
    workplace: Workplace,
    function: Callable[[frozenset[str]], Any],
    ask: Ask,
    *,
    then: Callable[[Any], object] | None = None,
    failed: Callable[[FarmdeskError], object] | None = None,
    no: Callable[[], object] | None = None,
    confirmed: frozenset[str] = frozenset(),
) -> None:
    """Run `function(confirmed)` on the writing lane.

    When it raises `Asked`, the person is asked; on Yes it runs again with the codes of the
    question confirmed as well, on No `no` is called and nothing is done.
    """

    def answer(error: FarmdeskError) -> None:
        if isinstance(error, Asked):
            codes = confirmed | {one.code for one in error.problems}
            ask(sentence_of(error), lambda: again(codes), lambda: no() if no else None)
        elif failed is not None:
            tell_if_there(failed, error)
        else:
            workplace.refused.emit(error)

    def again(codes: frozenset[str]) -> None:
        perform(
            workplace, function, ask, then=then, failed=failed, no=no, confirmed=frozenset(codes)
        )

    workplace.do(function, confirmed, then=then, failed=answer)
