"""The week's figures as tables; screen, paper, workbook and CSV show these and nothing else."""

from __future__ import annotations

from farmdesk.paper.tables import Column, Table
from farmdesk.reports.week import WeekReport
from farmdesk.reports.week_trade_tables import channels_table, compared_tables, sold_through_table
from farmdesk.reports.week_yields import YieldRow
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_state, say_unit

USES = {"waste": tr("Waste"), "gift": tr("Gift"), "own": tr("Own use"), "drying": tr("To drying")}


def week_tables(report: WeekReport) -> list[Table]:
    """Every table of the week, the summary first."""
    return [
        summary_table(report),
        picked_species_table(report),
        picked_batch_table(report),
        yields_table(report),
        stock_table(report),
        sales_table(report),
        waste_table(report),
        discarded_table(report),
        standing_table(report),
        made_table(report),
        *compared_tables(report.trade),
        sold_through_table(report.trade),
        channels_table(report.trade, report.terms.formats.mass_unit),
        report.trade.fill,
        report.trade.margins,
    ]


def summary_table(report: WeekReport) -> Table:
    """The week in a dozen figures, masses and money in columns of their own."""
    columns = (
        Column("measure", tr("What")),
        Column("mass_mg", tr("Mass"), "mass"),
        Column("money", tr("Amount"), "money"),
        Column("count", tr("Count"), "integer"),
    )
    rows: list[tuple[object, ...]] = [
        (tr("Picked"), report.picked_mg, None, sum(one.picks for one in report.picked)),
        (tr("Picked the week before"), report.picked_before_mg, None, None),
        (tr("Delivered"), report.sold_mg, report.sold_total, report.deliveries),
        (tr("Invoiced, tax included"), None, report.invoiced.total, report.invoiced.count),
        *(
            (title, report.removed_mg(use), None, None)
            for use, title in USES.items()
            if use == "waste" or report.removed_mg(use)
        ),
        (tr("On hand"), report.stock_mg, None, len(report.stock)),
        (tr("Blocks inoculated"), None, None, sum(one.blocks for one in report.made)),
        (tr("Blocks opened"), None, None, sum(one.opened for one in report.made)),
        (tr("Bags discarded"), None, None, sum(one.bags for one in report.discarded)),
        (
            tr("of these contaminated"),
            None,
            None,
            sum(one.bags for one in report.discarded if one.is_contamination),
        ),
        (tr("Live bags"), None, None, sum(one.bags for one in report.standing)),
    ]
    return Table(
        "summary",
        tr("Week {week}").format(week=report.week),
        columns,
        rows,
        notes=_summary_notes(report),
    )


def _summary_notes(report: WeekReport) -> list[str]:
    formats, week = report.terms.formats, report.week
    notes = [
        tr("{name}, {monday} to {sunday}. Written {now}.").format(
            name=report.terms.farm.name,
            monday=formats.day(week.monday),
            sunday=formats.day(week.sunday),
            now=formats.instant(report.terms.now),
        ),
        tr("Stock and live bags are as they were when this was written."),
    ]
    if not report.is_over:
        notes.append(tr("The week is not over: its figures are so far."))
    if report.not_weighed:
        waiting = formats.count(report.not_weighed, "pick is", "picks are")
        notes.append(tr("{waiting} not weighed yet and not counted.").format(waiting=waiting))
    return notes


def picked_species_table(report: WeekReport) -> Table:
    """Picked by species, with the week before."""
    columns = (
        Column("species", tr("Species")),
        Column("picks", tr("Picks"), "integer"),
        Column("net_mg", tr("Picked"), "mass"),
        Column("before_mg", tr("Week before"), "mass"),
    )
    rows = [(one.species, one.picks, one.net_mg, one.before_mg) for one in report.picked]
    picks = sum(one.picks for one in report.picked)
    totals = (tr("All"), picks, report.picked_mg, report.picked_before_mg)
    return Table("picked_species", tr("Picked by species"), columns, rows, totals=totals)


