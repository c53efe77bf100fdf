"""Numbers of invoices and credit notes: they follow each other without a gap."""

from __future__ import annotations

from farmdesk.actions.base import Act
from farmdesk.domain.codes import name_for
from farmdesk.domain.events import Entry
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
    """Refuse to take a paper back that others were numbered after: that would leave a gap."""
    for kind in NUMBERED:
        names = [
            str(one.after["name"])
            for one in entries
            if one.thing == kind and one.before is None and one.after is not None
        ]
        last = last_name(act.tx, kind)
        if names and last is not None and last not in names:
            raise Refused(problem("paper_not_last", paper=names[0], last=last))
