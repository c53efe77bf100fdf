"""The week's figures as tables; screen, paper, workbook and CSV show these and nothing else."""

from __future__ import annotations

from farmdesk.paper.tables import Column, Table
from farmdesk.reports.week import WeekReport
from farmdesk.reports.week_yields import YieldRow

USES = {"waste": "Waste", "gift": "Gift", "own": "Own use", "drying": "To drying"}


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
    ]


def summary_table(report: WeekReport) -> Table:
    """The week in a dozen figures, masses and money in columns of their own."""
    columns = (
        Column("measure", "What"),
        Column("mass_mg", "Mass", "mass"),
        Column("money", "Amount", "money"),
        Column("count", "Count", "integer"),
    )
    rows: list[tuple[object, ...]] = [
        ("Picked", report.picked_mg, None, sum(one.picks for one in report.picked)),
        ("Picked the week before", report.picked_before_mg, None, None),
        ("Delivered", report.sold_mg, report.sold_total, report.deliveries),
        ("Invoiced, tax included", None, report.invoiced.total, report.invoiced.count),
        *(
            (title, report.removed_mg(use), None, None)
            for use, title in USES.items()
            if use == "waste" or report.removed_mg(use)
        ),
        ("On hand", report.stock_mg, None, len(report.stock)),
        ("Blocks inoculated", None, None, sum(one.blocks for one in report.made)),
        ("Blocks opened", None, None, sum(one.opened for one in report.made)),
        ("Bags discarded", None, None, sum(one.bags for one in report.discarded)),
        (
            "of these contaminated",
            None,
            None,
            sum(one.bags for one in report.discarded if one.is_contamination),
        ),
        ("Live bags", None, None, sum(one.bags for one in report.standing)),
    ]
    return Table("summary", f"Week {report.week}", columns, rows, notes=_summary_notes(report))


def _summary_notes(report: WeekReport) -> list[str]:
    formats, week = report.terms.formats, report.week
    notes = [
        f"{report.terms.farm.name}, {formats.day(week.monday)} to {formats.day(week.sunday)}. "
        f"Written {formats.instant(report.terms.now)}.",
        "Stock and live bags are as they were when this was written.",
    ]
    if not report.is_over:
        notes.append("The week is not over: its figures are so far.")
    if report.not_weighed:
        waiting = formats.count(report.not_weighed, "pick is", "picks are")
        notes.append(f"{waiting} not weighed yet and not counted.")
    return notes


def picked_species_table(report: WeekReport) -> Table:
    """Picked by species, with the week before."""
    columns = (
        Column("species", "Species"),
        Column("picks", "Picks", "integer"),
        Column("net_mg", "Picked", "mass"),
        Column("before_mg", "Week before", "mass"),
    )
    rows = [(one.species, one.picks, one.net_mg, one.before_mg) for one in report.picked]
    picks = sum(one.picks for one in report.picked)
    totals = ("All", picks, report.picked_mg, report.picked_before_mg)
    return Table("picked_species", "Picked by species", columns, rows, totals=totals)


def picked_batch_table(report: WeekReport) -> Table:
    """Picked by species, batch and flush, measured and allocated apart."""
    columns = (
        Column("species", "Species"),
        Column("batch", "Batch"),
        Column("flush", "Flush", "integer"),
        Column("net_mg", "Picked", "mass"),
        Column("measured_mg", "Measured", "mass"),
        Column("allocated_mg", "Allocated", "mass"),
    )
    rows = [
        (
            one.species,
            one.batch or "no bag named",
            one.flush,
            one.net_mg,
            one.measured_mg,
            one.allocated_mg,
        )
        for one in report.batches
    ]
    totals = (
        "All",
        "",
        None,
        sum(one.net_mg for one in report.batches),
        sum(one.measured_mg for one in report.batches),
        sum(one.allocated_mg for one in report.batches),
    )
    note = (
        "Measured: a bag alone in its crate. Allocated: a crate of several bags, shared over them."
    )
    title = "Picked by batch and flush"
    return Table("picked_batch", title, columns, rows, notes=[note], totals=totals)


def yields_table(report: WeekReport) -> Table:
    """Yields of the batches picked in the week, all their picks up to its end."""
    columns = (
        Column("species", "Species"),
        Column("batch", "Batch"),
        Column("flush", "Flush"),
        Column("state", "State"),
        Column("picked_mg", "Picked", "mass"),
        Column("measured_mg", "Measured", "mass"),
        Column("allocated_mg", "Allocated", "mass"),
        Column("share", "Share of the batch", "percent"),
        Column("opened", "Blocks opened", "integer"),
        Column("made", "Blocks made", "integer"),
        Column("dry_opened_mg", "Dry, opened", "mass"),
        Column("dry_made_mg", "Dry, made", "mass"),
        Column("be_opened", "BE on opened", "percent"),
        Column("be_made", "BE on made", "percent"),
        Column("so_far_opened", "BE so far on opened", "percent"),
        Column("so_far_made", "BE so far on made", "percent"),
        Column("per_opened_mg", "Per block opened", "mass", digits=3),
        Column("per_made_mg", "Per block made", "mass", digits=3),
        Column("first_day", "First pick", "day"),
        Column("last_day", "Last pick", "day"),
    )
    rows = [_yield_values(one) for one in report.yields]
    return Table("yields", "Yields", columns, rows, notes=_yield_notes(report))