def picked_batch_table(report: WeekReport) -> Table:
    """Picked by species, batch and flush, measured and allocated apart."""
    columns = (
        Column("species", tr("Species")),
        Column("batch", tr("Batch")),
        Column("flush", tr("Flush"), "integer"),
        Column("net_mg", tr("Picked"), "mass"),
        Column("measured_mg", tr("Measured"), "mass"),
        Column("allocated_mg", tr("Allocated"), "mass"),
    )
    rows = [
        (
            one.species,
            one.batch or tr("no bag named"),
            one.flush,
            one.net_mg,
            one.measured_mg,
            one.allocated_mg,
        )
        for one in report.batches
    ]
    totals = (
        tr("All"),
        "",
        None,
        sum(one.net_mg for one in report.batches),
        sum(one.measured_mg for one in report.batches),
        sum(one.allocated_mg for one in report.batches),
    )
    note = tr(
        "Measured: a bag alone in its crate. Allocated: a crate of several bags, shared over them."
    )
    title = tr("Picked by batch and flush")
    return Table("picked_batch", title, columns, rows, notes=[note], totals=totals)


def yields_table(report: WeekReport) -> Table:
    """Yields of the batches picked in the week, all their picks up to its end."""
    columns = (
        Column("species", tr("Species")),
        Column("batch", tr("Batch")),
        Column("flush", tr("Flush")),
        Column("state", tr("State")),
        Column("picked_mg", tr("Picked"), "mass"),
        Column("measured_mg", tr("Measured"), "mass"),
        Column("allocated_mg", tr("Allocated"), "mass"),
        Column("share", tr("Share of the batch"), "percent"),
        Column("opened", tr("Blocks opened"), "integer"),
        Column("made", tr("Blocks made"), "integer"),
        Column("dry_opened_mg", tr("Dry, opened"), "mass"),
        Column("dry_made_mg", tr("Dry, made"), "mass"),
        Column("be_opened", tr("BE on opened"), "percent"),
        Column("be_made", tr("BE on made"), "percent"),
        Column("so_far_opened", tr("BE so far on opened"), "percent"),
        Column("so_far_made", tr("BE so far on made"), "percent"),
        Column("per_opened_mg", tr("Per block opened"), "mass", digits=3),
        Column("per_made_mg", tr("Per block made"), "mass", digits=3),
        Column("first_day", tr("First pick"), "day"),
        Column("last_day", tr("Last pick"), "day"),
    )
    rows = [_yield_values(one) for one in report.yields]
    return Table("yields", tr("Yields"), columns, rows, notes=_yield_notes(report))


def _yield_values(one: YieldRow) -> tuple[object, ...]:
    return (
        one.species,
        one.batch or tr("all batches here"),
        tr("all") if one.flush is None else str(one.flush),
        state_of(one),
        one.picked_mg,
        one.measured_mg,
        one.allocated_mg,
        one.share_percent,
        one.opened,
        one.made,
        one.dry_opened_mg,
        one.dry_made_mg,
        one.efficiency_opened_percent,
        one.efficiency_made_percent,
        one.so_far_opened_percent,
        one.so_far_made_percent,
        one.per_opened_mg,
        one.per_made_mg,
        one.first_day,
        one.last_day,
    )


def state_of(one: YieldRow) -> str:
    """Whether more may come."""
    return tr("to date") if one.is_to_date else "finished"


def _yield_notes(report: WeekReport) -> list[str]:
    until = report.terms.formats.day(report.week.sunday)
    counted = tr("is counted") if report.terms.farm.with_spawn_dry else tr("is not counted")
    return [
        tr(
            "The batches picked in this week, with all their picks up to {until}. To "
            "date: bags are still alive, or were picked later."
        ).format(until=until),
        tr(
            "BE, biological efficiency: fresh weight picked / dry substrate, in "
            "percent; the dry matter of the spawn {counted}."
        ).format(counted=counted),
    ]


