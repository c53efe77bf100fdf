"""Costs as tables: by batch, strain, recipe, species or month; and each line of one batch."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from farmdesk.arithmetic.block_costs import BlockCost, cost_blocks, cost_weight
from farmdesk.arithmetic.place_weeks import month_of
from farmdesk.domain.costs import FIFO
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.mass import MG_PER_KG
from farmdesk.reports.batch_costs import (
    BLOCK_KINDS,
    KINDS,
    BatchCost,
    CostBook,
    read_costs,
)
from farmdesk.reports.cost_words import KIND_WORDS
from farmdesk.reports.sum_question import GROUPINGS, SumQuestion
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

BY_MONTH = "month"
COST_GROUPINGS = ("batch", "recipe", "strain", "species", BY_MONTH)
_DRAWN = 14
_POUNDS = ("lb", "lb_oz", "oz")


def costs_table(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> Table:
    """Costs of the batches inoculated in some days, grouped, with per block and per kg."""
    asked = question or SumQuestion("batch")
    inner = asked if asked.by != BY_MONTH else replace(asked, by="batch")
    book = read_costs(reading, inner, now=now)
    groups = _group(book, asked.by)
    rows = [_row(name, batches, book) for name, batches in groups.items()]
    everything = list(book.batches.values())
    totals = None
    if rows:
        totals = [tr("All"), *_row("", everything, book)[1:]]
    return Table(
        "costs", tr("Costs"), _columns(book, asked.by), rows, totals=totals,
        notes=list(_notes(book)), charts=list(_charts(groups, book)),
    )  # fmt: skip


def cost_lines_table(reading: Reading, batch: str, *, now: str | None = None) -> Table:
    """Every line of one batch's costs, how it came about, and what they add up to."""
    book = read_costs(reading, SumQuestion("batch", None, "1950-01-01"), now=now)
    found = next((one for one in book.batches.values() if one.name == batch), None)
    columns = (
        Column("kind", tr("Kind")),
        Column("what", tr("What")),
        Column("how", tr("How it came about")),
        Column("cost", tr("Cost"), "money"),
    )
    title = tr("Costs of {batch}").format(batch=batch)
    if found is None:
        return Table("cost_lines", title, columns, [])
    order = {kind: at for at, kind in enumerate(KINDS)}
    shares = sorted(found.shares, key=lambda one: (order[one.kind], one.what, one.how))
    rows = [(KIND_WORDS[one.kind], one.what, one.how, one.cost) for one in shares]
    totals = (tr("All"), "", "", found.cost_of(KINDS))
    return Table(
        "cost_lines", title, columns, rows, totals=totals, notes=list(_say_batch(found, book))
    )


def cost_per_kg(
    reading: Reading, question: SumQuestion, *, now: str | None = None
) -> dict[int, Decimal]:
    """What a saleable kilogram cost, by species, of batches inoculated in some days.

    Species of which nothing was saleable yet are left out.
    """
    book = read_costs(reading, replace(question, by="batch"), now=now)
    found: dict[int, Decimal] = {}
    species = {one.species for one in book.cohort.facts.values()}
    for one in species:
        mine = [book.batches[at] for at, fact in book.cohort.facts.items() if fact.species == one]
        saleable = Decimal(sum(cost.saleable_mg for cost in mine)) / MG_PER_KG
        if saleable > 0:
            total = sum((cost.cost_of(KINDS) for cost in mine), Decimal(0))
            found[one] = total / saleable
    return found


def _group(book: CostBook, by: str) -> dict[str, list[BatchCost]]:
    groups: dict[str, list[BatchCost]] = {}
    for at, cost in book.batches.items():
        if by == BY_MONTH:
            name = month_of(book.cohort.facts[at].inoculated_on)
        else:
            name = book.cohort.group_of(at, by=by)
        groups.setdefault(name, []).append(cost)
    if by in ("batch", BY_MONTH):
        return groups
    return dict(sorted(groups.items(), key=lambda one: one[0].casefold()))


