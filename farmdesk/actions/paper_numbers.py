"""Numbers of invoices and credit notes: they follow each other without a gap."""

from __future__ import annotations

from farmdesk.actions.base import Act
from farmdesk.domain.codes import name_for
from farmdesk.domain.events import Entry
from farmdesk.domain.things import THINGS
from farmdesk.errors import Refused, problem
from farmdesk.store.sales import last_name

NUMBERED = ("invoice", "credit_note")
"""Kinds whose numbers tax offices count."""


def next_name(act: Act, kind: str) -> str:
    """The number after the highest: a paper taken back leaves no gap behind it."""
    last = last_name(act.tx, kind)
    number = 0 if last is None else int(last.rpartition("-")[2])
    return name_for(kind, number + 1)


def check_taking_back(act: Act, entries: list[Entry]) -> None:
    """Refuse what would leave a gap, or use a number twice.

    A paper that others were numbered after stays; one that was taken back does not come again
    once its number was given to another.
    """
    for kind in NUMBERED:
        again = [
            str(one.before["name"])
            for one in entries
            if one.thing == kind and one.after is None and one.before is not None
        ]
        for name in again:
            if act.tx.first(THINGS[kind], name=name) is not None:
                raise Refused(problem("paper_number_taken", paper=name))
        names = [
            str(one.after["name"])
            for one in entries
            if one.thing == kind and one.before is None and one.after is not None
        ]
        last = last_name(act.tx, kind)
        if names and last is not None and last not in names:
            raise Refused(problem("paper_not_last", paper=names[0], last=last))