def _yield_values(one: YieldRow) -> tuple[object, ...]:
    return (
        one.species,
        one.batch or "all batches here",
        "all" if one.flush is None else str(one.flush),
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
    return "to date" if one.is_to_date else "finished"


def _yield_notes(report: WeekReport) -> list[str]:
    until = report.terms.formats.day(report.week.sunday)
    counted = "is counted" if report.terms.farm.with_spawn_dry else "is not counted"
    return [
        f"The batches picked in this week, with all their picks up to {until}. "
        "To date: bags are still alive, or were picked later.",
        "BE, biological efficiency: fresh weight picked / dry substrate, in percent; "
        f"the dry matter of the spawn {counted}.",
    ]


def stock_table(report: WeekReport) -> Table:
    """What is on hand, earliest shelf date first."""
    columns = (
        Column("lot", "Lot"),
        Column("code", "Code", "code"),
        Column("what", "What"),
        Column("grade", "Grade"),
        Column("since", "Picked or packed", "day"),
        Column("left_mg", "On hand", "mass"),
        Column("packs", "Packs", "integer"),
        Column("sell_by", "Sell by", "day"),
        Column("shelf_on", "Shelf date", "day"),
        Column("days_left", "Days left", "integer"),
        Column("place", "Room"),
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
    totals = ("All", "", "", "", None, report.stock_mg, None, None, None, None, "")
    written = report.terms.formats.instant(report.terms.now)
    note = f"On hand {written}, earliest shelf date first."
    return Table("stock", "Stock", columns, rows, notes=[note], totals=totals)


def sales_table(report: WeekReport) -> Table:
    """Delivered in the week, by customer and product."""
    columns = (
        Column("customer", "Customer"),
        Column("product", "Product"),
        Column("quantity", "Quantity", "number", digits=2),
        Column("unit", "Unit"),
        Column("mass_mg", "Mass", "mass"),
        Column("total", "Amount", "money"),
    )
    rows = [
        (one.customer, one.product, one.quantity, one.unit, one.mass_mg, one.total)
        for one in report.sales
    ]
    totals = ("All", "", None, "", report.sold_mg, report.sold_total)
    note = "Delivered from Monday to Sunday; amounts before tax."
    return Table("sales", "Sales", columns, rows, notes=[note], totals=totals)


def waste_table(report: WeekReport) -> Table:
    """What left the cold store unsold, by use and reason."""
    columns = (
        Column("use", "Went to"),
        Column("reason", "Reason"),
        Column("species", "Species"),
        Column("mass_mg", "Mass", "mass"),
        Column("packs", "Packs", "integer"),
    )
    rows = [
        (USES.get(one.use, one.use), one.reason, one.species, one.mass_mg, one.packs or None)
        for one in report.waste
    ]
    totals = ("All", "", "", sum(one.mass_mg for one in report.waste), None)
    return Table("waste", "Waste and other use", columns, rows, totals=totals)


def discarded_table(report: WeekReport) -> Table:
    """Bags discarded in the week, by reason."""
    columns = (
        Column("reason", "Reason"),
        Column("species", "Species"),
        Column("contamination", "Contamination", "flag"),
        Column("bags", "Bags", "integer"),
    )
    rows = [(one.reason, one.species, one.is_contamination, one.bags) for one in report.discarded]
    totals = ("All", "", None, sum(one.bags for one in report.discarded))
    return Table("discarded", "Bags discarded", columns, rows, totals=totals)


def standing_table(report: WeekReport) -> Table:
    """Live bags by stage and room."""
    columns = (
        Column("stage", "Stage"),
        Column("room", "Room"),
        Column("bags", "Bags", "integer"),
    )
    rows = [(one.stage, one.room or "no room", one.bags) for one in report.standing]
    totals = ("All", "", sum(one.bags for one in report.standing))
    return Table("standing", "Live bags by stage and room", columns, rows, totals=totals)


def made_table(report: WeekReport) -> Table:
    """Inoculated and opened in the week, by species."""
    columns = (
        Column("species", "Species"),
        Column("batches", "Batches", "integer"),
        Column("blocks", "Blocks inoculated", "integer"),
        Column("opened", "Blocks opened", "integer"),
    )
    rows = [(one.species, one.batches, one.blocks, one.opened) for one in report.made]
    totals = (
        "All",
        sum(one.batches for one in report.made),
        sum(one.blocks for one in report.made),
        sum(one.opened for one in report.made),
    )
    return Table("made", "Inoculated and opened", columns, rows, totals=totals)