def _columns(book: CostBook, by: str) -> Sequence[Column]:
    unit = _unit(book)
    title = tr("Month inoculated") if by == BY_MONTH else GROUPINGS[by]
    return (
        Column("group", title),
        Column("made", tr("Made"), "integer"),
        Column("good", tr("Good"), "integer"),
        Column("total", tr("All costs"), "money"),
        Column("per_good", tr("Per good block"), "money"),
        Column("per_weight", tr("Per saleable {unit}").format(unit=unit), "money"),
        Column("saleable_mg", tr("Saleable"), "mass"),
        *(Column(kind, KIND_WORDS[kind], "money") for kind in KINDS),
        Column("per_made", tr("Per block made"), "money"),
        Column("per_expected", tr("Per block expected"), "money"),
        Column("abnormal_lost", tr("Lost beyond normal"), "number", digits=1),
        Column("abnormal_cost", tr("Cost of that"), "money"),
        Column("picked_mg", tr("Picked"), "mass"),
        Column("state", tr("State")),
        Column("missing", tr("Without a price")),
    )


def _row(name: str, batches: Sequence[BatchCost], book: CostBook) -> tuple[object, ...]:
    made, good = sum(one.made for one in batches), sum(one.good for one in batches)
    picked = sum(one.picked_mg for one in batches)
    saleable = sum(one.saleable_mg for one in batches)
    by_kind = {kind: _cost(batches, [kind]) for kind in KINDS}
    total = sum(by_kind.values(), Decimal(0))
    blocks = _blocks(batches, book) if made else None
    missing = sorted({what for one in batches for what in one.unpriced})
    return (
        name, made, good, total,
        blocks.per_good if blocks else None,
        _per_weight(total, saleable, book),
        saleable,
        *(by_kind[kind] for kind in KINDS),
        blocks.per_made if blocks else None,
        blocks.per_expected if blocks else None,
        blocks.abnormal_lost if blocks else None,
        blocks.abnormal_cost if blocks else None,
        picked,
        tr("to date") if any(one.alive for one in batches) else tr("done"),
        ", ".join(missing),
    )  # fmt: skip


def _cost(batches: Iterable[BatchCost], kinds: Sequence[str]) -> Decimal:
    return sum((one.cost_of(kinds) for one in batches), Decimal(0))


def _blocks(batches: Sequence[BatchCost], book: CostBook) -> BlockCost:
    return cost_blocks(
        _cost(batches, BLOCK_KINDS),
        made=sum(one.made for one in batches),
        good=sum(one.good for one in batches),
        normal_loss_percent=book.setting.normal_loss_percent,
        currency=book.cohort.terms.farm.currency,
    )


def _unit(book: CostBook) -> str:
    return "lb" if book.cohort.terms.farm.mass_unit in _POUNDS else "kg"


def _per_weight(total: Decimal, saleable_mg: int, book: CostBook) -> Decimal | None:
    if not saleable_mg:
        return None
    kg = Decimal(saleable_mg) / MG_PER_KG
    found = cost_weight(total, saleable_kg=kg, currency=book.cohort.terms.farm.currency)
    return found.per_lb if _unit(book) == "lb" else found.per_kg


def _notes(book: CostBook) -> Iterator[str]:
    everything = list(book.batches.values())
    made, good = sum(one.made for one in everything), sum(one.good for one in everything)
    money, number = book.cohort.terms.formats.money, book.cohort.terms.formats.number
    if made:
        blocks = _blocks(everything, book)
        total = _cost(everything, KINDS)
        per = _per_weight(total, sum(one.saleable_mg for one in everything), book)
        text = tr("{total} so far for {made} blocks: {per_good} a good block")
        first = text.format(
            total=money(total), made=number(made),
            per_good="–" if blocks.per_good is None else money(blocks.per_good),
        )  # fmt: skip
        if per is not None:
            first += tr(", {per} a saleable {unit}").format(per=money(per), unit=_unit(book))
        yield f"{first}."
    yield tr(
        "Counted: {span}, with all their costs to date. A good block is one that was not lost"
        " before it gave anything ({good} of {made}). Per block: materials, spawn, bags and labels"
        " and the work of making, over good blocks. Per weight: all costs over what was picked and"
        " not thrown away."
    ).format(span=book.cohort.span, good=number(good), made=number(made))
    yield _say_method(book)
    yield from _say_left_out(book, everything)


