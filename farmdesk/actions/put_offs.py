"""Lines of the day's work are put off, and brought back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from farmdesk.actions.base import Act
from farmdesk.domain.put_off import LATE, MOST_DAYS, ONE_DAY, PutOff, last_day
from farmdesk.errors import Problem, Refused, problem


@dataclass(frozen=True)
class WorkLine:
    """A line of the day's work as it stands now; see `domain.put_off.PutOff` for its fields."""

    section: str
    subject: str
    name: str
    due: str = ""
    grade: int = 0


def put_off(act: Act, lines: Sequence[WorkLine], until_on: str) -> list[PutOff]:
    """Take lines off the list until a day, all of them or none.

    Refused for a day that is not to come or too far, and beyond tomorrow for late orders and for
    what is near the end of its life.
    """
    if not lines:
        raise Refused(problem("put_off_nothing"))
    found = list(_check(act, lines, until_on))
    if found:
        raise Refused(*found)
    return [_put_off(act, one, until_on) for one in lines]


def bring_back(act: Act, put_offs: Sequence[int]) -> None:
    """Put lines on the list again before their day."""
    if not put_offs:
        raise Refused(problem("put_off_not_chosen"))
    for number in put_offs:
        one = act.need(PutOff, number)
        for same in act.tx.all(PutOff, section=one.section, subject=one.subject):
            act.take_away("work_brought_back", same)


def _put_off(act: Act, line: WorkLine, until_on: str) -> PutOff:
    now = act.tx.first(PutOff, section=line.section, subject=line.subject)
    if now is not None:
        return act.change(
            "work_put_off", now, until_on=until_on, name=line.name, due=line.due, grade=line.grade
        )
    return act.make(
        "work_put_off",
        PutOff(
            act.next_id("put_off"), line.section, line.subject, until_on, line.name, line.due,
            line.grade,
        ),
    )  # fmt: skip


def _check(act: Act, lines: Sequence[WorkLine], until_on: str) -> Iterator[Problem]:
    today = act.day
    if not until_on or until_on <= today:
        yield problem("put_off_not_later", field="until_on")
        return
    for one in lines:
        if until_on <= last_day(one.section, today):
            continue
        if one.section not in ONE_DAY:
            yield problem("put_off_too_far", field="until_on", most=MOST_DAYS)
            return
        code = "put_off_late_order" if one.section == LATE else "put_off_last_days"
        yield problem(code, field="until_on", name=one.name)
