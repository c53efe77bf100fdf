"""What is to blame for contamination: causes compared together, corrected for the looks taken.

Bags of one heat run stand or fall together, so every p is somewhat too small: what is found
is evidence and a reason for the next check, not proof.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import erfc, inf, sqrt
from typing import Literal

import numpy as np

from farmdesk.arithmetic.cause_table import CauseTable, Level
from farmdesk.errors import Problem, Refused, problem

Verdict = Literal["blamed", "watch", "explained", "chance"]
How = Literal["strata", "clusters", "same bags"]
ALPHA = 0.05


@dataclass(frozen=True)
class BagGroup:
    """Bags alike in every cause (cause -> level), how many were made and how many went bad."""

    levels: Mapping[str, str]
    made: int
    contaminated: int


@dataclass(frozen=True)
class Stratum:
    """A two by two table: contaminated of made among the suspects and among the others."""

    contaminated: int
    made: int
    other_contaminated: int
    other_made: int


@dataclass(frozen=True)
class Stratified:
    """The Mantel-Haenszel result over strata (1959).

    `odds_ratio` is None when it cannot be told; `corrected` is with Yates's half taken off.
    """

    strata: int
    odds_ratio: float | None
    chi_square: float
    p: float
    corrected_chi_square: float
    corrected_p: float


@dataclass(frozen=True)
class Explanation:
    """How much of a suspicion is left once bags are compared within another cause."""

    cause: str
    how: How
    p: float
    odds_ratio: float | None = None


@dataclass(frozen=True)
class Suspect:
    """One level of one cause that did worse than all other bags.

    `evidence_p` is the weakest of the plain and the explained p; `corrected_p` is that after
    Holm's correction for all looks; `same_as` names causes that hold the very same bags.
    """

    cause: str
    level: str
    counts: Stratum
    plain_p: float
    explanations: tuple[Explanation, ...]
    same_as: tuple[str, ...]
    evidence_p: float
    corrected_p: float
    verdict: Verdict


@dataclass(frozen=True)
class Blame:
    """Suspects, likeliest first, out of so many looks; `answer` is for `wording` to say."""

    looks: int
    contaminated: int
    made: int
    suspects: tuple[Suspect, ...]
    answer: Problem

    @property
    def likeliest(self) -> Suspect | None:
        """The one to blame, or None when there is not enough to tell."""
        if self.suspects and self.suspects[0].verdict == "blamed":
            return self.suspects[0]
        return None


def compare_two(first: tuple[int, int], second: tuple[int, int]) -> float:
    """Fisher's exact two-sided p for two (contaminated, made)."""
    for contaminated, made in (first, second):
        _check_counts(contaminated, made)
    from scipy.stats import fisher_exact  # noqa: PLC0415  (scipy.stats costs most of a second)

    table = np.array([[bad, made - bad] for bad, made in (first, second)])
    return min(1.0, float(fisher_exact(table).pvalue))


def compare_pairs(
    counts: Mapping[str, tuple[int, int]],
) -> tuple[tuple[str, str, float, float], ...]:
    """Every pair of levels: names, Fisher's p, and p corrected by Holm for all pairs."""
    names = list(counts)
    pairs = [(a, b) for place, a in enumerate(names) for b in names[place + 1 :]]
    plain = [compare_two(counts[a], counts[b]) for a, b in pairs]
    corrected = correct_for_looks(plain)
    found = [(a, b, p, q) for (a, b), p, q in zip(pairs, plain, corrected, strict=True)]
    return tuple(sorted(found, key=lambda one: one[2]))


def correct_for_looks(plain: Sequence[float], *, looks: int | None = None) -> tuple[float, ...]:
    """Holm's correction (1979) of p values, of `looks` in all when only the least are given."""
    looks = len(plain) if looks is None else looks
    corrected, highest = [0.0] * len(plain), 0.0
    for rank, place in enumerate(sorted(range(len(plain)), key=plain.__getitem__)):
        highest = max(highest, min(1.0, (looks - rank) * plain[place]))
        corrected[place] = highest
    return tuple(corrected)


def stratify(strata: Sequence[Stratum]) -> Stratified:
    """Mantel and Haenszel (1959): the suspects against the others within each stratum."""
    above = below = shift = spread = 0.0
    told = 0
    for one in strata:
        _check_counts(one.contaminated, one.made)
        _check_counts(one.other_contaminated, one.other_made)
        all_made = one.made + one.other_made
        if not (one.made and one.other_made):
            continue
        bad = one.contaminated + one.other_contaminated
        above += one.contaminated * (one.other_made - one.other_contaminated) / all_made
        below += (one.made - one.contaminated) * one.other_contaminated / all_made
        shift += one.contaminated - one.made * bad / all_made
        spread += one.made * one.other_made * bad * (all_made - bad) / all_made**2 / (all_made - 1)
        told += bool(bad) and bad < all_made
    if not spread:
        return Stratified(told, None, 0.0, 1.0, 0.0, 1.0)
    plain = shift**2 / spread
    corrected = max(0.0, abs(shift) - 0.5) ** 2 / spread
    odds = above / below if below else inf
    return Stratified(told, odds, plain, _tail(plain), corrected, _tail(corrected))