def _say_method(book: CostBook) -> str:
    setting, formats = book.setting, book.cohort.terms.formats
    way = tr("first in, first out") if setting.method == FIFO else tr("moving average")
    wage = formats.money(setting.wage_per_hour)
    return tr(
        "Goods by {way}; an hour of work {wage}; {loss} of blocks may be lost as normal, what is"
        " lost beyond is told apart. Work without a batch: making by blocks made in the month,"
        " growing and overhead by place-days."
    ).format(way=way, wage=wage, loss=formats.percent(setting.normal_loss_percent))


def _say_left_out(book: CostBook, everything: Sequence[BatchCost]) -> Iterator[str]:
    money = book.cohort.terms.formats.money
    if not book.setting.wage_per_hour:
        yield tr("⚠ Work counts as nothing: set what an hour costs, your own hours too (Ctrl+T).")
    unpriced = sorted({what for one in everything for what in one.unpriced})
    if unpriced:
        text = tr("⚠ Without any price, so counted as nothing: {what}.")
        yield text.format(what=", ".join(unpriced))
    guessed = sorted({what for one in everything for what in one.estimated})
    if guessed:
        text = tr("Used beyond what was noted as bought, at the usual price: {what}.")
        yield text.format(what=", ".join(guessed))
    if book.unshared:
        text = tr("{amount} of work and overhead fell into months without a block to share it.")
        yield text.format(amount=money(book.unshared))
    if book.unused_runs:
        text = tr("{amount} went into heat runs that no batch was made from; it is in no batch.")
        yield text.format(amount=money(book.unused_runs))


def _say_batch(one: BatchCost, book: CostBook) -> Iterator[str]:
    formats = book.cohort.terms.formats
    blocks = _blocks([one], book)
    block_cost, total = one.cost_of(BLOCK_KINDS), one.cost_of(KINDS)
    if blocks.per_good is not None:
        yield tr("Per good block: {cost} ÷ {good} = {per}.").format(
            cost=formats.money(block_cost), good=one.good, per=formats.money(blocks.per_good)
        )
    per = _per_weight(total, one.saleable_mg, book)
    if per is not None:
        yield tr("Per saleable {unit}: {cost} ÷ {mass} = {per}.").format(
            unit=_unit(book), cost=formats.money(total), mass=formats.mass(one.saleable_mg),
            per=formats.money(per),
        )  # fmt: skip
    yield tr(
        "{made} made, {lost} lost; {normal} lost would be normal. Beyond that: {more} blocks,"
        " {cost}."
    ).format(
        made=one.made, lost=one.lost, normal=formats.number(one.made - blocks.expected_good, 1),
        more=formats.number(blocks.abnormal_lost, 1), cost=formats.money(blocks.abnormal_cost),
    )  # fmt: skip


def _charts(groups: Mapping[str, Sequence[BatchCost]], book: CostBook) -> Iterator[Chart]:
    if not groups:
        return
    drawn = list(groups.items())[-_DRAWN:]
    names = [name for name, _ in drawn]
    series = [
        Series(KIND_WORDS[kind], [float(_cost(batches, [kind])) for _, batches in drawn])
        for kind in KINDS
        if any(_cost(batches, [kind]) for _, batches in drawn)
    ]
    currency = book.cohort.terms.farm.currency
    yield Chart("stacked", tr("What the costs are made of"), names, series, unit=currency)
    per = [
        (name, _per_weight(_cost(batches, KINDS), saleable, book))
        for name, batches in groups.items()
        if (saleable := sum(one.saleable_mg for one in batches))
    ][-_DRAWN:]
    if per:
        title = tr("Cost of a saleable {unit}").format(unit=_unit(book))
        values = [float(cost) for _, cost in per if cost is not None]
        names = [name for name, cost in per if cost is not None]
        yield Chart("bar", title, names, [Series(title, values)], unit=currency)
