"""The one family of errors: facts, never sentences; `wording.sentences` says them late."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

NO_FACTS: Mapping[str, object] = MappingProxyType({})


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong: a code that `wording` has a sentence for, and its facts."""

    code: str
    facts: Mapping[str, object] = field(default_factory=lambda: NO_FACTS)


def problem(code: str, **facts: object) -> Problem:
    """Make a problem from its code and facts."""
    return Problem(code, facts)


class FarmdeskError(Exception):
    """Anything Farmdesk itself raises; `problems` say what is wrong."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__(*[one.code for one in problems])
        self.problems = problems

    def __str__(self) -> str:
        return "; ".join(
            f"{one.code} {dict(one.facts)}" if one.facts else one.code for one in self.problems
        )


class Refused(FarmdeskError):
    """What was asked cannot be: the reasons are the person's to mend."""


def refuse_any(found: Iterable[Problem | None]) -> None:
    """Raise Refused with every problem found; do nothing when there is none."""
    problems = tuple(one for one in found if one is not None)
    if problems:
        raise Refused(*problems)


class Asked(FarmdeskError):
    """It looks like a mistake: do it again with these codes confirmed if it is meant."""


class NotUnderstood(FarmdeskError):
    """Text that could not be read as what was expected."""


class NotFound(FarmdeskError):
    """No such thing on this farm."""


class Stale(FarmdeskError):
    """Somebody changed it in between."""


class StoreUnavailable(FarmdeskError):
    """The farm's file or server cannot be used now: the world's fault, with what to do."""


class Stopped(FarmdeskError):
    """It was stopped on the way, as somebody asked; nothing was changed."""


class NotWritten(FarmdeskError):
    """A file could not be written (full disk, no permission); nothing half-written is left."""


class DeviceTrouble(FarmdeskError):
    """A scanner, scale or printer does not answer as it should."""
