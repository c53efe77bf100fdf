"""Checks of net contents: the list of them, and the sheet of one with its verdict explained."""

from __future__ import annotations

from farmdesk.arithmetic.net_lots import (
    EU,
    NetSample,
    NetVerdict,
    is_fine_enough,
    judge_sample,
)
from farmdesk.domain.catalogue import Person, Product
from farmdesk.domain.harvest import NetCheck, Pack
from farmdesk.errors import NotFound, problem
from farmdesk.paper.documents import Block, Details, Document, Note, Paragraph, SignLines
from farmdesk.paper.tables import Column, Table
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

RULE_NAMES = {
    "hb133": tr("NIST Handbook 133, category A"),
    "eu": tr("European rule (Directive 76/211/EEC, OIML R 87)"),
}
VERDICTS = {"passed": tr("passed"), "failed": tr("▲ failed")}
NOT_OFFICIAL = tr(
    "A check of one's own packs, never an official test: the inspector's copy of the rule"
    " decides, and the scale must be approved and its check not run out. Ask the local office of"
    " weights and measures."
)


def net_checks_table(reading: Reading, *, now: str | None = None) -> Table:
    """Every check, the newest first."""
    del now
    packs = {one.id: one for one in reading.all(Pack)}
    products = {one.id: one.name for one in reading.all(Product)}
    columns = (
        Column("name", tr("Check")),
        Column("checked_on", tr("Day"), "day"),
        Column("lot", tr("Lot")),
        Column("product", tr("Product")),
        Column("labelled_mg", tr("Label"), "mass"),
        Column("weighed", tr("Packs weighed"), "integer"),
        Column("mean_mg", tr("Mean net"), "mass"),
        Column("verdict", tr("Verdict")),
        Column("rule", tr("Rule")),
    )
    rows = []
    for one in sorted(reading.all(NetCheck), key=lambda one: -one.id):
        nets = nets_of(one)
        pack = packs.get(one.pack)
        rows.append(
            (one.name, one.checked_on, pack.name if pack else "",
             products.get(pack.product, "") if pack else "", one.labelled_mg, len(nets),
             round(sum(nets) / len(nets)), VERDICTS.get(one.verdict, one.verdict),
             RULE_NAMES.get(one.rule, one.rule))
        )  # fmt: skip
    return Table("net_checks", tr("Net contents checked"), columns, rows, [NOT_OFFICIAL])


def net_check_sheet(reading: Reading, check_id: int, *, now: str | None = None) -> Document:
    """One check with its weights and the verdict in words. Raises NotFound."""
    terms = read_terms(reading, now)
    check = reading.get(NetCheck, check_id)
    pack = None if check is None else reading.get(Pack, check.pack)
    product = None if pack is None else reading.get(Product, pack.product)
    if check is None or pack is None or product is None:
        raise NotFound(problem("not_found", kind="net_check", id=check_id))
    formats = terms.formats
    nets = nets_of(check)
    verdict = judge_sample(NetSample(tuple(nets), check.labelled_mg, pack.count, check.rule))
    person = None if check.person is None else reading.get(Person, check.person)
    facts = [
        (tr("Farm"), terms.farm.name),
        (tr("Lot"), f"{pack.name}, {product.name}"),
        (tr("Packs in the lot"), str(pack.count)),
        (tr("Label"), formats.mass_in(check.labelled_mg, "g")),
        (tr("Package"), formats.mass_in(check.tare_mg, "g")),
        (tr("Rule"), RULE_NAMES.get(check.rule, check.rule)),
        (tr("Checked on"), formats.day(check.checked_on)),
        (tr("By"), person.name if person else ""),
    ]
    columns = (
        Column("number", tr("Pack"), "integer"),
        Column("net", tr("Net, g"), "number"),
        Column("error", tr("Error, g"), "number"),
    )
    rows = [
        (at, _grams(net, terms), _grams(net - check.labelled_mg, terms))
        for at, net in enumerate(nets, start=1)
    ]
    blocks: list[Block] = [
        Details(facts),
        Table("weights", tr("Packs weighed"), columns, rows),
        *(Paragraph(one) for one in explain(verdict, check.rule, formats)),
    ]
    if check.division_mg:
        blocks.append(Paragraph(say_scale(check.division_mg, verdict.shortage_mg, formats)))
    if check.note:
        blocks.append(Note(check.note))
    blocks += [Note(NOT_OFFICIAL, is_caution=True), SignLines((tr("Checked by"), tr("Date")))]
    title = tr("Net contents {name}").format(name=check.name)
    footer = f"{terms.farm.name} · {title}"
    return Document(title=title, blocks=blocks, footer=footer, author=terms.farm.name)


def explain(verdict: NetVerdict, rule: str, formats: Formats) -> list[str]:
    """The verdict in sentences: what it is, and why."""

    def grams(mg: float) -> str:
        return formats.mass_in(round(mg / 100) * 100, "g")

    said = [
        tr("The lot passes.") if verdict.is_passed else tr("▲ The lot fails: do not sell it so.")
    ]
    facts = {"mean": grams(abs(verdict.mean_error_mg)), "limit": grams(verdict.limit_mg)}
    if verdict.mean_error_mg >= 0:
        said.append(
            tr("On average the packs hold {mean} more than the label says.").format(**facts)
        )
    elif rule == EU:
        said.append(
            tr("On average {mean} are missing; the mean must not be below the label.").format(
                **facts
            )
        )
    elif verdict.is_average_passed:
        said.append(
            tr(
                "On average {mean} are missing. That is within the {limit} that chance allows for"
                " this sample (standard deviation times {factor})."
            ).format(factor=verdict.factor, **facts)
        )
    else:
        said.append(
            tr(
                "On average {mean} are missing, more than the {limit} that chance allows for this"
                " sample. Fill every pack a little more, or check the tare."
            ).format(**facts)
        )
    said.append(
        tr(
            "A single pack may be {short} short; {count} of those weighed are shorter, and"
            " {allowed} may be."
        ).format(short=grams(verdict.shortage_mg), count=verdict.too_short, allowed=verdict.allowed)
    )
    if verdict.far_short:
        said.append(
            tr("{count} are short by more than twice that; none may be sold.").format(
                count=verdict.far_short
            )
        )
    return said


def say_scale(division_mg: int, shortage_mg: int, formats: Formats) -> str:
    """Whether the scale is fine enough for this label."""
    facts = {
        "division": formats.mass_in(division_mg, "g"), "short": formats.mass_in(shortage_mg, "g"),
    }  # fmt: skip
    if is_fine_enough(division_mg, shortage_mg):
        return tr(
            "The scale's step of {division} is fine enough for a shortage of {short}."
        ).format(**facts)
    return tr(
        "▲ The scale's step of {division} is too coarse: it should be a sixth of the {short} or"
        " less. Weigh with a finer one."
    ).format(**facts)


def nets_of(check: NetCheck) -> list[int]:
    """The net masses that were weighed, mg."""
    return [int(one) for one in check.net_mg.split()]


def _grams(mg: int, terms: FarmTerms) -> str:
    return terms.formats.number(round(mg / 1000, 1), 1)