def stock_table(report: WeekReport) -> Table:
    """What is on hand, earliest shelf date first."""
    columns = (
        Column("lot", tr("Lot")),
        Column("code", tr("Code"), "code"),
        Column("what", tr("What")),
        Column("grade", tr("Grade")),
        Column("since", tr("Picked or packed"), "day"),
        Column("left_mg", tr("On hand"), "mass"),
        Column("packs", tr("Packs"), "integer"),
        Column("sell_by", tr("Sell by"), "day"),
        Column("shelf_on", tr("Shelf date"), "day"),
        Column("days_left", tr("Days left"), "integer"),
        Column("place", tr("Room")),
    )
    rows = [
        (
            one.lot,
            one.code,
            one.what,
            one.grade,
            one.since,
            one.left_mg,
            one.packs or None,
            one.sell_by,
            one.shelf_on,
            one.days_left,
            one.room,
        )
        for one in report.stock
    ]
    totals = (tr("All"), "", "", "", None, report.stock_mg, None, None, None, None, "")
    written = report.terms.formats.instant(report.terms.now)
    note = tr("On hand {written}, earliest shelf date first.").format(written=written)
    return Table("stock", tr("Stock"), columns, rows, notes=[note], totals=totals)


def sales_table(report: WeekReport) -> Table:
    """Delivered in the week, by customer and product."""
    columns = (
        Column("customer", tr("Customer")),
        Column("product", tr("Product")),
        Column("quantity", tr("Quantity"), "number", digits=2),
        Column("unit", tr("Unit")),
        Column("mass_mg", tr("Mass"), "mass"),
        Column("total", tr("Amount"), "money"),
    )
    rows = [
        (one.customer, one.product, one.quantity, say_unit(one.unit), one.mass_mg, one.total)
        for one in report.sales
    ]
    totals = (tr("All"), "", None, "", report.sold_mg, report.sold_total)
    note = tr("Delivered from Monday to Sunday; amounts before tax.")
    return Table("sales", tr("Sales"), columns, rows, notes=[note], totals=totals)


def waste_table(report: WeekReport) -> Table:
    """What left the cold store unsold, by use and reason."""
    columns = (
        Column("use", tr("Went to")),
        Column("reason", tr("Reason")),
        Column("species", tr("Species")),
        Column("mass_mg", tr("Mass"), "mass"),
        Column("packs", tr("Packs"), "integer"),
    )
    rows = [
        (USES.get(one.use, one.use), one.reason, one.species, one.mass_mg, one.packs or None)
        for one in report.waste
    ]
    totals = (tr("All"), "", "", sum(one.mass_mg for one in report.waste), None)
    return Table("waste", tr("Waste and other use"), columns, rows, totals=totals)


def discarded_table(report: WeekReport) -> Table:
    """Bags discarded in the week, by reason."""
    columns = (
        Column("reason", tr("Reason")),
        Column("species", tr("Species")),
        Column("contamination", tr("Contamination"), "flag"),
        Column("bags", tr("Bags"), "integer"),
    )
    rows = [(one.reason, one.species, one.is_contamination, one.bags) for one in report.discarded]
    totals = (tr("All"), "", None, sum(one.bags for one in report.discarded))
    return Table("discarded", tr("Bags discarded"), columns, rows, totals=totals)


def standing_table(report: WeekReport) -> Table:
    """Live bags by stage and room."""
    columns = (
        Column("stage", tr("Stage")),
        Column("room", tr("Room")),
        Column("bags", tr("Bags"), "integer"),
    )
    rows = [(say_state(one.stage), one.room or tr("no room"), one.bags) for one in report.standing]
    totals = (tr("All"), "", sum(one.bags for one in report.standing))
    return Table("standing", tr("Live bags by stage and room"), columns, rows, totals=totals)


def made_table(report: WeekReport) -> Table:
    """Inoculated and opened in the week, by species."""
    columns = (
        Column("species", tr("Species")),
        Column("batches", tr("Batches"), "integer"),
        Column("blocks", tr("Blocks inoculated"), "integer"),
        Column("opened", tr("Blocks opened"), "integer"),
    )
    rows = [(one.species, one.batches, one.blocks, one.opened) for one in report.made]
    totals = (
        tr("All"),
        sum(one.batches for one in report.made),
        sum(one.blocks for one in report.made),
        sum(one.opened for one in report.made),
    )
    return Table("made", tr("Inoculated and opened"), columns, rows, totals=totals)
