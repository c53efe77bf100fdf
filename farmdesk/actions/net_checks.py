"""Checks of the net contents of a lot of packs: what was weighed, by which rule, the verdict."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.arithmetic.net_lots import EU, RULES, NetSample, judge_sample, sample_size
from farmdesk.domain.catalogue import Product
from farmdesk.domain.codes import name_for
from farmdesk.domain.harvest import NetCheck, Pack
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.mass import HEAVIEST_MG


def check_net(
    act: Act,
    pack: Pack,
    gross_mg: Sequence[int],
    *,
    rule: str = "hb133",
    tare_mg: int = 0,
    division_mg: int = 0,
    note: str = "",
) -> NetCheck:
    """Judge a lot by packs that were weighed whole (mg), each less the package.

    `division_mg` is the scale's smallest step, none when it is not known. Raises Refused for too
    few packs, weights that cannot be, or a lot without a labelled weight.
    """
    product = act.need(Product, pack.product)
    labelled = product.pack_mg or 0
    problems = [
        *check_text("note", note, needed=False, long=True),
        *_check(pack, product, gross_mg, rule, tare_mg, division_mg),
    ]
    if problems:
        raise Refused(*problems)
    nets = [gross - tare_mg for gross in gross_mg]
    verdict = judge_sample(NetSample(tuple(nets), labelled, pack.count, rule))
    check_id = act.next_id("net_check")
    return act.make(
        "net_checked",
        NetCheck(
            id=check_id, name=name_for("net_check", act.running("net_check", check_id)),
            pack=pack.id, rule=rule, checked_on=act.day, labelled_mg=labelled, tare_mg=tare_mg,
            division_mg=division_mg, net_mg=" ".join(str(one) for one in nets),
            verdict="passed" if verdict.is_passed else "failed", person=act.who.person,
            note=note.strip(),
        ),
    )  # fmt: skip


def _check(
    pack: Pack,
    product: Product,
    gross_mg: Sequence[int],
    rule: str,
    tare_mg: int,
    division_mg: int,
) -> Iterator[Problem]:
    if rule not in RULES:
        yield problem("net_rule_unknown", field="rule")
        return
    if not product.pack_mg or product.fill == "catch":
        yield problem("net_without_label", field="pack", product=product.name)
        return
    if tare_mg < 0:
        yield problem("tare_negative", field="tare_mg")
    if not 0 <= division_mg < product.pack_mg:
        yield problem("division_wrong", field="division_mg")
    wanted = sample_size(pack.count)
    if rule != EU and len(gross_mg) != wanted:
        facts = {"wanted": wanted, "weighed": len(gross_mg)}
        yield problem("sample_size_wrong", field="gross_mg", **facts)
    elif not gross_mg:
        yield problem("sample_size_wrong", field="gross_mg", wanted=wanted, weighed=0)
    for at, gross in enumerate(gross_mg, start=1):
        if not tare_mg < gross <= HEAVIEST_MG:
            yield problem("net_weight_wrong", field="gross_mg", number=at)
        elif not Decimal("0.3") < Decimal(gross - tare_mg) / product.pack_mg < 3:
            # A third or three times as much is a slip of unit or scale, not of filling.
            yield problem("net_weight_odd", field="gross_mg", number=at, product=product.name)