def find_blame(groups: Sequence[BagGroup], *, alpha: float = ALPHA) -> Blame:
    """Compare every level of every cause with all other bags, and name the likeliest.

    A level stands accused when it did worse, and still does within every other cause. Where
    another cause lies wholly inside it (a person's own heat runs), its parts are compared as
    wholes. Levels that hold the same bags cannot be told apart and are named together.
    """
    for group in groups:
        _check_counts(group.contaminated, group.made)
    if not any(group.made for group in groups):
        raise Refused(problem("nothing_to_compare"))
    table = CauseTable.of([(one.levels, one.made, one.contaminated) for one in groups])
    levels = table.find_levels()
    found = [_suspect(table, level, alpha) for level in table.find_worse(levels)]
    corrected = correct_for_looks([one.evidence_p for one in found], looks=table.count_looks())
    judged = [_judge(one, p, alpha) for one, p in zip(found, corrected, strict=True)]
    order = {cause: place for place, cause in enumerate(table.causes)}
    judged.sort(key=lambda one: (one.evidence_p, order[one.cause], one.level))
    suspects = tuple(judged)
    answer = _answer(suspects, table.count_looks())
    return Blame(table.count_looks(), table.contaminated, table.made, suspects, answer)


def _suspect(table: CauseTable, level: Level, alpha: float) -> Suspect:
    counts = Stratum(
        level.contaminated,
        level.made,
        table.contaminated - level.contaminated,
        table.made - level.made,
    )
    plain = compare_two(
        (counts.contaminated, counts.made), (counts.other_contaminated, counts.other_made)
    )
    found: list[Explanation] = []
    if plain <= alpha:
        found = [_explain(table, level, cause) for cause in table.causes if cause != level.cause]
    same = tuple(one.cause for one in found if one.how == "same bags")
    evidence = max([plain, *(one.p for one in found if one.how != "same bags")])
    name = tuple(f"{cause} {table.name_of(level, cause)}" for cause in same)
    return Suspect(
        level.cause, level.name, counts, plain, tuple(found), name, evidence, 1.0, "chance"
    )


def _explain(table: CauseTable, level: Level, cause: str) -> Explanation:
    strata = [Stratum(*map(int, row)) for row in table.split(level, cause)]
    if any(one.made and one.other_made for one in strata):
        found = stratify(strata)
        # Fewer than expected within the strata is no accusation, however unlikely.
        worse = found.odds_ratio is not None and found.odds_ratio > 1
        return Explanation(cause, "strata", found.p if worse else 1.0, found.odds_ratio)
    inside = [one.contaminated / one.made for one in strata if one.made]
    outside = [one.other_contaminated / one.other_made for one in strata if one.other_made]
    if len(inside) == 1:
        return Explanation(cause, "same bags", 1.0)
    from scipy.stats import mannwhitneyu  # noqa: PLC0415  (scipy.stats costs most of a second)

    return Explanation(cause, "clusters", float(mannwhitneyu(inside, outside).pvalue))


def _judge(one: Suspect, corrected_p: float, alpha: float) -> Suspect:
    verdict: Verdict = "chance"
    if corrected_p <= alpha:
        verdict = "blamed"
    elif one.evidence_p <= alpha:
        verdict = "watch"
    elif one.plain_p <= alpha:
        verdict = "explained"
    facts = {**vars(one), "corrected_p": corrected_p, "verdict": verdict}
    return Suspect(**facts)


def _answer(suspects: tuple[Suspect, ...], looks: int) -> Problem:
    if not suspects or suspects[0].verdict != "blamed":
        return problem("cause_not_enough_to_tell", looks=looks)
    first = suspects[0]
    facts = {
        "cause": first.cause.replace("_", " "),
        "level": first.level,
        "corrected_p": f"{first.corrected_p:.2g}",
        "looks": looks,
        **vars(first.counts),
    }
    if first.same_as:
        return Problem(
            "causes_same_bags", {**facts, "same_as": ", ".join(first.same_as).replace("_", " ")}
        )
    return Problem("cause_likeliest", facts)


def _tail(chi_square: float) -> float:
    return erfc(sqrt(chi_square / 2))


def _check_counts(contaminated: int, made: int) -> None:
    if not 0 <= contaminated <= made:
        raise Refused(problem("bag_counts_wrong", contaminated=contaminated, made=made))
